//! The structure that EXIF is kept in (TIFF 6.0): directories of entries, found by offsets.
//!
//! Cameras' own notes hold offsets that only the camera's maker understands, so nothing here ever moves: what must go
//! is overwritten where it stands.

use std::collections::BTreeSet;
use std::ops::Range;

/// Tags that are followed or read (EXIF 3.0 and TIFF 6.0).
pub(super) mod tag {
    pub const ORIENTATION: u16 = 0x0112;
    pub const SUB_DIRECTORIES: u16 = 0x014A;
    pub const THUMBNAIL_OFFSET: u16 = 0x0201;
    pub const THUMBNAIL_LENGTH: u16 = 0x0202;
    pub const XMP: u16 = 0x02BC;
    pub const IPTC: u16 = 0x83BB;
    pub const RESOURCES: u16 = 0x8649;
    pub const EXIF: u16 = 0x8769;
    pub const GPS: u16 = 0x8825;
    pub const TIME_ORIGINAL: u16 = 0x9003;
    pub const TIME_DIGITIZED: u16 = 0x9004;
    pub const OFFSET_ORIGINAL: u16 = 0x9011;
    pub const OFFSET_DIGITIZED: u16 = 0x9012;
    pub const INTEROPERABILITY: u16 = 0xA005;
}

const ENTRY_BYTES: usize = 12;
/// More directories than any camera writes; a file that loops or breeds stops here.
const MOST_DIRECTORIES: usize = 64;
/// More entries than any camera writes in one directory; those behind are not looked at.
const MOST_ENTRIES: usize = 512;

/// What a directory is for, by the way it was reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Purpose {
    Picture,
    Position,
    Other,
}

/// One entry: where its 12 bytes stand and where its value does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub at: usize,
    pub tag: u16,
    pub kind: u16,
    pub count: usize,
    /// Within the entry itself if it fits in four bytes, else wherever its offset says; cut to what is there.
    pub value: Range<usize>,
}

/// A list of entries.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Directory {
    pub at: usize,
    pub purpose: Purpose,
    pub entries: Vec<Entry>,
}

impl Directory {
    pub fn entry(&self, tag: u16) -> Option<&Entry> {
        self.entries.iter().find(|entry| entry.tag == tag)
    }

    /// The bytes of its count and entries.
    pub fn span(&self) -> Range<usize> {
        self.at..self.at + 2 + self.entries.len() * ENTRY_BYTES
    }
}

/// Reads one TIFF structure without copying it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tiff<'a> {
    bytes: &'a [u8],
    order: ByteOrder,
}

/// Which end of a number comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum ByteOrder {
    Little,
    Big,
}

impl<'a> Tiff<'a> {
    /// Checks the header; `None` if this is not TIFF.
    pub fn open(bytes: &'a [u8]) -> Option<Self> {
        let order = match bytes {
            [b'I', b'I', b'*', 0, _, _, _, _, ..] => ByteOrder::Little,
            [b'M', b'M', 0, b'*', _, _, _, _, ..] => ByteOrder::Big,
            _ => return None,
        };
        Some(Self { bytes, order })
    }

    pub fn order(&self) -> ByteOrder {
        self.order
    }

    fn u16_at(&self, at: usize) -> Option<u16> {
        let bytes = *self.bytes.get(at..)?.first_chunk()?;
        Some(match self.order {
            ByteOrder::Little => u16::from_le_bytes(bytes),
            ByteOrder::Big => u16::from_be_bytes(bytes),
        })
    }

    fn u32_at(&self, at: usize) -> Option<u32> {
        let bytes = *self.bytes.get(at..)?.first_chunk()?;
        Some(match self.order {
            ByteOrder::Little => u32::from_le_bytes(bytes),
            ByteOrder::Big => u32::from_be_bytes(bytes),
        })
    }

    /// Every directory that can be reached, each once, however the offsets loop.
    pub fn directories(&self) -> Vec<Directory> {
        let mut waiting: Vec<(usize, Purpose)> = Vec::new();
        waiting.extend(
            self.u32_at(4)
                .map(|first| (first as usize, Purpose::Picture)),
        );
        let mut seen = BTreeSet::from([0]);
        let mut found = Vec::new();
        while let Some((at, purpose)) = waiting.pop() {
            if !seen.insert(at) || found.len() == MOST_DIRECTORIES {
                continue;
            }
            let Some(directory) = self.directory(at, purpose) else {
                continue;
            };
            if purpose == Purpose::Picture {
                let next = self
                    .u32_at(directory.span().end)
                    .map(|next| (next as usize, Purpose::Picture));
                waiting.extend(next);
            }
            waiting.extend(directory.entries.iter().flat_map(|entry| self.below(entry)));
            found.push(directory);
        }
        found
    }

    /// The directories that an entry points to.
    fn below(&self, entry: &Entry) -> Vec<(usize, Purpose)> {
        let purpose = match entry.tag {
            tag::GPS => Purpose::Position,
            tag::SUB_DIRECTORIES => Purpose::Picture,
            tag::EXIF | tag::INTEROPERABILITY => Purpose::Other,
            _ => return Vec::new(),
        };
        let offsets = entry.value.clone().step_by(4).take(MOST_DIRECTORIES);
        offsets
            .filter_map(|at| Some((self.u32_at(at)? as usize, purpose)))
            .collect()
    }

    /// One directory, with as many of its entries as are there.
    fn directory(&self, at: usize, purpose: Purpose) -> Option<Directory> {
        let count = usize::from(self.u16_at(at)?);
        let room = self.bytes.len().saturating_sub(at + 2) / ENTRY_BYTES;
        let starts = (0..count.min(room).min(MOST_ENTRIES)).map(|i| at + 2 + i * ENTRY_BYTES);
        let entries = starts.filter_map(|at| self.entry(at)).collect();
        Some(Directory {
            at,
            purpose,
            entries,
        })
    }

    fn entry(&self, at: usize) -> Option<Entry> {
        let kind = self.u16_at(at + 2)?;
        let count = self.u32_at(at + 4)? as usize;
        let length = count.saturating_mul(bytes_of(kind));
        let start = if length <= 4 {
            at + 8
        } else {
            self.u32_at(at + 8)? as usize
        };
        let start = start.min(self.bytes.len());
        let end = start.saturating_add(length).min(self.bytes.len());
        Some(Entry {
            at,
            tag: self.u16_at(at)?,
            kind,
            count,
            value: start..end,
        })
    }

    /// A whole number, of whichever width the writer took.
    pub fn number(&self, entry: &Entry) -> Option<u32> {
        match entry.kind {
            1 => self
                .bytes
                .get(entry.value.start)
                .map(|byte| u32::from(*byte)),
            3 => self.u16_at(entry.value.start).map(u32::from),
            4 | 13 => self.u32_at(entry.value.start),
            _ => None,
        }
    }

    /// A text, up to its closing zero.
    pub fn text(&self, entry: &Entry) -> Option<&'a str> {
        let bytes = self
            .bytes
            .get(entry.value.clone())
            .filter(|_| entry.kind == 2)?;
        let end = bytes
            .iter()
            .position(|byte| *byte == 0)
            .unwrap_or(bytes.len());
        std::str::from_utf8(&bytes[..end]).ok()
    }
}

/// Bytes a value, by TIFF 6.0 section 2 and EXIF 3.0 (129: UTF-8); an unknown kind counts as single bytes.
const fn bytes_of(kind: u16) -> usize {
    match kind {
        3 | 8 => 2,
        4 | 9 | 11 | 13 => 4,
        5 | 10 | 12 => 8,
        _ => 1,
    }
}

/// Leaves in a directory only the entries whose index `keeps`; they move up, and the places left over are wiped.
///
/// Nothing points at a single entry, only at directories and values, so nothing else needs to follow. The offset of the
/// next directory stands behind the entries and moves up with them.
pub(super) fn keep_entries(
    bytes: &mut [u8],
    directory: &Directory,
    order: ByteOrder,
    keeps: &[bool],
) {
    let span = directory.span();
    let Some(old) = bytes
        .get(span.start..(span.end + 4).min(bytes.len()))
        .map(<[u8]>::to_vec)
    else {
        return;
    };
    let count = keeps.iter().filter(|keep| **keep).count() as u16;
    let mut new = match order {
        ByteOrder::Little => count.to_le_bytes(),
        ByteOrder::Big => count.to_be_bytes(),
    }
    .to_vec();
    let (entries, next) = old[2..].split_at(keeps.len() * ENTRY_BYTES);
    let kept = entries
        .chunks_exact(ENTRY_BYTES)
        .zip(keeps)
        .filter(|(_, keep)| **keep);
    kept.for_each(|(entry, _)| new.extend(entry));
    new.extend(next);
    new.resize(old.len(), 0);
    bytes[span.start..span.start + new.len()].copy_from_slice(&new);
}
