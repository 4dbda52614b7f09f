//! The format of a file, detected by its first bytes. Its name does not matter.

use crate::PictureError;

/// The formats that are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Format {
    /// JPEG (ISO/IEC 10918-1), baseline or progressive.
    Jpeg,
    /// PNG (W3C, third edition).
    Png,
}

impl Format {
    /// The media type, for HTTP.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
        }
    }

    /// Detects the format by the first bytes; 16 are enough.
    ///
    /// # Errors
    /// [`PictureError::OtherFormat`] and the like, which say what it is instead.
    pub fn of(bytes: &[u8]) -> Result<Self, PictureError> {
        match bytes {
            [0xFF, 0xD8, 0xFF, ..] => Ok(Self::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Ok(Self::Png),
            [_, _, _, _, b'f', b't', b'y', b'p', ..] => Err(boxed(bytes)),
            _ => Err(known_start(bytes).map_or_else(|| unknown(bytes), PictureError::OtherFormat)),
        }
    }
}

/// Other formats by their signatures, from their published specifications.
fn known_start(bytes: &[u8]) -> Option<&'static str> {
    let signatures: [(&[u8], &str); 13] = [
        (b"GIF8", "a GIF picture"),
        (b"II*\0", "a TIFF picture or a camera's raw file"),
        (b"MM\0*", "a TIFF picture or a camera's raw file"),
        (b"IIRO", "a camera's raw file"),
        (b"IIRS", "a camera's raw file"),
        (b"IIU\0", "a camera's raw file"),
        (b"FUJIFILMCCD-RAW", "a camera's raw file"),
        (b"\xFF\x0A", "a JPEG XL picture"),
        (b"\0\0\0\x0CJXL ", "a JPEG XL picture"),
        (b"\0\0\0\x0CjP  ", "a JPEG 2000 picture"),
        (b"\xFF\x4F\xFF\x51", "a JPEG 2000 picture"),
        (b"%PDF", "a PDF"),
        (b"RIFF", "a WebP picture"),
    ];
    match bytes {
        [b'B', b'M', _, _, _, _, 0, 0, 0, 0, ..] => return Some("a BMP picture"),
        [b'R', b'I', b'F', b'F', ..] if bytes.get(8..12) != Some(b"WEBP") => return None,
        _ => {}
    }
    let found = signatures
        .iter()
        .find(|(start, _)| bytes.starts_with(start));
    found.map(|(_, kind)| *kind)
}

/// A photo that was cut within its signature is reported as cut short.
fn unknown(bytes: &[u8]) -> PictureError {
    let begins: [&[u8]; 2] = [&[0xFF, 0xD8, 0xFF], b"\x89PNG\r\n\x1A\n"];
    if begins.iter().any(|begin| begin.starts_with(bytes)) {
        PictureError::CutShort
    } else {
        PictureError::NotAPicture
    }
}

/// ISO/IEC 14496-12 files, pictures and videos, distinguished by the brands in the first box.
fn boxed(bytes: &[u8]) -> PictureError {
    let size = bytes
        .first_chunk::<4>()
        .map_or(0, |size| u32::from_be_bytes(*size) as usize);
    let end = size.clamp(12, 256).min(bytes.len());
    let mut brands = bytes.get(8..end).unwrap_or_default().chunks_exact(4);
    let heic: [&[u8]; 8] = [
        b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"hevm", b"hevs",
    ];
    let major = brands.next().unwrap_or_default();
    let mut all = std::iter::once(major).chain(brands.skip(1));
    match major {
        b"crx " => PictureError::OtherFormat("a camera's raw file"),
        _ if all
            .clone()
            .any(|brand| brand == b"avif" || brand == b"avis") =>
        {
            PictureError::OtherFormat("an AVIF picture")
        }
        b"mif1" | b"msf1" | b"mif2" => PictureError::Heic,
        _ if all.any(|brand| heic.contains(&brand)) => PictureError::Heic,
        _ => PictureError::OtherFormat("a video"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ftyp(major: &[u8; 4], others: &[&[u8; 4]]) -> Vec<u8> {
        let mut bytes = (16 + 4 * others.len() as u32).to_be_bytes().to_vec();
        bytes.extend(b"ftyp");
        bytes.extend(major);
        bytes.extend([0; 4]);
        others.iter().for_each(|brand| bytes.extend(*brand));
        bytes
    }

    #[test]
    fn pictures_and_videos_are_distinguished_by_brand() {
        assert_eq!(
            Format::of(&ftyp(b"heic", &[b"mif1", b"heic"])),
            Err(PictureError::Heic)
        );
        assert_eq!(
            Format::of(&ftyp(b"mif1", &[b"mif1", b"heic"])),
            Err(PictureError::Heic)
        );
        assert_eq!(
            Format::of(&ftyp(b"mif1", &[b"avif"])),
            Err(PictureError::OtherFormat("an AVIF picture"))
        );
        assert_eq!(
            Format::of(&ftyp(b"avif", &[b"mif1"])),
            Err(PictureError::OtherFormat("an AVIF picture"))
        );
        assert_eq!(
            Format::of(&ftyp(b"isom", &[b"mp41"])),
            Err(PictureError::OtherFormat("a video"))
        );
        assert_eq!(
            Format::of(&ftyp(b"heic", &[])[..11]),
            Err(PictureError::OtherFormat("a video"))
        );
    }

    #[test]
    fn other_formats_are_named() {
        for (start, kind) in [
            (&b"RIFF\x10\0\0\0WEBPVP8 "[..], "a WebP picture"),
            (b"GIF89a", "a GIF picture"),
            (b"II*\0\x08\0\0\0", "a TIFF picture or a camera's raw file"),
            (b"MM\0*\0\0\0\x08", "a TIFF picture or a camera's raw file"),
            (b"BM\x10\0\0\0\0\0\0\0", "a BMP picture"),
        ] {
            assert_eq!(Format::of(start), Err(PictureError::OtherFormat(kind)));
        }
        assert_eq!(
            Format::of(b"hello, this is text"),
            Err(PictureError::NotAPicture)
        );
        assert_eq!(Format::of(b"\xFF\xD8"), Err(PictureError::CutShort));
        assert_eq!(Format::of(b"\x89PNG"), Err(PictureError::CutShort));
    }
}
