//! The structure of a PNG file (W3C PNG, third edition): its chunks, and whether it is whole.

use std::ops::Range;

use crate::{PictureError, check_size};

/// More chunks than any encoder writes in a file of allowed size; more would only take memory.
const MOST_CHUNKS: usize = 500_000;

/// One chunk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chunk {
    /// Its type.
    pub kind: [u8; 4],
    /// Its position, with length, type and checksum.
    pub whole: Range<usize>,
    /// The position of its data.
    pub data: Range<usize>,
}

/// The positions of all parts of a complete PNG file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// All chunks in their order, from `IHDR` to `IEND`.
    pub chunks: Vec<Chunk>,
}

impl Layout {
    /// Reads the structure from the signature to the last chunk.
    ///
    /// # Errors
    /// [`PictureError`] if the file is not complete or its size is not allowed.
    pub fn of(bytes: &[u8]) -> Result<Self, PictureError> {
        let mut chunks: Vec<Chunk> = Vec::new();
        let mut at = 8;
        while chunks.last().is_none_or(|chunk| &chunk.kind != b"IEND") {
            if chunks.len() == MOST_CHUNKS {
                return Err(PictureError::Damaged("it has too many chunks".into()));
            }
            let chunk = chunk_at(bytes, at).ok_or(PictureError::CutShort)?;
            at = chunk.whole.end;
            chunks.push(chunk);
        }
        if chunks.last().is_some_and(|chunk| !chunk.data.is_empty()) {
            return Err(PictureError::Damaged("its last chunk is not empty".into()));
        }
        let header = chunks.first().filter(|chunk| &chunk.kind == b"IHDR");
        let header = header.map(|chunk| &bytes[chunk.data.clone()]);
        let Some([w0, w1, w2, w3, h0, h1, h2, h3, _, _, _, _, _]) = header else {
            return Err(PictureError::Damaged(
                "it does not begin with its size".into(),
            ));
        };
        let width = u32::from_be_bytes([*w0, *w1, *w2, *w3]);
        let height = u32::from_be_bytes([*h0, *h1, *h2, *h3]);
        check_size(width, height)?;
        Ok(Self {
            width,
            height,
            chunks,
        })
    }

    /// Where the picture ends; what follows is not part of it.
    pub(crate) fn end(&self) -> usize {
        self.chunks.last().map_or(0, |chunk| chunk.whole.end)
    }
}

fn chunk_at(bytes: &[u8], at: usize) -> Option<Chunk> {
    let length = u32::from_be_bytes(*bytes.get(at..)?.first_chunk()?) as usize;
    let kind = *bytes.get(at + 4..)?.first_chunk()?;
    let data = at + 8..(at + 8).checked_add(length)?;
    let whole = at..data.end.checked_add(4)?;
    (whole.end <= bytes.len()).then_some(Chunk { kind, whole, data })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chunk(kind: &[u8; 4], data: &[u8]) -> Vec<u8> {
        let length = (data.len() as u32).to_be_bytes();
        [&length, &kind[..], data, &[0; 4]].concat()
    }

    fn file(more: &[u8], end: &[u8]) -> Vec<u8> {
        let header = chunk(b"IHDR", &[0, 0, 0, 2, 0, 0, 0, 3, 8, 2, 0, 0, 0]);
        [
            b"\x89PNG\r\n\x1A\n",
            &header[..],
            more,
            &chunk(b"IEND", end),
        ]
        .concat()
    }

    #[test]
    fn size_and_end_are_read() {
        let bytes = file(&chunk(b"tEXt", b"a"), b"");
        let layout = Layout::of(&bytes).ok();
        let found = layout.map(|layout| (layout.width, layout.height, layout.end()));
        assert_eq!(found, Some((2, 3, bytes.len())));
        assert_eq!(
            Layout::of(&bytes[..bytes.len() - 1]),
            Err(PictureError::CutShort)
        );
    }

    #[test]
    fn too_many_chunks_or_a_filled_end_are_rejected() {
        let many = chunk(b"IDAT", b"").repeat(MOST_CHUNKS);
        assert!(matches!(
            Layout::of(&file(&many, b"")),
            Err(PictureError::Damaged(_))
        ));
        assert!(matches!(
            Layout::of(&file(b"", b"GPS")),
            Err(PictureError::Damaged(_))
        ));
    }
}
