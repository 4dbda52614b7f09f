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
//! Below 200 MB for a photo of any format, beside its file. At most 76 MB for a JPEG of 12
//! megapixels, and 78 MB for one of 108, since large ones are made smaller while they are decoded
//! (measured by `tests/bench/photo.rs`). A progressive one must be held whole, so one whose
//! coefficients take more than 160 MB is refused: 53 megapixels with a quarter of the detail of
//! color, as cameras store it; one that is nearly as large may get a view of half the size. PNG is
//! made smaller row by row: 52 MB for 108 megapixels of 16 bits with transparent parts, 84 MB if it is
//! interlaced (measured by `tests/tests/integration`). Views are rebuilt on request one at a time.
//!
//! # Time
//! A file whose scans pass over the picture too often is refused, and decoding ends with an error
//! after 20 s. Imports do not wait for each other.

pub mod badge_places;
mod error;
mod find;
mod hash;
mod hashed_file;
mod metadata;
mod store;
mod taken;

pub use error::PhotoError;
pub use find::{ExpectedHole, FindHolesError, ProposedHole};
pub use hash::{InvalidPhotoHash, PhotoHash};
pub use holebook_pixels::{Format, LARGEST_PICTURE_PIXELS, THUMBNAIL_EDGE_PX, VIEW_EDGE_PX};
pub use store::{ImportedPhoto, Metadata, PhotoStore};
pub(crate) use store::{PARTIAL_PREFIX, fsync_dir};
pub use taken::{InvalidTime, TakenAt};

/// The most bytes a photo's file may have.
pub const LARGEST_FILE_BYTES: u64 = 200_000_000;
