//! Decodes, scales and encodes photos: all code that works on pixels, without files or metadata.
//!
//! A [`Layout`] holds the positions of all parts of a complete JPEG or PNG file;
//! [`Previews`] are the upright view and thumbnail made of it. This is a separate crate so that
//! it builds while SQLite does.

mod deadline;
mod decode;
mod error;
mod format;
mod gray;
pub mod icc;
pub mod jpeg;
mod layout;
pub mod png;
mod previews;
mod reduced_png;
mod straight;

pub use error::PictureError;
pub use format::Format;
pub use gray::Gray;
pub use image::metadata::Orientation;
pub use layout::Layout;
pub use previews::{Previews, upright_size};
pub use straight::{Oblique, STRAIGHT_EDGE_PX};

/// Long edge of a view, in pixels: enough for a desktop screen, and a tenth of a photo's size.
pub const VIEW_EDGE_PX: u32 = 2048;
/// Long edge of a thumbnail, in pixels.
pub const THUMBNAIL_EDGE_PX: u32 = 320;
/// The most pixels a photo may have: 12,000 by 9,000, the largest that phones take, and a little
/// over.
pub const LARGEST_PICTURE_PIXELS: u64 = 108_500_000;

/// Rejects sizes before any memory is allocated for them.
fn check_size(width: u32, height: u32) -> Result<(), PictureError> {
    match u64::from(width) * u64::from(height) {
        0 => Err(PictureError::NoPixels(width, height)),
        pixels if pixels > LARGEST_PICTURE_PIXELS => {
            Err(PictureError::TooManyPixels(width, height))
        }
        _ => Ok(()),
    }
}
