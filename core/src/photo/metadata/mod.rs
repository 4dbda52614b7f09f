//! Strips a photo's metadata by an allow-list: what is not listed here is removed.
//!
//! | kept | how |
//! |---|---|
//! | packed pixels and their tables | byte for byte |
//! | color profile, JFIF and Adobe markers, PNG color chunks | without private tags |
//! | way up, times with offsets, camera make and model | read from EXIF, checked, and written new |
//!
//! Everything else is removed: positions, other EXIF, thumbnails, makers' notes, XMP, IPTC,
//! comments, PNG text, unknown segments and chunks, further pictures, animation, and whatever
//! follows the picture. Data hidden in the packed pixels themselves is not looked for.

mod exif;
mod jpeg;
mod png;

use std::ops::Range;

use holebook_pixels::{Gray, Layout, Orientation, PictureError, Previews, upright_size};

use self::exif::Exif;
use super::taken::TakenAt;

/// A photo in memory whose structure is whole and whose size is allowed.
pub(super) struct Photo {
    bytes: Vec<u8>,
    layout: Layout,
    orientation: Option<Orientation>,
    taken_at: Option<TakenAt>,
}

impl Photo {
    /// Reads structure and EXIF; pixels may still turn out damaged.
    pub fn open(bytes: Vec<u8>) -> Result<Self, PictureError> {
        let layout = Layout::of(&bytes)?;
        let exif = Exif::read(match &layout {
            Layout::Jpeg(layout) => jpeg::exif(&bytes, layout),
            Layout::Png(layout) => png::data(&bytes, layout, *b"eXIf"),
        });
        Ok(Self {
            orientation: exif.orientation(),
            taken_at: exif.taken_at(),
            layout,
            bytes,
        })
    }

    /// The file's bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The positions of its parts.
    pub const fn layout(&self) -> &Layout {
        &self.layout
    }

    /// When it was taken, if the camera recorded it.
    pub const fn taken_at(&self) -> Option<TakenAt> {
        self.taken_at
    }

    /// Width and height of the upright picture, in pixels.
    pub const fn upright_size(&self) -> (u32, u32) {
        upright_size(&self.layout, self.orientation)
    }

    /// Makes the upright view and thumbnail.
    pub fn previews(&self) -> Result<Previews, PictureError> {
        Previews::of(&self.bytes, &self.layout, self.orientation)
    }

    /// The upright picture's brightness, with a long edge of `edge` pixels or somewhat more.
    pub fn gray(&self, edge: u32) -> Result<Gray, PictureError> {
        Gray::of(&self.bytes, &self.layout, self.orientation, edge)
    }

    /// The same photo with only the metadata that is allowed, and whether that changed the file.
    pub fn stripped(mut self) -> Result<(Self, bool), PictureError> {
        let parts = match &self.layout {
            Layout::Jpeg(layout) => jpeg::parts(&self.bytes, layout)?,
            Layout::Png(layout) => png::parts(&self.bytes, layout)?,
        };
        if parts.are_all_of(&self.bytes) {
            return Ok((self, false));
        }
        self.bytes = parts.taken_from(self.bytes);
        self.layout = Layout::of(&self.bytes)?;
        Ok((self, true))
    }
}

/// What a stripped file is made of: a head that is written new, and ranges of the old file behind
/// it.
struct Parts {
    head: Vec<u8>,
    kept: Vec<Range<usize>>,
}

impl Parts {
    const fn new(head: Vec<u8>) -> Self {
        let kept = Vec::new();
        Self { head, kept }
    }

    /// Keeps a range behind those kept so far.
    fn keep(&mut self, range: Range<usize>) {
        match self.kept.last_mut() {
            Some(last) if last.end == range.start => last.end = range.end,
            _ => self.kept.push(range),
        }
    }

    /// Whether these are the whole file, unchanged.
    fn are_all_of(&self, bytes: &[u8]) -> bool {
        let rest = self.head.len()..bytes.len();
        bytes.starts_with(&self.head) && self.kept == [rest]
    }

    /// Moves the parts together within the file's own memory: a photo of 108 megapixels is held
    /// once.
    fn taken_from(self, mut bytes: Vec<u8>) -> Vec<u8> {
        let start = self.kept.first().map_or(0, |range| range.start);
        let mut at = start;
        for range in self.kept {
            let length = range.len();
            bytes.copy_within(range, at);
            at += length;
        }
        bytes.truncate(at);
        bytes.splice(..start, self.head);
        bytes
    }
}
