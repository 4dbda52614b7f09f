//! The structure of a JPEG file (ISO/IEC 10918-1, annex B): its segments, its scans, and where it ends.
//!
//! Pixels are not looked at here.

use std::ops::Range;

use super::error::Flaw;
use super::location::Found;
use super::words::{blank, speaks_of_place};
use super::{check_size, exif};

/// Markers (table B.1), the second byte of two.
pub(super) mod marker {
    pub const SOF0: u8 = 0xC0;
    pub const SOF1: u8 = 0xC1;
    pub const SOF2: u8 = 0xC2;
    pub const DHT: u8 = 0xC4;
    pub const JPG: u8 = 0xC8;
    pub const DAC: u8 = 0xCC;
    pub const SOF15: u8 = 0xCF;
    pub const DRI: u8 = 0xDD;
    pub const RST0: u8 = 0xD0;
    pub const RST7: u8 = 0xD7;
    pub const SOI: u8 = 0xD8;
    pub const EOI: u8 = 0xD9;
    pub const SOS: u8 = 0xDA;
    pub const TEM: u8 = 0x01;
    pub const APP0: u8 = 0xE0;
    pub const APP1: u8 = 0xE1;
    pub const APP2: u8 = 0xE2;
    pub const APP13: u8 = 0xED;
    pub const APP15: u8 = 0xEF;
    pub const COM: u8 = 0xFE;
}

/// What EXIF, XMP and so on begin with, each in its kind of segment.
pub(super) mod label {
    pub const EXIF: &[u8] = b"Exif\0\0";
    pub const XMP: &[u8] = b"http://ns.adobe.com/xmp/1.0/\0";
    pub const MORE_XMP: &[u8] = b"http://ns.adobe.com/xmp/extension/\0";
    pub const ICC: &[u8] = b"ICC_PROFILE\0";
    pub const MORE_PICTURES: &[u8] = b"MPF\0";
    pub const RESOURCES: &[u8] = b"Photoshop 3.0\0";
}

/// A marker with a length, and what belongs to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Segment {
    pub marker: u8,
    /// With marker and length.
    pub whole: Range<usize>,
    /// Behind the length.
    pub body: Range<usize>,
}

/// The picture's size and coding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Frame {
    pub width: u32,
    pub height: u32,
    pub components: u8,
    sampling: Vec<Sampling>,
}

/// How finely one colour is stored, in comparison with the others (B.2.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Sampling {
    id: u8,
    across: u64,
    down: u64,
}

/// Where everything is in a JPEG file that is whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Map {
    pub frame: Frame,
    /// Segments in their order, those between scans too.
    pub segments: Vec<Segment>,
    /// The packed pixels.
    pub scans: Vec<Range<usize>>,
    /// Behind the end-of-image marker; whatever follows is not this picture.
    pub end: usize,
    /// Bytes between segments that belong to none, as careless writers leave.
    pub strays: bool,
}

impl Map {
    /// Walks the file from its first marker to its last.
    pub fn of(bytes: &[u8]) -> Result<Self, Flaw> {
        let mut walk = Walk {
            bytes,
            at: 2,
            strays: false,
            restarts: 0,
        };
        let (mut segments, mut scans, mut frame) = (Vec::new(), Vec::new(), None);
        let mut interval = 0;
        loop {
            let marker = walk.marker()?;
            if marker == marker::EOI {
                break;
            }
            let segment = walk.segment(marker)?;
            if is_frame(marker) {
                let read = read_frame(marker, &bytes[segment.body.clone()])?;
                if frame.replace(read).is_some() {
                    return Err(Flaw::Damaged("it describes two pictures at once".into()));
                }
            }
            let body = &bytes[segment.body.clone()];
            match marker {
                marker::DRI => interval = read_interval(body),
                marker::SOS => {
                    let restarts = walk.restarts;
                    scans.push(walk.scan()?);
                    let wanted = frame
                        .as_ref()
                        .and_then(|frame: &Frame| frame.restarts(body, interval));
                    if wanted > Some(walk.restarts - restarts) {
                        return Err(Flaw::Damaged("a part of its pixels is missing".into()));
                    }
                }
                _ => {}
            }
            segments.push(segment);
        }
        let frame = frame.ok_or_else(|| Flaw::Damaged("there is no picture in it".into()))?;
        let map = Self {
            frame,
            segments,
            scans,
            end: walk.at,
            strays: walk.strays,
        };
        map.has_enough_data()
            .then_some(map)
            .ok_or_else(|| Flaw::Damaged("it holds too little data for its size".into()))
    }

    /// Every block of 8 by 8 pixels takes at least one bit, in every coding that is read here (annexes F and G).
    fn has_enough_data(&self) -> bool {
        let pixels = u64::from(self.frame.width) * u64::from(self.frame.height);
        let bytes: usize = self.scans.iter().map(ExactSizeIterator::len).sum();
        bytes as u64 >= pixels / (64 * 8)
    }

    /// Segments of one marker that begin with a label.
    pub fn labelled<'a>(
        &'a self,
        bytes: &'a [u8],
        marker: u8,
        label: &'a [u8],
    ) -> impl Iterator<Item = &'a Segment> {
        let here = move |segment: &&Segment| {
            segment.marker == marker && bytes[segment.body.clone()].starts_with(label)
        };
        self.segments.iter().filter(here)
    }

    /// The EXIF structure: the first there is.
    pub fn exif(&self, bytes: &[u8]) -> Option<Range<usize>> {
        let segment = self.labelled(bytes, marker::APP1, label::EXIF).next()?;
        Some(segment.body.start + label::EXIF.len()..segment.body.end)
    }
}

impl Frame {
    /// How many restart markers a scan with this header must have within it (B.2.4.4), so that a part of its pixels that
    /// is missing shows; `None` if the header cannot be read.
    fn restarts(&self, header: &[u8], interval: u64) -> Option<u64> {
        let (count, rest) = header.split_first()?;
        let named = rest.get(..2 * usize::from(*count))?.as_chunks::<2>().0;
        let largest = |pick: fn(&Sampling) -> u64| self.sampling.iter().map(pick).max();
        let (most_across, most_down) = (largest(|one| one.across)?, largest(|one| one.down)?);
        // One colour alone is stored block by block, several in groups that cover the same part of the picture (A.2).
        let (across, down) = match named {
            [[id, _]] => self
                .sampling
                .iter()
                .find(|one| one.id == *id)
                .map(|one| (one.across, one.down))?,
            _ => (1, 1),
        };
        let groups = |side: u32, own: u64, most: u64| (u64::from(side) * own).div_ceil(8 * most);
        let groups = groups(self.width, across, most_across) * groups(self.height, down, most_down);
        Some(groups.div_ceil(interval.max(1)).saturating_sub(1)).filter(|_| interval > 0)
    }
}

fn read_interval(body: &[u8]) -> u64 {
    body.first_chunk()
        .map_or(0, |two| u16::from_be_bytes(*two).into())
}

/// Start of frame, whatever its coding.
const fn is_frame(marker: u8) -> bool {
    matches!(marker, marker::SOF0..=marker::SOF15)
        && !matches!(marker, marker::DHT | marker::JPG | marker::DAC)
}

fn read_sampling(body: &[u8], components: u8) -> Result<Vec<Sampling>, Flaw> {
    let read = |[id, factors, _]: &[u8; 3]| Sampling {
        id: *id,
        across: u64::from(factors >> 4),
        down: u64::from(factors & 15),
    };
    let sampling: Vec<_> = body
        .as_chunks::<3>()
        .0
        .iter()
        .take(components.into())
        .map(read)
        .collect();
    let sound = |one: &Sampling| (1..=4).contains(&one.across) && (1..=4).contains(&one.down);
    match sampling.len() == usize::from(components) && sampling.iter().all(sound) {
        true => Ok(sampling),
        false => Err(Flaw::Damaged(
            "its colours are not described in full".into(),
        )),
    }
}

fn read_frame(marker: u8, body: &[u8]) -> Result<Frame, Flaw> {
    let [precision, high, low, wide, narrow, components, ..] = *body else {
        return Err(Flaw::Damaged("its size is not written in full".into()));
    };
    let frame = Frame {
        width: u16::from_be_bytes([wide, narrow]).into(),
        height: u16::from_be_bytes([high, low]).into(),
        components,
        sampling: read_sampling(&body[6..], components)?,
    };
    check_size(frame.width, frame.height)?;
    match (marker, precision, components) {
        (marker::SOF0 | marker::SOF1 | marker::SOF2, 8, 1 | 3 | 4) => Ok(frame),
        (marker::SOF0 | marker::SOF1 | marker::SOF2, 8, _) => {
            Err(Flaw::RareJpeg("an odd number of colours"))
        }
        (marker::SOF0 | marker::SOF1 | marker::SOF2, ..) => {
            Err(Flaw::RareJpeg("more than 8 bits a colour"))
        }
        _ => Err(Flaw::RareJpeg("lossless, layered or arithmetic coding")),
    }
}

/// A walk along the markers.
struct Walk<'a> {
    bytes: &'a [u8],
    at: usize,
    strays: bool,
    /// Restart markers seen within scans.
    restarts: u64,
}

impl Walk<'_> {
    fn byte(&self, at: usize) -> Result<u8, Flaw> {
        self.bytes.get(at).copied().ok_or(Flaw::CutShort)
    }

    /// The next marker that means something; strays before it are passed over, as common readers do.
    fn marker(&mut self) -> Result<u8, Flaw> {
        loop {
            let rest = self.bytes.get(self.at..).unwrap_or_default();
            let gap = rest
                .iter()
                .position(|byte| *byte == 0xFF)
                .ok_or(Flaw::CutShort)?;
            let fill = rest[gap..]
                .iter()
                .position(|byte| *byte != 0xFF)
                .ok_or(Flaw::CutShort)?;
            self.at += gap + fill + 1;
            let marker = rest[gap + fill];
            self.strays |= gap > 0;
            match marker {
                0 | marker::TEM | marker::RST0..=marker::SOI => self.strays = true,
                _ => return Ok(marker),
            }
        }
    }

    /// The segment whose marker was just read.
    fn segment(&mut self, marker: u8) -> Result<Segment, Flaw> {
        let length = usize::from(u16::from_be_bytes([
            self.byte(self.at)?,
            self.byte(self.at + 1)?,
        ]));
        if length < 2 {
            return Err(Flaw::Damaged("a part of it has no length".into()));
        }
        let end = self.at + length;
        if end > self.bytes.len() {
            return Err(Flaw::CutShort);
        }
        let segment = Segment {
            marker,
            whole: self.at - 2..end,
            body: self.at + 2..end,
        };
        self.at = end;
        Ok(segment)
    }

    /// Packed pixels, up to the next marker that is not one of theirs.
    fn scan(&mut self) -> Result<Range<usize>, Flaw> {
        let start = self.at;
        loop {
            let rest = self.bytes.get(self.at..).unwrap_or_default();
            self.at += memchr::memchr(0xFF, rest).ok_or(Flaw::CutShort)?;
            match self.byte(self.at + 1)? {
                0 => self.at += 2,
                marker::RST0..=marker::RST7 => {
                    self.at += 2;
                    self.restarts += 1;
                }
                0xFF => self.at += 1,
                _ => return Ok(start..self.at),
            }
        }
    }
}

/// Blanks positions in a small JPEG within other data, in place, for it may not change its size.
pub(super) fn blank_positions(bytes: &mut [u8]) -> Found {
    let Ok(map) = Map::of(bytes) else {
        return Found::Nothing;
    };
    let mut found = Found::Nothing;
    if let Some(range) = map.exif(bytes) {
        found |= exif::remove_own_location(&mut bytes[range]);
    }
    for segment in map
        .segments
        .iter()
        .filter(|one| (marker::APP1..=marker::APP15).contains(&one.marker))
    {
        let body = &bytes[segment.body.clone()];
        if !body.starts_with(label::EXIF) && speaks_of_place(body) {
            blank(bytes, segment.body.clone(), b' ');
            found = Found::Something;
        }
    }
    found
}
