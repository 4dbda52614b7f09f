//! The structure of a PNG file (W3C PNG, third edition): its chunks, and whether it is whole.

use std::ops::Range;

use super::check_size;
use super::error::Flaw;

/// One chunk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Chunk {
    pub kind: [u8; 4],
    /// With length, kind and checksum.
    pub whole: Range<usize>,
    pub data: Range<usize>,
}

/// Where everything is in a PNG file that is whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Map {
    pub width: u32,
    pub height: u32,
    pub chunks: Vec<Chunk>,
    /// Behind the last chunk; whatever follows is not this picture.
    pub end: usize,
}

impl Map {
    /// Walks the file from its signature to its last chunk.
    pub fn of(bytes: &[u8]) -> Result<Self, Flaw> {
        let mut chunks: Vec<Chunk> = Vec::new();
        let mut at = 8;
        while chunks.last().is_none_or(|chunk| &chunk.kind != b"IEND") {
            let chunk = chunk_at(bytes, at).ok_or(Flaw::CutShort)?;
            at = chunk.whole.end;
            chunks.push(chunk);
        }
        let size = chunks
            .first()
            .filter(|chunk| &chunk.kind == b"IHDR")
            .map(|chunk| &bytes[chunk.data.clone()]);
        let size = size
            .and_then(|data| Some((data.first_chunk::<4>()?, data.get(4..)?.first_chunk::<4>()?)));
        let (width, height) =
            size.ok_or_else(|| Flaw::Damaged("it does not begin with its size".into()))?;
        let (width, height) = (u32::from_be_bytes(*width), u32::from_be_bytes(*height));
        check_size(width, height)?;
        Ok(Self {
            width,
            height,
            chunks,
            end: at,
        })
    }

    /// The data of the first chunk of a kind.
    pub fn data(&self, kind: &[u8; 4]) -> Option<Range<usize>> {
        self.chunks
            .iter()
            .find(|chunk| &chunk.kind == kind)
            .map(|chunk| chunk.data.clone())
    }
}

fn chunk_at(bytes: &[u8], at: usize) -> Option<Chunk> {
    let length = u32::from_be_bytes(*bytes.get(at..)?.first_chunk()?) as usize;
    let kind = *bytes.get(at + 4..)?.first_chunk()?;
    let data = at + 8..(at + 8).checked_add(length)?;
    let whole = at..data.end.checked_add(4)?;
    (whole.end <= bytes.len()).then_some(Chunk { kind, whole, data })
}

/// A chunk that a picture cannot be shown without (11.2), or its colours (11.3.2).
pub(super) fn is_picture(kind: &[u8; 4]) -> bool {
    let upper = kind[0].is_ascii_uppercase();
    upper
        || matches!(
            kind,
            b"tRNS"
                | b"iCCP"
                | b"sRGB"
                | b"gAMA"
                | b"cHRM"
                | b"cICP"
                | b"sBIT"
                | b"fdAT"
                | b"fcTL"
                | b"acTL"
        )
}

/// A whole chunk with its length and checksum.
pub(super) fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut bytes = (data.len() as u32).to_be_bytes().to_vec();
    bytes.extend(kind);
    bytes.extend(data);
    bytes.extend(crc(&bytes[4..]).to_be_bytes());
    bytes
}

/// The checksum of annex D, a bit at a time: metadata is short.
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
            if crc & 1 == 1 {
                0xEDB8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            }
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The empty last chunk, as it stands at the end of every PNG file: its checksum is known.
    #[test]
    fn a_chunk_ends_in_its_checksum() {
        assert_eq!(chunk(b"IEND", b""), b"\0\0\0\0IEND\xAE\x42\x60\x82");
    }
}
