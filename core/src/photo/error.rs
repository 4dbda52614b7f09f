//! What can go wrong with a photo, each in one sentence: what, where, what to do.

use std::io;
use std::path::{Path, PathBuf};

use super::{LARGEST_FILE_BYTES, LARGEST_PICTURE_PIXELS, PhotoHash};

/// Why a photo was not brought in, or is not as it should be. Nothing was stored, and the source was not touched.
#[derive(Debug, thiserror::Error)]
pub enum PhotoError {
    /// The file could not be opened or read.
    #[error("{} cannot be read ({source}); check that it is still there and that you may read it", file.display())]
    Unreadable {
        /// The file that was asked for.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A directory, a pipe or the like.
    #[error("{} is not a file; choose the photo itself", file.display())]
    NotAFile {
        /// What was asked for.
        file: PathBuf,
    },
    /// A file of no bytes.
    #[error("{} is empty; copy the photo again from the camera", file.display())]
    Empty {
        /// The file.
        file: PathBuf,
    },
    /// Larger than [`LARGEST_FILE_BYTES`].
    #[error("{} has {} MB, and a photo may have {} MB at most; save it smaller as JPEG and bring that in",
        file.display(), bytes / 1_000_000, LARGEST_FILE_BYTES / 1_000_000)]
    FileTooLarge {
        /// The file.
        file: PathBuf,
        /// Its size in bytes.
        bytes: u64,
    },
    /// HEIC or HEIF, which needs a decoder that is not here.
    #[error("{} is a HEIC photo, which cannot be read here; in the phone's camera settings, under formats, choose JPEG \
        (it may be called 'most compatible'), then take the photo again or share this one as JPEG", file.display())]
    Heic {
        /// The file.
        file: PathBuf,
    },
    /// A picture or film of a kind that is known but not read here.
    #[error("{} is {kind}, and only JPEG and PNG photos are read here; save it as JPEG and bring that in", file.display())]
    OtherFormat {
        /// The file.
        file: PathBuf,
        /// What it is, with its article: `a TIFF picture`, `a film`.
        kind: &'static str,
    },
    /// Nothing that is known as a picture, whatever its name says.
    #[error("{} is not a picture, whatever its name says; choose a JPEG or PNG photo", file.display())]
    NotAPicture {
        /// The file.
        file: PathBuf,
    },
    /// The picture ends before its end.
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
        /// What the decoder found.
        why: String,
    },
    /// A rare kind of JPEG that no camera writes.
    #[error("{} is a JPEG of a rare kind ({kind}) that is not read here; save it again as an ordinary JPEG", file.display())]
    RareJpeg {
        /// The file.
        file: PathBuf,
        /// Which kind.
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
    #[error("{} says that its picture is {width} by {height} pixels, and {} megapixels is the most; save it smaller and bring that in",
        file.display(), LARGEST_PICTURE_PIXELS / 1_000_000)]
    TooManyPixels {
        /// The file.
        file: PathBuf,
        /// Width as the file says, in pixels.
        width: u32,
        /// Height as the file says, in pixels.
        height: u32,
    },
    /// No room where the photos are kept.
    #[error("there is no room left for photos in {}; free some space on that disk, then try again", place.display())]
    StorageFull {
        /// The folder of photos.
        place: PathBuf,
    },
    /// The folder of photos cannot be written or read, for another reason than room.
    #[error("{} cannot be used for photos ({source}); check that the folder is there and that you may write in it", place.display())]
    Storage {
        /// The folder or file in it.
        place: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// No photo of this name is stored here.
    #[error("photo {hash} is not in {}; exchange with the device that took it", place.display())]
    Missing {
        /// The photo asked for.
        hash: PhotoHash,
        /// The folder of photos.
        place: PathBuf,
    },
    /// A file's content does not belong to its name.
    #[error("{} does not hold photo {hash}: its content has changed; get the photo again from a device that has it", file.display())]
    NotAsNamed {
        /// The name it goes by.
        hash: PhotoHash,
        /// The file.
        file: PathBuf,
    },
}

impl PhotoError {
    /// An error of reading the source `file`.
    pub(super) fn reading(file: &Path, source: io::Error) -> Self {
        Self::Unreadable {
            file: file.to_owned(),
            source,
        }
    }

    /// An error of writing in `place`: a full disk is of its own kind, since a person can mend it.
    pub fn storing(place: &Path, source: io::Error) -> Self {
        let place = place.to_owned();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                Self::StorageFull { place }
            }
            _ => Self::Storage { place, source },
        }
    }
}

/// What is wrong with a picture, before it is known which file it came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Flaw {
    Heic,
    OtherFormat(&'static str),
    NotAPicture,
    CutShort,
    Damaged(String),
    RareJpeg(&'static str),
    NoPixels(u32, u32),
    TooManyPixels(u32, u32),
}

impl Flaw {
    /// The same with the file's name.
    pub(super) fn of(self, file: &Path) -> PhotoError {
        let file = file.to_owned();
        match self {
            Self::Heic => PhotoError::Heic { file },
            Self::OtherFormat(kind) => PhotoError::OtherFormat { file, kind },
            Self::NotAPicture => PhotoError::NotAPicture { file },
            Self::CutShort => PhotoError::CutShort { file },
            Self::Damaged(why) => PhotoError::Damaged { file, why },
            Self::RareJpeg(kind) => PhotoError::RareJpeg { file, kind },
            Self::NoPixels(width, height) => PhotoError::NoPixels {
                file,
                width,
                height,
            },
            Self::TooManyPixels(width, height) => PhotoError::TooManyPixels {
                file,
                width,
                height,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_disk_is_of_its_own_kind() {
        for kind in [io::ErrorKind::StorageFull, io::ErrorKind::QuotaExceeded] {
            let error = PhotoError::storing(Path::new("photos"), kind.into());
            assert!(matches!(error, PhotoError::StorageFull { .. }), "{error}");
        }
        let error =
            PhotoError::storing(Path::new("photos"), io::ErrorKind::PermissionDenied.into());
        assert!(matches!(error, PhotoError::Storage { .. }), "{error}");
    }
}
