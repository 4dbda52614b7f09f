//! What kind of file this is, by its first bytes; its name is not asked.

use serde::{Deserialize, Serialize};

use super::error::Flaw;

/// The kinds of photo that are brought in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Format {
    /// JPEG (ISO/IEC 10918-1), baseline or progressive.
    Jpeg,
    /// PNG (W3C, third edition).
    Png,
}

impl Format {
    /// The media type, for whoever serves the file.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
        }
    }

    /// Known by the first bytes, or what it is instead.
    pub(super) fn of(bytes: &[u8]) -> Result<Self, Flaw> {
        match bytes {
            [0xFF, 0xD8, 0xFF, ..] => Ok(Self::Jpeg),
            [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Ok(Self::Png),
            [_, _, _, _, b'f', b't', b'y', b'p', ..] => Err(boxed(bytes)),
            _ => Err(known_start(bytes).map_or_else(|| unknown(bytes), Flaw::OtherFormat)),
        }
    }
}

/// Starts of other kinds of picture, from their published formats.
fn known_start(bytes: &[u8]) -> Option<&'static str> {
    Some(match bytes {
        [
            b'R',
            b'I',
            b'F',
            b'F',
            _,
            _,
            _,
            _,
            b'W',
            b'E',
            b'B',
            b'P',
            ..,
        ] => "a WebP picture",
        [b'G', b'I', b'F', b'8', ..] => "a GIF picture",
        [b'B', b'M', _, _, _, _, 0, 0, 0, 0, ..] => "a BMP picture",
        [b'I', b'I', b'*', 0, ..] | [b'M', b'M', 0, b'*', ..] => {
            "a TIFF picture or a camera's raw file"
        }
        [b'I', b'I', b'R', b'O' | b'S', ..] | [b'I', b'I', b'U', 0, ..] => "a camera's raw file",
        [
            b'F',
            b'U',
            b'J',
            b'I',
            b'F',
            b'I',
            b'L',
            b'M',
            b'C',
            b'C',
            b'D',
            b'-',
            b'R',
            b'A',
            b'W',
            ..,
        ] => "a camera's raw file",
        [0xFF, 0x0A, ..] | [0, 0, 0, 0x0C, b'J', b'X', b'L', b' ', ..] => "a JPEG XL picture",
        [0, 0, 0, 0x0C, b'j', b'P', b' ', b' ', ..] | [0xFF, 0x4F, 0xFF, 0x51, ..] => {
            "a JPEG 2000 picture"
        }
        [b'%', b'P', b'D', b'F', ..] => "a PDF",
        _ => return None,
    })
}

/// A photo that was cut within its first bytes is called that, not a stranger.
fn unknown(bytes: &[u8]) -> Flaw {
    let begins: [&[u8]; 2] = [&[0xFF, 0xD8, 0xFF], b"\x89PNG\r\n\x1A\n"];
    if begins.iter().any(|begin| begin.starts_with(bytes)) {
        Flaw::CutShort
    } else {
        Flaw::NotAPicture
    }
}

/// The family of ISO/IEC 14496-12: still pictures and films in boxes, told apart by the brands in the first box.
fn boxed(bytes: &[u8]) -> Flaw {
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
        b"crx " => Flaw::OtherFormat("a camera's raw file"),
        _ if all
            .clone()
            .any(|brand| brand == b"avif" || brand == b"avis") =>
        {
            Flaw::OtherFormat("an AVIF picture")
        }
        b"mif1" | b"msf1" | b"mif2" => Flaw::Heic,
        _ if all.any(|brand| heic.contains(&brand)) => Flaw::Heic,
        _ => Flaw::OtherFormat("a film"),
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
    fn phones_and_films_are_told_apart_by_brand() {
        assert_eq!(
            Format::of(&ftyp(b"heic", &[b"mif1", b"heic"])),
            Err(Flaw::Heic)
        );
        assert_eq!(
            Format::of(&ftyp(b"mif1", &[b"mif1", b"heic"])),
            Err(Flaw::Heic)
        );
        assert_eq!(
            Format::of(&ftyp(b"mif1", &[b"avif"])),
            Err(Flaw::OtherFormat("an AVIF picture"))
        );
        assert_eq!(
            Format::of(&ftyp(b"avif", &[b"mif1"])),
            Err(Flaw::OtherFormat("an AVIF picture"))
        );
        assert_eq!(
            Format::of(&ftyp(b"isom", &[b"mp41"])),
            Err(Flaw::OtherFormat("a film"))
        );
        assert_eq!(
            Format::of(&ftyp(b"heic", &[])[..11]),
            Err(Flaw::OtherFormat("a film"))
        );
    }

    #[test]
    fn others_are_called_by_name() {
        for (start, kind) in [
            (&b"RIFF\x10\0\0\0WEBPVP8 "[..], "a WebP picture"),
            (b"GIF89a", "a GIF picture"),
            (b"II*\0\x08\0\0\0", "a TIFF picture or a camera's raw file"),
            (b"MM\0*\0\0\0\x08", "a TIFF picture or a camera's raw file"),
            (b"BM\x10\0\0\0\0\0\0\0", "a BMP picture"),
        ] {
            assert_eq!(Format::of(start), Err(Flaw::OtherFormat(kind)));
        }
        assert_eq!(Format::of(b"hello, I am a text"), Err(Flaw::NotAPicture));
        assert_eq!(Format::of(b"\xFF\xD8"), Err(Flaw::CutShort));
        assert_eq!(Format::of(b"\x89PNG"), Err(Flaw::CutShort));
    }
}
