//! Why an exchange could not be done.

use crate::notebook::NotebookError;
use crate::photo::PhotoError;
use std::io;
use std::path::{Path, PathBuf};

/// Why an exchange ended early.
#[derive(Debug, thiserror::Error)]
pub enum ExchangeError {
    /// The shelf's folder is not there.
    #[error("the shelf {} is not there; plug the stick in, or name a folder that exists", shelf.display())]
    NoShelf {
        /// The folder.
        shelf: PathBuf,
    },
    /// The shelf's disk is full. What the shelf held has been taken.
    #[error("the shelf {} is full, so not everything was left on it; free some space there and exchange again", shelf.display())]
    ShelfFull {
        /// The folder.
        shelf: PathBuf,
    },
    /// The shelf cannot be written.
    #[error("the shelf {} cannot be written; see that the stick is not write-protected, then exchange again", shelf.display())]
    NotWritable {
        /// The folder.
        shelf: PathBuf,
    },
    /// The shelf failed in another way.
    #[error("{} on the shelf could not be read or written ({detail}); see that it is still plugged in, then exchange again", file.display())]
    Shelf {
        /// The file or folder.
        file: PathBuf,
        /// What the system said.
        detail: String,
    },
    /// The notebook.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The notebook's photos.
    #[error(transparent)]
    Photo(#[from] PhotoError),
}

impl ExchangeError {
    /// Words a failure of the file system at `file`, on the shelf `shelf`.
    pub(super) fn from_io(error: &io::Error, shelf: &Path, file: &Path) -> Self {
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
