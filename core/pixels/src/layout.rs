//! The positions of all parts of a picture file, in any format.

use crate::{Format, PictureError, jpeg, png};

/// The positions of all parts of a complete file of an allowed size. Pixels may still turn out
/// damaged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Layout {
    /// Of a JPEG file.
    Jpeg(jpeg::Layout),
    /// Of a PNG file.
    Png(png::Layout),
}

impl Layout {
    /// Reads the structure of a file; nothing is decoded.
    ///
    /// # Errors
    /// [`PictureError`] if this is not a JPEG or PNG file, it is not complete, or its size is not
    /// allowed.
    pub fn of(bytes: &[u8]) -> Result<Self, PictureError> {
        Ok(match Format::of(bytes)? {
            Format::Jpeg => Self::Jpeg(jpeg::Layout::of(bytes)?),
            Format::Png => Self::Png(png::Layout::of(bytes)?),
        })
    }

    /// The file's format.
    #[must_use]
    pub const fn format(&self) -> Format {
        match self {
            Self::Jpeg(_) => Format::Jpeg,
            Self::Png(_) => Format::Png,
        }
    }

    /// Whether a part of the picture's detail is missing from its file, which was cut and then ended.
    #[must_use]
    pub const fn is_incomplete(&self) -> bool {
        match self {
            Self::Jpeg(layout) => layout.lacks_scans,
            Self::Png(_) => false,
        }
    }

    /// Width and height as stored, in pixels, not yet upright.
    #[must_use]
    pub const fn stored_size(&self) -> (u32, u32) {
        match self {
            Self::Jpeg(layout) => (layout.frame.width, layout.frame.height),
            Self::Png(layout) => (layout.width, layout.height),
        }
    }
}
