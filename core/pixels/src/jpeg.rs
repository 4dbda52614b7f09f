//! The structure of a JPEG file (ISO/IEC 10918-1, annex B): its segments and scans, and where it
//! ends.
//!
//! Pixels are not decoded here.

use std::ops::Range;

use crate::{PictureError, check_size};

/// More segments than any camera or program writes; more would only take memory.
const MOST_SEGMENTS: usize = 20_000;
/// More scans than any progressive coding needs; more would only take time, each over all pixels.
const MOST_SCANS: usize = 100;
/// How often the scans may pass over the picture. The usual progressive coding passes not quite
/// five times, optimized ones about eight times (judgment).
const MOST_PASSES: u64 = 10;
/// Blocks that scans may always visit, which take about a second.
const ALWAYS_ALLOWED_BLOCKS: u64 = 4_000_000;

/// Markers (table B.1), the second byte of two.
pub mod marker {
    #![allow(missing_docs)]
    pub const SOF0: u8 = 0xC0;
    pub const SOF1: u8 = 0xC1;
    pub const SOF2: u8 = 0xC2;
    pub const DHT: u8 = 0xC4;
    pub const JPG: u8 = 0xC8;
    pub const DAC: u8 = 0xCC;
    pub const SOF15: u8 = 0xCF;
    pub const DQT: u8 = 0xDB;
    pub const DNL: u8 = 0xDC;
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
    pub const APP14: u8 = 0xEE;
}

/// A marker with a length and its body.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Segment {
    /// The second byte of its marker.
    pub marker: u8,
    /// Its position, with marker and length, and with the scan after it.
    pub whole: Range<usize>,
    /// The position of its body, after the length.
    pub body: Range<usize>,
}

/// The picture's size and coding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Frame {
    /// Width in pixels, as stored.
    pub width: u32,
    /// Height in pixels, as stored.
    pub height: u32,
    /// The number of colors.
    pub components: u8,
    progressive: bool,
    sampling: Vec<Sampling>,
}

/// The resolution of one color compared with the others (B.2.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Sampling {
    id: u8,
    across: u64,
    down: u64,
}

/// The positions of all parts of a complete JPEG file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// The picture's size and coding.
    pub frame: Frame,
    /// All segments in their order, also those between scans.
    pub segments: Vec<Segment>,
    /// After the end-of-image marker; what follows is not part of this picture.
    pub end: usize,
    /// Whether there are bytes between segments that belong to none, as careless programs leave.
    pub has_stray_bytes: bool,
    /// Whether scans are missing: what is left of a progressive file that was cut is a whole picture
    /// in less detail.
    pub lacks_scans: bool,
}

impl Layout {
    /// Reads the structure from the first marker to the end of the image.
    ///
    /// # Errors
    /// [`PictureError`] if the file is not complete, its size is not allowed, or its coding is
    /// rare.
    pub fn of(bytes: &[u8]) -> Result<Self, PictureError> {
        let mut walk = Walk {
            bytes,
            at: 2,
            has_stray_bytes: false,
            restarts: 0,
        };
        let (mut segments, mut frame): (Vec<Segment>, _) = (Vec::new(), None);
        let (mut scans, mut scan_bytes, mut visited) = (0, 0, 0_u64);
        let mut interval = 0;
        let mut detail = Detail::default();
        loop {
            let marker = walk.marker()?;
            if marker == marker::EOI {
                break;
            }
            if segments.len() == MOST_SEGMENTS || scans == MOST_SCANS {
                return Err(PictureError::Damaged("it has too many parts".into()));
            }
            let mut segment = walk.segment(marker)?;
            if !has_exact_length(marker, &bytes[segment.body.clone()]) {
                return Err(PictureError::Damaged(
                    "a part of it has a wrong length".into(),
                ));
            }
            if is_frame(marker) {
                let read = read_frame(marker, &bytes[segment.body.clone()])?;
                if frame.replace(read).is_some() {
                    return Err(PictureError::Damaged(
                        "it describes two pictures at once".into(),
                    ));
                }
            }
            let body = &bytes[segment.body.clone()];
            match marker {
                marker::DRI => interval = read_interval(body),
                marker::SOS => {
                    let restarts = walk.restarts;
                    segment.whole.end = walk.scan()?;
                    scans += 1;
                    scan_bytes += segment.whole.end - segment.body.end;
                    let known = frame.as_ref();
                    detail.add(body);
                    visited += known.map_or(0, |frame: &Frame| frame.blocks_visited(body));
                    let allowed = known.map_or(0, |frame| frame.blocks() * MOST_PASSES);
                    if visited > allowed.max(ALWAYS_ALLOWED_BLOCKS) {
                        return Err(PictureError::Damaged(
                            "it has too many scans for its size".into(),
                        ));
                    }
                    let wanted = known.and_then(|frame| frame.restarts(body, interval));
                    if wanted > Some(walk.restarts - restarts) {
                        return Err(PictureError::Damaged(
                            "a part of its pixels is missing".into(),
                        ));
                    }
                }
                _ => {}
            }
            segments.push(segment);
        }
        let frame =
            frame.ok_or_else(|| PictureError::Damaged("there is no picture in it".into()))?;
        let layout = Self {
            frame,
            segments,
            end: walk.at,
            has_stray_bytes: walk.has_stray_bytes,
            lacks_scans: false,
        };
        let layout = Self {
            lacks_scans: layout.frame.progressive && !detail.is_full(&layout.frame),
            ..layout
        };
        // Every block of 8 by 8 pixels takes at least one bit, in every coding that is read here
        // (annexes F and G).
        let pixels = u64::from(layout.frame.width) * u64::from(layout.frame.height);
        (scan_bytes as u64 >= pixels / (64 * 8))
            .then_some(layout)
            .ok_or_else(|| PictureError::Damaged("it holds too little data for its size".into()))
    }
}

impl Frame {
    /// Groups of blocks that cover the whole picture, each with all colors (A.2.3).
    fn groups(&self) -> u64 {
        let largest = |pick: fn(&Sampling) -> u64| self.sampling.iter().map(pick).max();
        let most = |pick| largest(pick).unwrap_or(1).max(1);
        let (across, down) = (most(|one| one.across), most(|one| one.down));
        u64::from(self.width).div_ceil(8 * across) * u64::from(self.height).div_ceil(8 * down)
    }

    /// Blocks of 8 by 8 samples of all colors.
    fn blocks(&self) -> u64 {
        let each = self.sampling.iter().map(|one| one.across * one.down);
        self.groups() * each.sum::<u64>()
    }

    /// Blocks that a scan with this header passes over.
    fn blocks_visited(&self, header: &[u8]) -> u64 {
        let count = header.first().map_or(0, |count| usize::from(*count));
        let named = header.get(1..1 + 2 * count).unwrap_or_default();
        let of = |id: u8| {
            let found = self.sampling.iter().find(|one| one.id == id);
            found.map_or(1, |one| one.across * one.down)
        };
        let blocks = named.as_chunks::<2>().0.iter().map(|[id, _]| of(*id));
        self.groups() * blocks.sum::<u64>()
    }

    /// Memory for the coefficients that a decoder holds; a baseline picture needs none.
    pub(crate) fn coefficient_bytes(&self) -> u64 {
        if self.progressive {
            self.blocks() * 64 * 2
        } else {
            0
        }
    }

    /// How many restart markers a scan with this header must contain (B.2.4.4), which shows whether
    /// a part of its pixels is missing; `None` if the header cannot be read.
    fn restarts(&self, header: &[u8], interval: u64) -> Option<u64> {
        let (count, rest) = header.split_first()?;
        let named = rest.get(..2 * usize::from(*count))?.as_chunks::<2>().0;
        let largest = |pick: fn(&Sampling) -> u64| self.sampling.iter().map(pick).max();
        let (most_across, most_down) = (largest(|one| one.across)?, largest(|one| one.down)?);
        // A single color is stored block by block, several in groups that cover the same area
        // (A.2).
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

/// Which coefficients the scans of a progressive picture have given in full (G.1.1.1).
#[derive(Default)]
struct Detail {
    /// Color, and whether each of its 64 coefficients has come with its last bit.
    colors: Vec<(u8, [bool; 64])>,
}

impl Detail {
    /// Adds the scan with this header.
    fn add(&mut self, header: &[u8]) {
        let Some((count, rest)) = header.split_first() else {
            return;
        };
        let (named, range) = rest
            .split_at_checked(2 * usize::from(*count))
            .unwrap_or_default();
        let &[first, last, bits] = range else {
            return;
        };
        for [id, _] in named.as_chunks::<2>().0 {
            let at = self.colors.iter().position(|(color, _)| color == id);
            let at = at.unwrap_or_else(|| {
                self.colors.push((*id, [false; 64]));
                self.colors.len() - 1
            });
            let coefficients = self.colors[at].1.iter_mut().enumerate();
            for (number, full) in coefficients {
                let in_range = (usize::from(first)..=usize::from(last)).contains(&number);
                *full |= in_range && bits & 15 == 0;
            }
        }
    }

    fn is_full(&self, frame: &Frame) -> bool {
        frame.sampling.iter().all(|one| {
            let mut colors = self.colors.iter();
            colors.any(|(color, full)| *color == one.id && full.iter().all(|full| *full))
        })
    }
}

/// Whether a segment's body is as long as its content says (B.2); libjpeg rejects others too.
fn has_exact_length(marker: u8, body: &[u8]) -> bool {
    let count = |at: usize| body.get(at).map_or(0, |count| usize::from(*count));
    match marker {
        marker::DQT => is_filled(body, |table| if table[0] < 16 { 65 } else { 129 }),
        marker::DHT => is_filled(body, |table| {
            let codes = table.get(1..17).unwrap_or_default();
            17 + codes.iter().map(|count| usize::from(*count)).sum::<usize>()
        }),
        marker::DRI | marker::DNL => body.len() == 2,
        marker::SOS => body.len() == 4 + 2 * count(0),
        _ if is_frame(marker) => body.len() == 6 + 3 * count(5),
        _ => true,
    }
}

/// Whether tables, each as long as `length` says, fill a body exactly.
fn is_filled(mut body: &[u8], length: impl Fn(&[u8]) -> usize) -> bool {
    while !body.is_empty() {
        let Some(rest) = body.get(length(body)..) else {
            return false;
        };
        body = rest;
    }
    true
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

fn read_sampling(body: &[u8]) -> Result<Vec<Sampling>, PictureError> {
    let read = |[id, factors, _]: &[u8; 3]| Sampling {
        id: *id,
        across: u64::from(factors >> 4),
        down: u64::from(factors & 15),
    };
    let sampling: Vec<_> = body.as_chunks::<3>().0.iter().map(read).collect();
    let sound = |one: &Sampling| (1..=4).contains(&one.across) && (1..=4).contains(&one.down);
    match sampling.iter().all(sound) {
        true => Ok(sampling),
        false => Err(PictureError::Damaged(
            "the resolution of its colors is not allowed".into(),
        )),
    }
}

fn read_frame(marker: u8, body: &[u8]) -> Result<Frame, PictureError> {
    let [precision, high, low, wide, narrow, components, ..] = *body else {
        return Err(PictureError::Damaged(
            "its size is not written in full".into(),
        ));
    };
    let frame = Frame {
        width: u16::from_be_bytes([wide, narrow]).into(),
        height: u16::from_be_bytes([high, low]).into(),
        components,
        progressive: marker == marker::SOF2,
        sampling: read_sampling(&body[6..])?,
    };
    check_size(frame.width, frame.height)?;
    match (marker, precision, components) {
        (marker::SOF0 | marker::SOF1 | marker::SOF2, 8, 1 | 3 | 4) => Ok(frame),
        (marker::SOF0 | marker::SOF1 | marker::SOF2, 8, _) => {
            Err(PictureError::RareJpeg("an unusual number of colors"))
        }
        (marker::SOF0 | marker::SOF1 | marker::SOF2, ..) => {
            Err(PictureError::RareJpeg("more than 8 bits a color"))
        }
        _ => Err(PictureError::RareJpeg(
            "lossless, layered or arithmetic coding",
        )),
    }
}

/// Reads marker by marker.
struct Walk<'a> {
    bytes: &'a [u8],
    at: usize,
    has_stray_bytes: bool,
    /// Restart markers seen within scans.
    restarts: u64,
}

impl Walk<'_> {
    fn byte(&self, at: usize) -> Result<u8, PictureError> {
        self.bytes.get(at).copied().ok_or(PictureError::CutShort)
    }

    /// The next marker of a segment; stray bytes before it are skipped, as common readers do.
    fn marker(&mut self) -> Result<u8, PictureError> {
        loop {
            let rest = self.bytes.get(self.at..).unwrap_or_default();
            let gap = rest
                .iter()
                .position(|byte| *byte == 0xFF)
                .ok_or(PictureError::CutShort)?;
            let fill = rest[gap..]
                .iter()
                .position(|byte| *byte != 0xFF)
                .ok_or(PictureError::CutShort)?;
            self.at += gap + fill + 1;
            let marker = rest[gap + fill];
            self.has_stray_bytes |= gap > 0;
            match marker {
                0 | marker::TEM | marker::RST0..=marker::SOI => self.has_stray_bytes = true,
                _ => return Ok(marker),
            }
        }
    }

    /// The segment whose marker was just read.
    fn segment(&mut self, marker: u8) -> Result<Segment, PictureError> {
        let length = usize::from(u16::from_be_bytes([
            self.byte(self.at)?,
            self.byte(self.at + 1)?,
        ]));
        if length < 2 {
            return Err(PictureError::Damaged("a part of it has no length".into()));
        }
        let end = self.at + length;
        if end > self.bytes.len() {
            return Err(PictureError::CutShort);
        }
        let segment = Segment {
            marker,
            whole: self.at - 2..end,
            body: self.at + 2..end,
        };
        self.at = end;
        Ok(segment)
    }

    /// Skips entropy-coded data and returns where it ends: at the next marker that is not a restart.
    fn scan(&mut self) -> Result<usize, PictureError> {
        loop {
            let rest = self.bytes.get(self.at..).unwrap_or_default();
            self.at += memchr::memchr(0xFF, rest).ok_or(PictureError::CutShort)?;
            match self.byte(self.at + 1)? {
                0 => self.at += 2,
                marker::RST0..=marker::RST7 => {
                    self.at += 2;
                    self.restarts += 1;
                }
                0xFF => self.at += 1,
                _ => return Ok(self.at),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
        let length = (body.len() as u16 + 2).to_be_bytes();
        [&[0xFF, marker], &length[..], body].concat()
    }

    /// A gray picture of 8 by 8 pixels with further segments before its end.
    fn file(more: &[u8]) -> Vec<u8> {
        let frame = segment(marker::SOF0, &[8, 0, 8, 0, 8, 1, 1, 0x11, 0]);
        [
            &[0xFF, marker::SOI][..],
            &frame,
            &scan(),
            more,
            &[0xFF, marker::EOI],
        ]
        .concat()
    }

    fn scan() -> Vec<u8> {
        [&segment(marker::SOS, &[1, 1, 0, 0, 63, 0])[..], &[0x2A]].concat()
    }

    #[test]
    fn a_segment_is_known_with_its_scan() {
        let bytes = file(&segment(0xFE, b"a comment"));
        let layout = Layout::of(&bytes).unwrap();
        let markers: Vec<u8> = layout.segments.iter().map(|one| one.marker).collect();
        assert_eq!(markers, [marker::SOF0, marker::SOS, 0xFE]);
        assert_eq!(bytes[layout.segments[1].whole.clone()], scan());
        assert_eq!(layout.end, bytes.len());
    }

    #[test]
    fn too_many_segments_or_scans_are_rejected() {
        let too_many = Err(PictureError::Damaged("it has too many parts".into()));
        assert!(Layout::of(&file(&scan().repeat(MOST_SCANS - 2))).is_ok());
        assert_eq!(Layout::of(&file(&scan().repeat(MOST_SCANS))), too_many);
        let empty = segment(0xFE, b"").repeat(MOST_SEGMENTS);
        assert_eq!(Layout::of(&file(&empty)), too_many);
    }

    /// 12,000 by 9,000 pixels in 90 scans: 43 s in a decoder, from a file of a few hundred kilobytes.
    #[test]
    fn many_scans_over_a_large_picture_are_rejected() {
        let picture = |scans: usize| {
            let frame = segment(
                marker::SOF2,
                &[
                    8, 0x23, 0x28, 0x2E, 0xE0, 3, 1, 0x22, 0, 2, 0x11, 0, 3, 0x11, 0,
                ],
            );
            let first = [
                &segment(marker::SOS, &[1, 1, 0, 0, 5, 0])[..],
                &vec![0x2A; 300_000],
            ];
            let more = [&segment(marker::SOS, &[1, 1, 0, 0, 5, 0])[..], &[0x2A]].concat();
            let start = [&[0xFF, marker::SOI][..], &frame, &first.concat()].concat();
            [&start[..], &more.repeat(scans - 1), &[0xFF, marker::EOI]].concat()
        };
        assert!(Layout::of(&picture(10)).is_ok());
        let rejected = Layout::of(&picture(90));
        assert!(
            matches!(&rejected, Err(PictureError::Damaged(why)) if why.contains("too many scans")),
            "{rejected:?}"
        );
        // All its coefficients do not fit into a phone's memory.
        let layout = crate::Layout::Jpeg(Layout::of(&picture(10)).unwrap());
        let decoded = crate::decode::decode(&picture(10), &layout, 2048);
        assert!(matches!(decoded, Err(PictureError::RareJpeg(_))));
    }

    #[test]
    fn a_progressive_picture_without_its_last_scans_lacks_them() {
        let scan = |range: [u8; 3]| {
            let header = [&[1, 1, 0][..], &range].concat();
            [&segment(marker::SOS, &header)[..], &[0x2A]].concat()
        };
        let picture = |scans: &[[u8; 3]]| {
            let frame = segment(marker::SOF2, &[8, 0, 8, 0, 8, 1, 1, 0x11, 0]);
            let scans: Vec<u8> = scans.iter().flat_map(|range| scan(*range)).collect();
            let file = [
                &[0xFF, marker::SOI][..],
                &frame,
                &scans,
                &[0xFF, marker::EOI],
            ]
            .concat();
            Layout::of(&file).unwrap().lacks_scans
        };
        // Coefficients from and to, and the bit that they come up to: first all but the last bit.
        let whole = [[0, 0, 1], [0, 0, 0x10], [1, 63, 1], [1, 63, 0x10]];
        assert!(!picture(&whole));
        assert!((1..whole.len()).all(|kept| picture(&whole[..kept])));
        assert!(!Layout::of(&file(&[])).unwrap().lacks_scans);
    }

    #[test]
    fn a_table_with_surplus_bytes_is_rejected() {
        let table = [&[0; 65][..], &[1; 65]].concat();
        assert!(Layout::of(&file(&segment(marker::DQT, &table))).is_ok());
        let surplus = [&table[..], b"GPS"].concat();
        assert!(Layout::of(&file(&segment(marker::DQT, &surplus))).is_err());
    }
}
