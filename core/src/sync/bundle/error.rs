//! Errors of writing and importing bundles.

use super::{MAX_FILES, MAX_LINE_BYTES};
use std::io;
use std::path::{Path, PathBuf};

/// Why a bundle was not written or not imported. Neither the notebook nor any file has changed.
#[derive(Debug, thiserror::Error)]
pub enum BundleError {
    /// A file of that name exists.
    #[error("{} already exists; choose another name for the bundle, or allow replacing it", file.display())]
    Exists {
        /// The file.
        file: PathBuf,
    },
    /// There is nothing to write.
    #[error("nothing to send: {}", if *.all { "the notebook is empty" } else {
        "every entry of this device is synced already" })]
    NothingToWrite {
        /// Whether everything was requested.
        all: bool,
    },
    /// The notebook exceeds the limits of a bundle.
    #[error("the notebook is too large for a bundle ({MAX_FILES} files, {} MB of entries); sync with a folder instead",
        MAX_LINE_BYTES / 1_000_000)]
    TooLarge,
    /// No space left on the disk.
    #[error("no space left for {}, so no bundle was written; free some space there, then try again", file.display())]
    StorageFull {
        /// The file that was to be written.
        file: PathBuf,
    },
    /// Writing failed for another reason than space.
    #[error("cannot write {} ({source}), so no bundle was written; check that its folder exists and that you may write to it", file.display())]
    WriteFailed {
        /// The file that was to be written.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Reading failed.
    #[error("cannot read {} ({source}); check that it still exists and that you may read it", file.display())]
    ReadFailed {
        /// The file.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Not a bundle, or a damaged one.
    #[error("nothing was imported from {} because {flaw}; ask for the bundle again", file.display())]
    Invalid {
        /// The file.
        file: PathBuf,
        /// What is wrong with it.
        flaw: BundleFlaw,
    },
    /// Something was pushed to a bundle that already exists.
    #[error("{} is a bundle, which is read-only; write a new one instead", file.display())]
    ReadOnly {
        /// The file.
        file: PathBuf,
    },
}

/// What makes a file an invalid bundle.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BundleFlaw {
    /// A folder, a pipe or the like.
    #[error("it is not a file")]
    NotAFile,
    /// Another kind of file.
    #[error("it is not a zip file")]
    NotAZip,
    /// Its start or end is not that of a zip file with nothing before, after or between its files.
    #[error("it is truncated, or has data before or after its content")]
    Truncated,
    /// Its central directory cannot be read.
    #[error("its central directory is damaged ({0})")]
    Damaged(String),
    /// More files than a bundle may hold.
    #[error("it holds {0} files; the limit is {MAX_FILES}")]
    TooManyFiles(u64),
    /// More lines than a bundle may hold.
    #[error("its entries unpack to more than {} MB", MAX_LINE_BYTES / 1_000_000)]
    TooManyLines,
    /// Two files have the same name, so it is unclear which one is meant.
    #[error("two files in it have the same name")]
    DuplicateNames,
    /// Files overlap.
    #[error("files in it overlap")]
    Overlap,
}

impl BundleError {
    /// Converts a failure to write `file`.
    pub(super) fn writing(file: &Path, source: io::Error) -> Self {
        let file = file.to_owned();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::StorageFull { file },
            _ => Self::WriteFailed { file, source },
        }
    }

    /// Converts a failure to read `file`.
    pub(super) fn reading(file: &Path, source: io::Error) -> Self {
        Self::ReadFailed {
            file: file.to_owned(),
            source,
        }
    }

    /// Says what is wrong with `file`.
    pub(super) fn invalid(file: &Path, flaw: BundleFlaw) -> Self {
        Self::Invalid {
            file: file.to_owned(),
            flaw,
        }
    }
}
