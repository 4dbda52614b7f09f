//! Photos from real cameras: imported without their metadata, named by their content, shown
//! upright.
//!
//! ```no_run
//! use holebook_core::photo::{Metadata, PhotoStore};
//! use std::path::Path;
//!
//! let photos = PhotoStore::open("notebook/photos")?;
//! let photo = photos.import(Path::new("DSC_0042.JPG"), Metadata::Strip)?;
//! println!("{} by {} pixels: {}", photo.width, photo.height, photos.view(&photo.hash)?.display());
//! # Ok::<(), holebook_core::photo::PhotoError>(())
//! ```
//!
//! # What is read
//! JPEG, baseline and progressive, gray, color and four-color print files; PNG of all kinds. All
//! eight orientations. Up to [`LARGEST_PICTURE_PIXELS`], checked before a pixel is decoded.
//!
//! # What is stored
//! The packed pixels byte for byte, with color profile, orientation, times, camera make and model.
//! Everything else is removed by an allow-list, see [`Metadata::Strip`]; or nothing is, see
//! [`Metadata::Keep`].
//!
//! # Memory
//! At most 76 MB for a JPEG of 12 megapixels, and 78 MB for one of 108, since large ones are made
//! smaller while they are decoded (measured by `tests/bench/photo.rs`). But progressive ones must
//! be held whole: 371 MB for 108 megapixels with half the detail of color, as cameras store it, and
//! about twice that with all. PNG is held whole too, beside its file: 3 bytes a pixel in color and
//! 4 with transparent parts, or twice that in 16 bits, which makes 85 to 152 MB for 12 megapixels;
//! with transparent parts or in 16 bits 3 bytes a pixel more while it is converted to 8 bits
//! (computed, not measured).

mod error;
mod hash;
mod hashed_file;
mod metadata;
mod store;
mod taken;

pub use error::PhotoError;
pub use hash::{InvalidPhotoHash, PhotoHash};
pub use holebook_pixels::{Format, LARGEST_PICTURE_PIXELS, THUMBNAIL_EDGE_PX, VIEW_EDGE_PX};
pub use store::{ImportedPhoto, Metadata, PhotoStore};
pub(crate) use store::{PARTIAL_PREFIX, fsync_dir};
pub use taken::{InvalidTime, TakenAt};

/// The most bytes a photo's file may have.
pub const LARGEST_FILE_BYTES: u64 = 200_000_000;
