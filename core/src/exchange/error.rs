//! Why an exchange could not be done.

use super::Problem;
use super::bundle::BundleError;
use crate::notebook::NotebookError;
use crate::photo::PhotoError;
use std::io;

/// Why an exchange ended early. What was taken and left by then stays, and the next exchange goes on from there.
#[derive(Debug, thiserror::Error)]
pub enum ExchangeError {
    /// The shelf is not there.
    #[error("{shelf} is not there; plug the stick in, or name a folder that exists")]
    NoShelf {
        /// The shelf's name.
        shelf: String,
    },
    /// The shelf has no room left.
    #[error(
        "{shelf} is full, so not everything was left on it; free some space there and exchange again"
    )]
    ShelfFull {
        /// The shelf's name.
        shelf: String,
    },
    /// The shelf cannot be written.
    #[error("{shelf} cannot be written; see that it is not write-protected, then exchange again")]
    NotWritable {
        /// The shelf's name.
        shelf: String,
    },
    /// The shelf cannot be reached, or the way to it broke.
    #[error(
        "{shelf} cannot be reached ({detail}); see that both are on the same network and that it is running, then exchange again"
    )]
    Unreachable {
        /// The shelf's name.
        shelf: String,
        /// What happened.
        detail: String,
    },
    /// The shelf does not let this device in, or is not the one that it was paired with.
    #[error("{shelf} {why}")]
    NotLetIn {
        /// The shelf's name.
        shelf: String,
        /// Why, and what to do, following its name: `no longer knows this device; pair again`.
        why: String,
    },
    /// The shelf failed in another way.
    #[error(
        "{file} could not be read or written ({detail}); see that the shelf is still there, then exchange again"
    )]
    Shelf {
        /// The file or folder, or the shelf's name.
        file: String,
        /// What the system said.
        detail: String,
    },
    /// Only this file cannot be had; all else can. An exchange notes it and goes on.
    #[error("{0}")]
    File(Problem),
    /// A bundle could not be written, or not be read.
    #[error(transparent)]
    Bundle(#[from] BundleError),
    /// A way to a shelf that this crate does not know of says in a sentence of its own what is wrong.
    #[error(transparent)]
    Elsewhere(Box<dyn std::error::Error + Send + Sync>),
    /// Whoever watched it ended it.
    #[error("the exchange was ended early; exchange again to go on from there")]
    Stopped,
    /// The notebook.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The notebook's photos.
    #[error(transparent)]
    Photo(#[from] PhotoError),
}

impl ExchangeError {
    /// Words a failure of the file system at `file`, on the shelf of the name `shelf`.
    #[must_use]
    pub fn from_io(error: &io::Error, shelf: &str, file: &str) -> Self {
        let shelf = shelf.to_owned();
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::ShelfFull { shelf },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::NotWritable { shelf }
            }
            _ => Self::Shelf {
                file: file.to_owned(),
                detail: error.to_string(),
            },
        }
    }
}
