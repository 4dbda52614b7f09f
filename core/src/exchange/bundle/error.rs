//! What can be wrong with a bundle.

use super::{MOST_FILES, MOST_LINES};
use std::io;
use std::path::{Path, PathBuf};

/// Why a bundle was not written, or not taken in. Neither the notebook nor any file has changed.
#[derive(Debug, thiserror::Error)]
pub enum BundleError {
    /// A file of that name is there.
    #[error("{} is there already; choose another name for the bundle, or say that it may be replaced", file.display())]
    Exists {
        /// The file.
        file: PathBuf,
    },
    /// There is nothing to write.
    #[error("there is nothing to send: {}", if *.all { "the notebook is empty" } else {
        "everything that was written here lies on a shelf already" })]
    Nothing {
        /// Whether all was asked for.
        all: bool,
    },
    /// More than a bundle may hold.
    #[error("the notebook holds more than fits one bundle ({MOST_FILES} files, {} MB of entries); exchange over a folder instead",
        MOST_LINES / 1_000_000)]
    TooMuch,
    /// No room where it was to be written.
    #[error("there is no room for {}, so no bundle was made; free some space there, then make it again", file.display())]
    NoRoom {
        /// The file that was to be.
        file: PathBuf,
    },
    /// It could not be written, for another reason than room.
    #[error("{} cannot be written ({source}), so no bundle was made; see that its folder is there and that you may write in it", file.display())]
    NotWritten {
        /// The file that was to be.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// It could not be read.
    #[error("{} cannot be read ({source}); see that it is still there and that you may read it", file.display())]
    Unreadable {
        /// The file.
        file: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// It is no bundle, or not a sound one.
    #[error("nothing was taken from {} because {why}; have the bundle sent again", file.display())]
    Unsound {
        /// The file.
        file: PathBuf,
        /// What is wrong with it.
        why: Flaw,
    },
    /// Something was to be left in a bundle that is there already.
    #[error("{} is a bundle, which is only read; write a new one instead", file.display())]
    OnlyRead {
        /// The file.
        file: PathBuf,
    },
}

/// What is wrong with a file that is to be a bundle.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Flaw {
    /// A folder, a pipe or the like.
    #[error("it is not a file")]
    NotAFile,
    /// Another kind of file.
    #[error("it is not a zip file, as bundles are")]
    NotAZip,
    /// Its start or end is not that of a zip file that has nothing before, behind or beside its files.
    #[error("it was cut short, or something was put before or behind its content")]
    NotWhole,
    /// Its list of files cannot be read.
    #[error("its list of files is damaged ({0})")]
    Damaged(String),
    /// More files than a bundle may hold.
    #[error("it holds {0} files, and a bundle holds {MOST_FILES} at most")]
    TooManyFiles(u64),
    /// More lines than a bundle may hold.
    #[error("its entries unpack to more than {} MB, which no bundle does", MOST_LINES / 1_000_000)]
    TooManyLines,
    /// Two files of one name: which of them is meant cannot be known.
    #[error("it holds two files of the same name")]
    SameNames,
    /// Files lie over each other.
    #[error("files in it lie over each other")]
    Overlap,
}

impl BundleError {
    /// Words a failure of writing `file`.
    pub(super) fn writing(file: &Path, source: io::Error) -> Self {
        let file = file.to_owned();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::NoRoom { file },
            _ => Self::NotWritten { file, source },
        }
    }

    /// Words a failure of reading `file`.
    pub(super) fn reading(file: &Path, source: io::Error) -> Self {
        Self::Unreadable {
            file: file.to_owned(),
            source,
        }
    }

    /// Words what is wrong with `file`.
    pub(super) fn unsound(file: &Path, why: Flaw) -> Self {
        Self::Unsound {
            file: file.to_owned(),
            why,
        }
    }
}
