//! PNG files of noise: no two are equal, and compression does not make them smaller.

use flate2::{Compression, Crc, write::ZlibEncoder};
use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// Color types of W3C, PNG, section 11.2.1.
const GRAY: u8 = 0;
const RGB: u8 = 2;

/// A gray picture of `edge_px` by `edge_px` pixels.
#[must_use]
pub fn gray(seed: u8, edge_px: u32) -> Vec<u8> {
    let mut state = u32::from(seed) + 1;
    encode(&mut state, edge_px, edge_px, GRAY)
}

/// Writes that many files of about 100 kB.
///
/// # Errors
/// If the folder cannot be written.
pub fn write_files(dir: &Path, count: u32, seed: u32) -> io::Result<()> {
    let mut state = seed;
    for number in 0..count {
        let png = encode(&mut state, 220, 160, RGB);
        fs::write(dir.join(format!("{number:03}.png")), png)?;
    }
    Ok(())
}

fn encode(state: &mut u32, width: u32, height: u32, color: u8) -> Vec<u8> {
    let channels = if color == RGB { 3 } else { 1 };
    let mut rows = Vec::new();
    for _ in 0..height {
        // Each row begins with the number of its filter: none.
        rows.push(0);
        rows.extend((0..width * channels).map(|_| {
            *state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (*state >> 24) as u8
        }));
    }
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut header = Vec::new();
    header.extend(width.to_be_bytes());
    header.extend(height.to_be_bytes());
    header.extend([8, color, 0, 0, 0]);
    chunk(&mut file, b"IHDR", &header);
    let mut data = ZlibEncoder::new(Vec::new(), Compression::none());
    data.write_all(&rows).unwrap();
    chunk(&mut file, b"IDAT", &data.finish().unwrap());
    chunk(&mut file, b"IEND", &[]);
    file
}

fn chunk(file: &mut Vec<u8>, kind: &[u8; 4], data: &[u8]) {
    file.extend((data.len() as u32).to_be_bytes());
    file.extend(kind);
    file.extend(data);
    let mut crc = Crc::new();
    crc.update(kind);
    crc.update(data);
    file.extend(crc.sum().to_be_bytes());
}

#[cfg(test)]
mod tests {
    use super::{gray, write_files};
    use std::fs;

    #[test]
    fn pictures_differ_and_have_the_size_asked_for() {
        assert_ne!(gray(1, 20), gray(2, 20));
        let dir = tempfile::tempdir().unwrap();
        write_files(dir.path(), 3, 7).unwrap();
        let files: Vec<_> = ["000.png", "001.png", "002.png"]
            .map(|name| fs::read(dir.path().join(name)).unwrap())
            .into();
        assert!(files[0] != files[1] && files[1] != files[2]);
        assert!(
            files
                .iter()
                .all(|file| (100_000..120_000).contains(&file.len()))
        );
    }
}
