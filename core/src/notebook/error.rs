//! Notebook errors, worded so that a person can act on them.

use super::id::{DeviceId, EntryId};
use crate::photo::PhotoError;
use rusqlite::ErrorCode;
use std::io;
use std::path::{Path, PathBuf};

/// Why a notebook could not be opened, read or written.
#[derive(Debug, thiserror::Error)]
pub enum NotebookError {
    /// A newer version of the program has written it. Nothing was changed.
    #[error("the notebook in {} was written by a newer Holebook (layout {theirs}, this one knows {ours}); update this program to open it", dir.display())]
    Newer {
        /// The notebook's folder.
        dir: PathBuf,
        /// The layout it has.
        theirs: i64,
        /// The newest layout that this version knows.
        ours: i64,
    },
    /// The folder holds something else. Nothing was changed.
    #[error("{} is not a Holebook notebook: {why}; name the notebook's folder, or an empty one for a new notebook", path.display())]
    NotANotebook {
        /// The folder or file.
        path: PathBuf,
        /// What was found instead.
        why: String,
    },
    /// The notebook's file is damaged. It is left as it is.
    #[error("the notebook in {} is damaged ({detail}); `holebook verify --repair` on a computer recovers everything that can still be read, and deletes nothing", dir.display())]
    Damaged {
        /// The notebook's folder.
        dir: PathBuf,
        /// What was found.
        detail: String,
    },
    /// The folder or a file in it cannot be written, or the folder cannot be created.
    #[error("the notebook's folder {} cannot be written; choose another folder or change its permissions", dir.display())]
    NotWritable {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// The disk is full. Nothing was changed.
    #[error("the disk that holds the notebook in {} is full, so nothing was recorded; free some space and try again", dir.display())]
    StorageFull {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// Another program kept the notebook locked for too long.
    #[error("another program has been writing to the notebook in {} for too long; close it or wait, then try again", dir.display())]
    Busy {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// Another program has the notebook open, and a repair needs it alone. Nothing was changed.
    #[error("the notebook in {} is open in another window or program; close it there, then try again", dir.display())]
    OpenElsewhere {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// Its files were deleted, moved or replaced while it was open. Nothing was recorded.
    #[error("the files of the notebook in {} were deleted, moved or replaced while it was open, so nothing was recorded; put the folder back, then open the notebook again", dir.display())]
    Gone {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// There is nothing with that id.
    #[error(
        "the notebook has no {what} {id}; it may have been struck out; go back to the list and choose again"
    )]
    NoSuch {
        /// The kind of thing: casting, face, photo, hole or entry.
        what: &'static str,
        /// The id.
        id: String,
    },
    /// The input is not valid. Nothing was recorded.
    #[error("{0}")]
    Invalid(String),
    /// Lines from another notebook cannot be imported. Nothing was changed.
    #[error("the lines cannot be imported: {0}; sync again after the other device has synced")]
    RejectedLine(#[from] RejectedLine),
    /// A photo could not be imported.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// The disk or SQLite failed in a way that none of the others describes.
    #[error("the notebook in {} could not be read or written ({detail}); check the disk and try again", dir.display())]
    Storage {
        /// The notebook's folder.
        dir: PathBuf,
        /// What it reported.
        detail: String,
    },
}

/// Why a line was not inserted into the journal.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RejectedLine {
    /// The line before it is not here.
    #[error("entry {seq} of device {device} names an entry before it that is not here")]
    Gap {
        /// The device.
        device: DeviceId,
        /// The line's sequence number.
        seq: u64,
    },
    /// Its id belongs to another entry.
    #[error("entry {seq} of device {device} has the id of another entry, {id}")]
    IdTaken {
        /// The device.
        device: DeviceId,
        /// The line's sequence number.
        seq: u64,
        /// The id.
        id: EntryId,
    },
}

/// An error before it is known which folder it is about.
#[derive(Debug)]
pub(crate) enum Fault {
    /// SQLite.
    Sql(rusqlite::Error),
    /// A line or value in the database cannot be read.
    Unreadable(String),
    /// The file has a newer layout than this version's.
    Newer {
        /// The layout it has.
        theirs: i64,
        /// The newest layout that this version knows.
        ours: i64,
    },
    /// An error that names its folder, or needs none.
    Error(NotebookError),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}

impl From<NotebookError> for Fault {
    fn from(error: NotebookError) -> Self {
        Self::Error(error)
    }
}

impl From<RejectedLine> for Fault {
    fn from(why: RejectedLine) -> Self {
        Self::Error(why.into())
    }
}

impl Fault {
    /// A value in the database cannot be read.
    pub(crate) fn unreadable(error: impl ToString) -> Self {
        Self::Unreadable(error.to_string())
    }

    /// There is nothing with that id.
    pub(crate) fn no_such(what: &'static str, id: impl ToString) -> Self {
        Self::Error(NotebookError::NoSuch {
            what,
            id: id.to_string(),
        })
    }

    /// The input is not valid.
    pub(crate) fn invalid(why: impl Into<String>) -> Self {
        Self::Error(NotebookError::Invalid(why.into()))
    }

    /// Returns the damage that it reports; `None` if the cause is the disk, another program or the
    /// input.
    pub(crate) fn damage(&self) -> Option<String> {
        use ErrorCode::{
            CannotOpen, DatabaseBusy, DatabaseLocked, DiskFull, OutOfMemory, PermissionDenied,
            ReadOnly, SystemIoFailure,
        };
        match self {
            Self::Unreadable(detail) => Some(detail.clone()),
            Self::Sql(error) => match error.sqlite_error_code() {
                Some(
                    CannotOpen | DatabaseBusy | DatabaseLocked | DiskFull | OutOfMemory
                    | PermissionDenied | ReadOnly | SystemIoFailure,
                ) => None,
                _ => Some(error.to_string()),
            },
            Self::Newer { .. } | Self::Error(_) => None,
        }
    }

    /// Returns whether the shared index of the log could not be made.
    pub(crate) fn is_about_shared_index(&self) -> bool {
        use rusqlite::ffi::{SQLITE_IOERR_SHMMAP, SQLITE_IOERR_SHMOPEN, SQLITE_IOERR_SHMSIZE};
        let Self::Sql(error) = self else { return false };
        let extended = error.sqlite_error().map(|error| error.extended_code);
        [
            SQLITE_IOERR_SHMMAP,
            SQLITE_IOERR_SHMOPEN,
            SQLITE_IOERR_SHMSIZE,
        ]
        .iter()
        .any(|code| extended == Some(*code))
    }

    /// Converts it to an error about the notebook in `dir`.
    pub(crate) fn at(self, dir: &Path) -> NotebookError {
        let dir = dir.to_owned();
        match self {
            Self::Error(error) => error,
            Self::Newer { theirs, ours } => NotebookError::Newer { dir, theirs, ours },
            Self::Unreadable(detail) => NotebookError::Damaged { dir, detail },
            Self::Sql(error) if is_disk_full(&error) => NotebookError::StorageFull { dir },
            Self::Sql(error) => match error.sqlite_error_code() {
                Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => {
                    NotebookError::Busy { dir }
                }
                Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => {
                    NotebookError::NotWritable { dir }
                }
                Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => {
                    NotebookError::Damaged {
                        dir,
                        detail: error.to_string(),
                    }
                }
                _ if is_about_tables(&error) => NotebookError::Damaged {
                    dir,
                    detail: format!("its tables are not those of its layout: {error}"),
                },
                _ => NotebookError::Storage {
                    dir,
                    detail: error.to_string(),
                },
            },
        }
    }
}

/// Returns whether the disk is full. If there is no room even for the shared index of the log,
/// SQLite reports an I/O error.
#[must_use]
pub fn is_disk_full(error: &rusqlite::Error) -> bool {
    let extended = error.sqlite_error().map(|error| error.extended_code);
    error.sqlite_error_code() == Some(ErrorCode::DiskFull)
        || extended == Some(rusqlite::ffi::SQLITE_IOERR_SHMSIZE)
}

/// Returns whether a table or column is missing, or is there already: the database was changed by
/// something else, or its layout number was.
fn is_about_tables(error: &rusqlite::Error) -> bool {
    let message = error.to_string();
    [
        "no such table",
        "no such column",
        "has no column",
        "already exists",
    ]
    .iter()
    .any(|part| message.contains(part))
}

impl NotebookError {
    /// Converts a file system error about the notebook in `dir`.
    pub(crate) fn from_io(error: &io::Error, dir: &Path) -> Self {
        let dir = dir.to_owned();
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::StorageFull { dir },
            io::ErrorKind::PermissionDenied
            | io::ErrorKind::ReadOnlyFilesystem
            | io::ErrorKind::NotADirectory => Self::NotWritable { dir },
            _ => Self::Storage {
                dir,
                detail: error.to_string(),
            },
        }
    }
}
