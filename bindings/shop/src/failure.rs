//! What can go wrong, each said in one sentence: what, where, and what to do.

use holebook_core::drill::DrawerError;
use holebook_core::exchange::ExchangeError;
use holebook_core::insert::FileError;
use holebook_core::length::LengthError;
use holebook_core::notebook::NotebookError;
use holebook_core::thread::ThreadError;
use holebook_core::thread::identify::IdentifyError;
use holebook_link::LinkError;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Why a command was not done as asked.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// Whoever read standard output has gone away (`holebook list | head`): nothing to say, nobody to say it to.
    #[error("the reader of the output has gone")]
    ReaderGone,
    /// Standard output cannot be written.
    #[error("the output cannot be written ({0}); see where it is sent to")]
    Output(io::Error),
    /// A value could not be written as JSON.
    #[error("the answer cannot be written as JSON ({0}); this is a fault of the program")]
    Json(serde_json::Error),
    /// A thread was refused.
    #[error(transparent)]
    Thread(#[from] ThreadError),
    /// A reading was refused.
    #[error(transparent)]
    Identify(#[from] IdentifyError),
    /// A length was refused.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// A drawer of drills was refused.
    #[error(transparent)]
    Drawer(#[from] DrawerError),
    /// A file of inserts was refused.
    #[error(transparent)]
    Inserts(#[from] FileError),
    /// The notebook could not be opened, read or written.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The notebook and the shelf could not be brought together.
    #[error(transparent)]
    Exchange(#[from] ExchangeError),
    /// Pairing, or what is kept of it.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// A bucket or a WebDAV folder.
    #[cfg(feature = "bucket")]
    #[error(transparent)]
    Bucket(#[from] crate::bucket::BucketError),
    /// A file could not be read or written.
    #[error("{doing} `{}` did not work: {why}", path.display())]
    File {
        /// What was tried.
        doing: &'static str,
        /// On which file or folder.
        path: PathBuf,
        /// What the operating system said, and what to do.
        why: String,
    },
    /// Everything else that is said in one sentence of the command's own.
    #[error("{0}")]
    Said(String),
}

impl Failure {
    /// A file or folder on which `doing` failed.
    pub fn file(doing: &'static str, path: &Path, error: &io::Error) -> Self {
        let advice = match error.kind() {
            ErrorKind::NotFound => "there is no such place; look at its name",
            ErrorKind::PermissionDenied => "it is not allowed; choose a place that is yours",
            ErrorKind::StorageFull => "the disk is full; make room on it",
            ErrorKind::ReadOnlyFilesystem => "the disk can only be read; choose another place",
            _ => {
                return Self::File {
                    doing,
                    path: path.into(),
                    why: format!("{error}; see that the place can be used"),
                };
            }
        };
        Self::File {
            doing,
            path: path.into(),
            why: advice.into(),
        }
    }
}

/// Output errors; files are reported with [`Failure::file`].
impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        if error.kind() == ErrorKind::BrokenPipe {
            Self::ReaderGone
        } else {
            Self::Output(error)
        }
    }
}
