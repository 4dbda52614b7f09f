//! Errors of the program, each one sentence: what, where, and what to do.

use holebook_core::drill::DrillKindsError;
use holebook_core::export::ExportError;
use holebook_core::insert::FileError;
use holebook_core::length::LengthError;
use holebook_core::notebook::NotebookError;
use holebook_core::sync::SyncError;
use holebook_core::thread::ThreadError;
use holebook_core::thread::identify::IdentifyError;
use holebook_paper::PaperError;
use holebook_place::PlaceError;
use holebook_sync::PairingError;
use holebook_sync::service::ServiceError;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The reader of standard output is gone (`holebook list | head`).
    #[error("the reader of the output is gone")]
    ReaderGone,
    /// Standard output cannot be written.
    #[error("the output cannot be written ({0}); check where it is redirected to")]
    Output(io::Error),
    /// A value could not be written as JSON.
    #[error("the answer cannot be written as JSON ({0}); this is a bug")]
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
    /// A set of drill kinds was refused.
    #[error(transparent)]
    DrillKinds(#[from] DrillKindsError),
    /// A file of inserts was refused.
    #[error(transparent)]
    Inserts(#[from] FileError),
    /// There is no answer about where things are.
    #[error(transparent)]
    Place(#[from] PlaceError),
    /// A sheet could not be made.
    #[error(transparent)]
    Paper(#[from] PaperError),
    /// The notebook could not be opened, read, or written.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The sync failed.
    #[error(transparent)]
    Sync(#[from] SyncError),
    /// The export failed.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// Pairing, or its store.
    #[error(transparent)]
    Link(#[from] PairingError),
    /// A bucket or a WebDAV folder.
    #[cfg(feature = "bucket")]
    #[error(transparent)]
    Bucket(#[from] holebook_sync::bucket::BucketError),
    /// The sync service.
    #[error(transparent)]
    Service(#[from] ServiceError),
    /// A file could not be read or written.
    #[error("{doing} `{}` failed: {why}", path.display())]
    File {
        /// What was attempted.
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// What the operating system reported, and what to do.
        why: String,
    },
    /// Any other error, as a sentence of the command.
    #[error("{0}")]
    Message(String),
}

impl Failure {
    /// Builds the error for a file or folder on which `doing` failed.
    pub fn file(doing: &'static str, path: &Path, error: &io::Error) -> Self {
        let advice = match error.kind() {
            ErrorKind::NotFound => "no such file or folder; check its name",
            ErrorKind::IsADirectory => "it is a folder; name a file",
            ErrorKind::PermissionDenied => "permission denied; choose a folder that is yours",
            ErrorKind::StorageFull => "the disk is full; free some space",
            ErrorKind::ReadOnlyFilesystem => "the disk is read-only; choose another folder",
            _ => {
                return Self::File {
                    doing,
                    path: path.into(),
                    why: format!("{error}; check that it can be used"),
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
