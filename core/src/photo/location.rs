//! Taking out of a file whatever tells where the photo was taken; its pixels stay byte for byte.
//!
//! | where | what is done |
//! |---|---|
//! | EXIF, and the small picture within it | the position is overwritten in place, see [`exif::remove_location`] |
//! | XMP, also in several parts | goes altogether if it names a position or a place |
//! | IPTC record | datasets of places go, the others stay |
//! | other segments and comments | go if they name a position |
//! | behind the end of the picture | goes: further pictures, depth maps and short films carry metadata of their own |
//! | PNG text that is packed | goes, for it is not unpacked here |
//!
//! Makers' own notes within EXIF cannot be known. They stay, since a camera's makers store focus and lens there, and few
//! store a position.

use std::ops::BitOrAssign;

use super::exif;
use super::jpeg::{self, Segment, label, marker};
use super::png;
use super::resources;
use super::words::{speaks_of_place, speaks_of_position};

/// Whether a position was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[must_use]
pub(super) enum Found {
    Nothing,
    Something,
}

impl Found {
    pub const fn is_something(self) -> bool {
        matches!(self, Self::Something)
    }

    const fn when(yes: bool) -> Self {
        if yes { Self::Something } else { Self::Nothing }
    }
}

impl BitOrAssign for Found {
    fn bitor_assign(&mut self, other: Self) {
        if other.is_something() {
            *self = other;
        }
    }
}

/// A JPEG file without positions, and whether there was one.
pub(super) fn remove_from_jpeg(mut bytes: Vec<u8>, map: &jpeg::Map) -> (Vec<u8>, Found) {
    let mut found = Found::Nothing;
    if let Some(range) = map.exif(&bytes) {
        found |= exif::remove_location(&mut bytes[range]);
    }
    let plan = JpegPlan::of(&bytes, map);
    let gone: Vec<&Segment> = map
        .segments
        .iter()
        .filter(|segment| plan.drops(&bytes, segment))
        .collect();
    // The list of further pictures goes with the pictures, and tells of no place itself.
    let telling = |segment: &&&Segment| !is(&bytes, segment, marker::APP2, label::MORE_PICTURES);
    found |= Found::when(gone.iter().any(|segment| telling(&segment)));
    if gone.is_empty() && !plan.has_trailer {
        return (bytes, found);
    }
    let mut left = Vec::with_capacity(bytes.len());
    let mut at = 0;
    for segment in gone {
        left.extend(&bytes[at..segment.whole.start]);
        if is(&bytes, segment, marker::APP13, label::RESOURCES) {
            left.extend(plan.resources_at(segment));
        }
        at = segment.whole.end;
    }
    left.extend(&bytes[at..map.end]);
    (left, found)
}

fn is(bytes: &[u8], segment: &Segment, marker: u8, label: &[u8]) -> bool {
    segment.marker == marker && bytes[segment.body.clone()].starts_with(label)
}

/// What must be known of the whole file before a single segment is judged.
struct JpegPlan {
    has_trailer: bool,
    xmp_tells: bool,
    /// Where the EXIF that was read stands; further EXIF is not read by anybody, and goes.
    exif_at: Option<usize>,
    /// Where the first resource segment stands, and what comes instead of all of them.
    resources: Option<(usize, Vec<u8>)>,
}

impl JpegPlan {
    fn of(bytes: &[u8], map: &jpeg::Map) -> Self {
        let joined = |marker, label: &[u8], skip: usize| -> Vec<u8> {
            let parts = map
                .segments
                .iter()
                .filter(|segment| is(bytes, segment, marker, label));
            parts
                .flat_map(|segment| bytes[segment.body.clone()].iter().skip(label.len() + skip))
                .copied()
                .collect()
        };
        // Behind its label, each further part of XMP has 40 bytes of its own: a digest, the length and the place.
        let xmp_tells = speaks_of_place(&joined(marker::APP1, label::XMP, 0))
            || speaks_of_place(&joined(marker::APP1, label::MORE_XMP, 40));
        let first = map
            .segments
            .iter()
            .find(|segment| is(bytes, segment, marker::APP13, label::RESOURCES));
        let blocks = resources::without_places(&joined(marker::APP13, label::RESOURCES, 0));
        Self {
            has_trailer: map.end < bytes.len(),
            xmp_tells,
            exif_at: map.exif(bytes).map(|range| range.start - label::EXIF.len()),
            resources: first
                .zip(blocks)
                .map(|(segment, blocks)| (segment.whole.start, blocks)),
        }
    }

    fn drops(&self, bytes: &[u8], segment: &Segment) -> bool {
        let body = &bytes[segment.body.clone()];
        match segment.marker {
            marker::APP1 if body.starts_with(label::EXIF) => {
                self.exif_at != Some(segment.body.start)
            }
            marker::APP1 if body.starts_with(label::XMP) || body.starts_with(label::MORE_XMP) => {
                self.xmp_tells
            }
            marker::APP2 if body.starts_with(label::MORE_PICTURES) => self.has_trailer,
            marker::APP2 if body.starts_with(label::ICC) => false,
            marker::APP13 if body.starts_with(label::RESOURCES) => self.resources.is_some(),
            marker::APP0..=marker::APP15 | marker::COM => speaks_of_position(body),
            _ => false,
        }
    }

    /// The segments of resource blocks that are left, at the place of the first.
    fn resources_at(&self, segment: &Segment) -> Vec<u8> {
        let blocks = self
            .resources
            .iter()
            .filter(|(at, _)| *at == segment.whole.start);
        let parts =
            blocks.flat_map(|(_, blocks)| blocks.chunks(0xFFFF - 2 - label::RESOURCES.len()));
        let mut bytes = Vec::new();
        for part in parts {
            let length = (2 + label::RESOURCES.len() + part.len()) as u16;
            bytes.extend([0xFF, marker::APP13]);
            bytes.extend(length.to_be_bytes());
            bytes.extend(label::RESOURCES);
            bytes.extend(part);
        }
        bytes
    }
}

/// A PNG file without positions, and whether there was one.
pub(super) fn remove_from_png(bytes: Vec<u8>, map: &png::Map) -> (Vec<u8>, Found) {
    let mut found = Found::Nothing;
    let mut left = Vec::with_capacity(bytes.len());
    left.extend(&bytes[..8]);
    for chunk in &map.chunks {
        let data = &bytes[chunk.data.clone()];
        match png_chunk(&chunk.kind, data) {
            Fate::Stays => left.extend(&bytes[chunk.whole.clone()]),
            Fate::Goes => found = Found::Something,
            Fate::Becomes(data) => {
                found = Found::Something;
                left.extend(png::chunk(&chunk.kind, &data));
            }
        }
    }
    (left, found)
}

enum Fate {
    Stays,
    Goes,
    Becomes(Vec<u8>),
}

/// Larger EXIF than any camera writes in PNG; it goes unread.
const MOST_PNG_EXIF: usize = 256 * 1024;

fn png_chunk(kind: &[u8; 4], data: &[u8]) -> Fate {
    let goes = match kind {
        b"eXIf" if data.len() <= MOST_PNG_EXIF => {
            let mut data = data.to_vec();
            return match exif::remove_location(&mut data) {
                Found::Something => Fate::Becomes(data),
                Found::Nothing => Fate::Stays,
            };
        }
        b"eXIf" | b"zTXt" => true,
        b"tEXt" => speaks_of_place(data) || data.starts_with(b"Raw profile type"),
        b"iTXt" => {
            is_packed(data) || speaks_of_place(data) || data.starts_with(b"Raw profile type")
        }
        _ => !png::is_picture(kind) && speaks_of_position(data),
    };
    if goes { Fate::Goes } else { Fate::Stays }
}

/// International text may be packed: one byte behind the keyword's zero says so (PNG, 11.3.3.4).
fn is_packed(data: &[u8]) -> bool {
    let flag = data
        .iter()
        .position(|byte| *byte == 0)
        .and_then(|zero| data.get(zero + 1));
    flag != Some(&0)
}
