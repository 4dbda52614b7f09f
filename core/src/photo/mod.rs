//! Photos from real cameras: brought in, stored under their content's name, shown upright, without the place where they
//! were taken.
//!
//! ```no_run
//! use holebook_core::photo::{Location, PhotoStore};
//! use std::path::Path;
//!
//! let photos = PhotoStore::open("notebook/photos")?;
//! let photo = photos.bring_in(Path::new("DSC_0042.JPG"), Location::Remove)?;
//! println!("{} by {} pixels, shown from {}", photo.width, photo.height, photos.view(&photo.hash)?.display());
//! # Ok::<(), holebook_core::photo::PhotoError>(())
//! ```
//!
//! # What is read
//! JPEG, baseline and progressive, grey, colour and four-colour print files; PNG of all kinds. Any of the eight ways a
//! camera can be held. Up to [`LARGEST_PICTURE_PIXELS`], known before a pixel is decoded.
//!
//! # What is stored
//! The file as it was, less the position and less what follows the picture in its file. Packed pixels, time, camera and
//! makers' notes stay byte for byte. **A maker's note may hold a position that nobody but the maker can find**; few do.
//!
//! # Memory
//! At most 76 MB for a JPEG of 12 megapixels, and 78 MB for one of 108, for large ones are made smaller while they are
//! decoded (measured by `tests/bench/photo.rs`). But progressive ones must be held whole: 371 MB for 108 megapixels with
//! half the detail of colour, as cameras store it, and about twice that with all. PNG is held whole too, beside its file: 3
//! bytes a pixel in colour and 4 with transparent parts, or twice that in 16 bits, which makes 85 to 152 MB for 12
//! megapixels; with transparent parts or in 16 bits 3 bytes a pixel more while it is brought to 8 bits (reckoned, not measured).

mod arriving;
mod decode;
mod error;
mod exif;
mod format;
mod hash;
mod jpeg;
mod location;
mod picture;
mod png;
mod resources;
mod store;
mod taken;
mod tiff;
mod words;

pub use error::PhotoError;
pub use format::Format;
pub use hash::{NotAPhotoHash, PhotoHash};
pub use store::{Incoming, Location, PhotoStore};
pub(crate) use store::{UNFINISHED, sync_folder};
pub use taken::{NotATime, TakenAt};

use error::Flaw;

/// Long edge of a view, in pixels: enough for a desk's screen, and a tenth of a photo's size.
pub const VIEW_EDGE_PX: u32 = 2048;
/// Long edge of a thumbnail, in pixels.
pub const THUMBNAIL_EDGE_PX: u32 = 320;
/// The most pixels a photo may have: 12 000 by 9 000, the largest of phones, and a little over.
pub const LARGEST_PICTURE_PIXELS: u64 = 108_500_000;
/// The most bytes a photo's file may have.
pub const LARGEST_FILE_BYTES: u64 = 200_000_000;

/// Refuses sizes before any memory is taken for them.
fn check_size(width: u32, height: u32) -> Result<(), Flaw> {
    match u64::from(width) * u64::from(height) {
        0 => Err(Flaw::NoPixels(width, height)),
        pixels if pixels > LARGEST_PICTURE_PIXELS => Err(Flaw::TooManyPixels(width, height)),
        _ => Ok(()),
    }
}
