//! What can go wrong with a photo, each in one sentence: what, where, what to do.

use std::io;
use std::path::{Path, PathBuf};

use holebook_pixels::PictureError;

use super::{LARGEST_FILE_BYTES, LARGEST_PICTURE_PIXELS, PhotoHash};

/// Why a photo was not imported, or is not intact. Nothing was stored, and the source was not
/// changed.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// The file could not be opened or read.
    #[error("{} cannot be read ({source}); check that it is still there and that you may read it", file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A directory, a pipe or the like.
    #[error("{} is not a file; choose the photo itself", file.display())]
    NotAFile {
        /// The path.
        file: PathBuf,
    },
    /// A file of no bytes.
    #[error("{} is empty; copy the photo again from the camera", file.display())]
    Empty {
        /// The file.
        file: PathBuf,
    },
    /// Larger than [`LARGEST_FILE_BYTES`].
    #[error("{} has {} MB, and a photo may have {} MB at most; save it smaller as JPEG and import that",
        file.display(), bytes / 1_000_000, LARGEST_FILE_BYTES / 1_000_000)]
    FileTooLarge {
        /// The file.
        file: PathBuf,
        /// Its size in bytes.
        bytes: u64,
    },
    /// HEIC or HEIF, which cannot be decoded.
    #[error("{} is a HEIC photo, which cannot be read here; in the phone's camera settings, under formats, choose JPEG \
        (it may be called 'most compatible'), then take the photo again or share this one as JPEG", file.display())]
    Heic {
        /// The file.
        file: PathBuf,
    },
    /// A picture or video of a known format that is not read here.
    #[error("{} is {kind}, and only JPEG and PNG photos are read here; save it as JPEG and import that", file.display())]
    OtherFormat {
        /// The file.
        file: PathBuf,
        /// What it is, with its article: `a TIFF picture`, `a video`.
        kind: &'static str,
    },
    /// No known picture format, whatever its name says.
    #[error("{} is not a picture, whatever its name says; choose a JPEG or PNG photo", file.display())]
    NotAPicture {
        /// The file.
        file: PathBuf,
    },
    /// The file ends before the picture does.
    #[error("{} ends before the picture does; copy it again from the camera, whole", file.display())]
    CutShort {
        /// The file.
        file: PathBuf,
    },
    /// The picture cannot be decoded.
    #[error("{} is damaged ({why}); copy it again from the camera, or take the photo again", file.display())]
    Damaged {
        /// The file.
        file: PathBuf,
        /// What the decoder reported.
        why: String,
    },
    /// A JPEG coding that no camera writes.
    #[error("{} is a JPEG of a rare kind ({kind}) that is not read here; save it again as an ordinary JPEG", file.display())]
    RareJpeg {
        /// The file.
        file: PathBuf,
        /// Which coding.
        kind: &'static str,
    },
    /// A width or height of zero.
    #[error("{} says that its picture is {width} by {height} pixels; take the photo again", file.display())]
    NoPixels {
        /// The file.
        file: PathBuf,
        /// Width as the file says, in pixels.
        width: u32,
        /// Height as the file says, in pixels.
        height: u32,
    },
    /// More than [`LARGEST_PICTURE_PIXELS`].
    #[error("{} says that its picture is {width} by {height} pixels, and {} megapixels is the most; save it smaller and import that",
        file.display(), LARGEST_PICTURE_PIXELS / 1_000_000)]
    TooManyPixels {
        /// The file.
        file: PathBuf,
        /// Width as the file says, in pixels.
        width: u32,
        /// Height as the file says, in pixels.
        height: u32,
    },
    /// The disk with the photos is full.
    #[error("there is no space left for photos in {}; free some space on that disk, then try again", dir.display())]
    StorageFull {
        /// The folder of photos.
        dir: PathBuf,
    },
    /// The folder of photos cannot be written or read, and the disk is not full.
    #[error("{} cannot be used for photos ({source}); check that the folder is there and that you may write in it", dir.display())]
    Storage {
        /// The folder or file in it.
        dir: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// No photo of this name is stored here.
    #[error("photo {hash} is not in {}; sync with the device that took it", dir.display())]
    Missing {
        /// The photo.
        hash: PhotoHash,
        /// The folder of photos.
        dir: PathBuf,
    },
    /// A file's content does not match its name.
    #[error("{} does not hold photo {hash}: its content has changed; get the photo again from a device that has it", file.display())]
    NotAsNamed {
        /// Its name.
        hash: PhotoHash,
        /// The file.
        file: PathBuf,
    },
}

impl PhotoError {
    /// An error from reading the source `file`.
    pub(super) fn unreadable(file: &Path, source: io::Error) -> Self {
        Self::Unreadable {
            file: file.to_owned(),
            source,
        }
    }

    /// What is wrong with the picture in `file`.
    pub(crate) fn picture(file: &Path, error: PictureError) -> Self {
        let file = file.to_owned();
        match error {
            PictureError::Heic => Self::Heic { file },
            PictureError::OtherFormat(kind) => Self::OtherFormat { file, kind },
            PictureError::NotAPicture => Self::NotAPicture { file },
            PictureError::CutShort => Self::CutShort { file },
            PictureError::Damaged(why) => Self::Damaged { file, why },
            PictureError::RareJpeg(kind) => Self::RareJpeg { file, kind },
            PictureError::NoPixels(width, height) => Self::NoPixels {
                file,
                width,
                height,
            },
            PictureError::TooManyPixels(width, height) => Self::TooManyPixels {
                file,
                width,
                height,
            },
        }
    }

    /// An error from writing in `dir`: a full disk is its own variant, since a person can fix it.
    pub fn storage(dir: &Path, source: io::Error) -> Self {
        let dir = dir.to_owned();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::StorageFull { dir },
            _ => Self::Storage { dir, source },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_disk_is_its_own_variant() {
        for kind in [io::ErrorKind::StorageFull, io::ErrorKind::QuotaExceeded] {
            let error = PhotoError::storage(Path::new("photos"), kind.into());
            assert!(matches!(error, PhotoError::StorageFull { .. }), "{error}");
        }
        let error =
            PhotoError::storage(Path::new("photos"), io::ErrorKind::PermissionDenied.into());
        assert!(matches!(error, PhotoError::Storage { .. }), "{error}");
    }
}
