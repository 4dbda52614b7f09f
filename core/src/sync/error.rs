//! Errors of a sync.

use super::Problem;
use super::bundle::BundleError;
use crate::notebook::NotebookError;
use crate::photo::PhotoError;
use std::io;

/// Why a sync failed. What was pulled and pushed by then stays, and the next sync continues from
/// there.
#[derive(Debug, thiserror::Error)]
pub enum SyncError {
    /// The remote does not exist.
    #[error("{remote} was not found; plug in the stick, or name a folder that exists")]
    RemoteNotFound {
        /// The remote's name.
        remote: String,
    },
    /// The folder does not exist, and was not created since nobody confirmed that it should be.
    #[error("{remote} does not exist; check its path, or confirm that it should be created")]
    RemoteMissing {
        /// The remote's name.
        remote: String,
    },
    /// The folder is a notebook's own.
    #[error(
        "{remote} holds a notebook of its own, so nothing was synced; name another folder for sync"
    )]
    IsNotebook {
        /// The remote's name.
        remote: String,
    },
    /// The remote has no room left.
    #[error("{remote} is full, so not everything was pushed; free some space there and sync again")]
    RemoteFull {
        /// The remote's name.
        remote: String,
    },
    /// The remote cannot be written.
    #[error("cannot write to {remote}; check that it is not write-protected, then sync again")]
    NotWritable {
        /// The remote's name.
        remote: String,
    },
    /// The remote may not be read.
    #[error(
        "you have no permission to read {file} on {remote}; change its permissions, or sync as the user who owns it"
    )]
    NotReadable {
        /// The remote's name.
        remote: String,
        /// The file or folder.
        file: String,
    },
    /// The remote cannot be reached, or the way to it broke.
    #[error(
        "{remote} cannot be reached ({detail}); check that it is running and on the same network, then sync again"
    )]
    Unreachable {
        /// The remote's name.
        remote: String,
        /// What happened.
        detail: String,
    },
    /// The remote does not admit this device, or it is not the one that was paired.
    #[error("{remote} {reason}")]
    AccessDenied {
        /// The remote's name.
        remote: String,
        /// Why, and what to do, to follow the remote's name: `no longer knows this device; pair
        /// again`.
        reason: String,
    },
    /// The remote failed in another way.
    #[error(
        "cannot read or write {file} ({detail}); check that it is still connected, then sync again"
    )]
    RemoteIo {
        /// The file or folder, or the remote's name.
        file: String,
        /// What the system said.
        detail: String,
    },
    /// Only this file is unavailable. A sync reports it and continues with everything else.
    #[error("{0}")]
    File(Problem),
    /// A bundle could not be written or read.
    #[error(transparent)]
    Bundle(#[from] BundleError),
    /// An error of a remote that this crate does not know of; its text is a complete sentence.
    #[error(transparent)]
    Other(Box<dyn std::error::Error + Send + Sync>),
    /// Progress reporting canceled it.
    #[error("the sync was canceled; sync again to continue")]
    Canceled,
    /// The notebook failed.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The notebook's photo store failed.
    #[error(transparent)]
    Photo(#[from] PhotoError),
}

impl SyncError {
    /// Converts a failure to read `file` on the remote named `remote`.
    #[must_use]
    pub fn from_read(error: &io::Error, remote: &str, file: &str) -> Self {
        let (remote, file) = (remote.to_owned(), file.to_owned());
        match error.kind() {
            io::ErrorKind::PermissionDenied => Self::NotReadable { remote, file },
            _ => Self::RemoteIo {
                file,
                detail: error.to_string(),
            },
        }
    }

    /// Converts a failure to write `file` on the remote named `remote`.
    #[must_use]
    pub fn from_write(error: &io::Error, remote: &str, file: &str) -> Self {
        let remote = remote.to_owned();
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
                Self::RemoteFull { remote }
            }
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::NotWritable { remote }
            }
            _ => Self::RemoteIo {
                file: file.to_owned(),
                detail: error.to_string(),
            },
        }
    }
}
