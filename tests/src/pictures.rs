//! Pictures that no two of are alike, large enough to be caught on their way.

use flate2::{Compression, Crc, write::ZlibEncoder};
use std::fs;
use std::io::{self, Write};
use std::path::Path;

const WIDTH: u32 = 220;
const HEIGHT: u32 = 160;

/// Writes so many PNG files of noise, some 100 kB each.
///
/// # Errors
/// Where the folder cannot be written.
pub fn fill(dir: &Path, count: u32, mut seed: u32) -> io::Result<()> {
    for number in 0..count {
        let row = WIDTH * 3 + 1;
        let mut rows = Vec::new();
        for at in 0..HEIGHT * row {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            // A row begins with the number of its filter: none.
            let filter = at % row == 0;
            rows.push(if filter { 0 } else { (seed >> 24) as u8 });
        }
        fs::write(dir.join(format!("{number:03}.png")), png(&rows)?)?;
    }
    Ok(())
}

fn png(rows: &[u8]) -> io::Result<Vec<u8>> {
    let mut file = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut header = Vec::new();
    header.extend(WIDTH.to_be_bytes());
    header.extend(HEIGHT.to_be_bytes());
    header.extend([8, 2, 0, 0, 0]);
    chunk(&mut file, b"IHDR", &header);
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::fast());
    packed.write_all(rows)?;
    chunk(&mut file, b"IDAT", &packed.finish()?);
    chunk(&mut file, b"IEND", &[]);
    Ok(file)
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
