//! Where the files of an export go.

use super::error::ExportError;
use crate::notebook::NotebookError;
use std::io::{self, Write};
use std::path::Path;

/// Takes files one after the other: what is written belongs to the file begun last.
pub(super) trait Sink: Write {
    /// Begins a file of text. `name` is a path with `/`.
    fn begin(&mut self, name: &str) -> io::Result<()>;

    /// Begins a file that is compressed already, such as a photo.
    fn begin_packed(&mut self, name: &str) -> io::Result<()> {
        self.begin(name)
    }
}

/// Why writing stopped.
pub(super) enum Failed {
    /// The sink refused it.
    Writing(io::Error),
    /// The notebook cannot be read.
    Reading(NotebookError),
    /// It was canceled.
    Canceled,
}

impl Failed {
    /// Names the path of the export.
    pub fn at(self, path: &Path) -> ExportError {
        match self {
            Failed::Writing(source) => ExportError::writing(path, source),
            Failed::Reading(error) => error.into(),
            Failed::Canceled => ExportError::Canceled,
        }
    }
}

impl From<io::Error> for Failed {
    fn from(error: io::Error) -> Self {
        Self::Writing(error)
    }
}

impl From<NotebookError> for Failed {
    fn from(error: NotebookError) -> Self {
        Self::Reading(error)
    }
}

impl From<csv::Error> for Failed {
    fn from(error: csv::Error) -> Self {
        Self::Writing(match error.into_kind() {
            csv::ErrorKind::Io(error) => error,
            other => io::Error::other(format!("{other:?}")),
        })
    }
}
