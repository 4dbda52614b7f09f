//! Why an operation in a folder failed.

use crate::sync::{Problem, SyncError};
use std::io;
use std::path::Path;

/// Why an operation on files of a folder failed.
#[derive(Debug)]
pub(super) enum FolderError {
    /// The file system refused to read.
    Read(io::Error),
    /// The file system refused to write.
    Write(io::Error),
    /// The folder itself is gone, as when a stick was unplugged.
    Gone,
    /// The folder holds a notebook.
    IsNotebook,
    /// The folder is missing, but could be created.
    Missing,
    /// The file system did not answer in time.
    NoAnswer,
    /// The sync was canceled.
    Canceled,
    /// What was to be written could not be read on this side, or the other way around.
    Local(io::Error),
}

impl From<io::Error> for FolderError {
    fn from(error: io::Error) -> Self {
        Self::Read(error)
    }
}

impl FolderError {
    /// Returns the error for the whole remote. `file` is what was used.
    pub fn of_remote(self, remote: String, file: &Path) -> SyncError {
        let file = file.display().to_string();
        match self {
            Self::Read(error) => SyncError::from_read(&error, &remote, &file),
            Self::Write(error) => SyncError::from_write(&error, &remote, &file),
            Self::Gone => SyncError::RemoteNotFound { remote },
            Self::IsNotebook => SyncError::IsNotebook { remote },
            Self::Missing => SyncError::RemoteMissing { remote },
            Self::NoAnswer => SyncError::Unreachable {
                remote,
                detail: "it does not answer".to_owned(),
            },
            Self::Canceled => SyncError::Canceled,
            Self::Local(error) => SyncError::File(Problem {
                file,
                reason: format!("this notebook cannot read or write it ({error})"),
            }),
        }
    }

    /// Returns the error for `name`, a file on the remote. If only that file fails, the rest of the
    /// remote can still be used.
    pub fn of_file(self, remote: String, name: &str) -> SyncError {
        match self {
            Self::Read(error) => SyncError::File(unreadable(name, &error)),
            Self::Write(error) if concerns_one_file(&error) => SyncError::File(Problem {
                file: name.to_owned(),
                reason: format!("something else has its name there ({error})"),
            }),
            Self::Local(error) => SyncError::File(Problem {
                file: name.to_owned(),
                reason: format!("this notebook cannot read or write it ({error})"),
            }),
            other => other.of_remote(remote, Path::new(name)),
        }
    }
}

/// Whether a write failed because of what has the file's name.
fn concerns_one_file(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::IsADirectory | io::ErrorKind::DirectoryNotEmpty | io::ErrorKind::Other
    )
}

/// The problem of a file that cannot be read.
pub(super) fn unreadable(name: &str, error: &io::Error) -> Problem {
    let reason = match error.kind() {
        io::ErrorKind::PermissionDenied => "you have no permission to read it".to_owned(),
        // One of ours, a sentence already.
        io::ErrorKind::Other => error.to_string(),
        _ => format!("it cannot be read ({error})"),
    };
    Problem {
        file: name.to_owned(),
        reason,
    }
}
