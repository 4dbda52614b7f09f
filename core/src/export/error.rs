//! Why nothing was exported.

use crate::notebook::NotebookError;
use std::io;
use std::path::{Path, PathBuf};

/// Why nothing was exported. What was at the path is as it was.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// Something is there already.
    #[error("{} already exists; choose another name for the export, or allow replacing it", path.display())]
    Exists {
        /// The folder or file.
        path: PathBuf,
    },
    /// The folder to replace holds something that no export wrote.
    #[error("{} holds {other}, which no export wrote; choose another folder, or move it out first", folder.display())]
    NotAnExport {
        /// The folder.
        folder: PathBuf,
        /// The name of what is there.
        other: String,
    },
    /// No space left on the disk.
    #[error("no space left for {}, so nothing was exported; free some space there, then try again", path.display())]
    StorageFull {
        /// The folder or file that was to be written.
        path: PathBuf,
    },
    /// Writing failed for another reason than space.
    #[error("cannot write {} ({source}), so nothing was exported; check that the folder it goes into exists and that you may write there", path.display())]
    WriteFailed {
        /// The folder or file that was to be written.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The notebook or one of its photos cannot be read.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// It was canceled.
    #[error("the export was canceled, so nothing was exported")]
    Canceled,
}

impl ExportError {
    /// Converts a failure to write `path`.
    pub(super) fn writing(path: &Path, source: io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::StorageFull { path },
            _ => Self::WriteFailed { path, source },
        }
    }

    pub(super) fn exists(path: &Path) -> Self {
        Self::Exists {
            path: path.to_owned(),
        }
    }
}
