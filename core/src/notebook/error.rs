//! What can go wrong with a notebook, said so that a person can act on it.

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
        why: &'static str,
    },
    /// The notebook's file is damaged. It is left as it is.
    #[error("the notebook in {} is damaged ({detail}); `holebook verify --repair` on a computer saves all that still reads, and deletes nothing", dir.display())]
    Damaged {
        /// The notebook's folder.
        dir: PathBuf,
        /// What was found.
        detail: String,
    },
    /// The folder or a file in it cannot be written, or the folder cannot be made.
    #[error("the notebook's folder {} cannot be written; choose another folder or give yourself the right to write there", dir.display())]
    NotWritable {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// The disk is full. Nothing of the change was kept.
    #[error("the disk that holds the notebook in {} is full, so nothing was recorded; free some space and try again", dir.display())]
    StorageFull {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// Another program kept the notebook busy.
    #[error("another program has been writing to the notebook in {} for too long; close it or wait, then try again", dir.display())]
    Busy {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// Somebody has the notebook open, and what was asked can only be done alone. Nothing was changed.
    #[error("the notebook in {} is open in another window or program; close it there, then try again", dir.display())]
    OpenElsewhere {
        /// The notebook's folder.
        dir: PathBuf,
    },
    /// There is nothing of that name.
    #[error(
        "the notebook has no {what} {id}; it may have been struck, so go back to the list and choose again"
    )]
    NoSuch {
        /// What was asked for: casting, face, photo, hole or entry.
        what: &'static str,
        /// Its name.
        id: String,
    },
    /// What was to be recorded makes no sense. Nothing was recorded.
    #[error("{0}")]
    Unfit(String),
    /// Lines that came from another notebook cannot be taken. Nothing was changed.
    #[error(
        "the lines cannot be taken: {0}; exchange again once the other device has left all its files"
    )]
    NotTaken(#[from] super::journal::NotTaken),
    /// A photo could not be brought in.
    #[error(transparent)]
    Photo(#[from] PhotoError),
    /// The disk or SQLite failed in a way that none of the others describes.
    #[error("the notebook in {} could not be read or written ({detail}); check the disk and try again", dir.display())]
    Storage {
        /// The notebook's folder.
        dir: PathBuf,
        /// What it said.
        detail: String,
    },
}

/// A failure inside, before it is known which folder it is about.
#[derive(Debug)]
pub(crate) enum Fault {
    /// SQLite.
    Sql(rusqlite::Error),
    /// A line or body in the database does not read as it should.
    Unreadable(String),
    /// The file has this layout, newer than ours.
    Newer(i64),
    /// Already worded.
    Worded(NotebookError),
}

impl From<rusqlite::Error> for Fault {
    fn from(error: rusqlite::Error) -> Self {
        Self::Sql(error)
    }
}

impl From<NotebookError> for Fault {
    fn from(error: NotebookError) -> Self {
        Self::Worded(error)
    }
}

impl From<super::journal::NotTaken> for Fault {
    fn from(why: super::journal::NotTaken) -> Self {
        Self::Worded(why.into())
    }
}

impl Fault {
    /// A value in the database does not read as it should.
    pub(crate) fn unreadable(error: impl ToString) -> Self {
        Self::Unreadable(error.to_string())
    }

    /// There is nothing of that name.
    pub(crate) fn no_such(what: &'static str, id: impl ToString) -> Self {
        Self::Worded(NotebookError::NoSuch {
            what,
            id: id.to_string(),
        })
    }

    /// What was to be recorded makes no sense.
    pub(crate) fn unfit(why: impl Into<String>) -> Self {
        Self::Worded(NotebookError::Unfit(why.into()))
    }

    /// What it says of damage; none where the disk or another program is the trouble, or it is worded already.
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
            Self::Newer(_) | Self::Worded(_) => None,
        }
    }

    /// Words it for the notebook in `dir`.
    pub(crate) fn at(self, dir: &Path) -> NotebookError {
        let dir = dir.to_owned();
        match self {
            Self::Worded(error) => error,
            Self::Newer(theirs) => NotebookError::Newer {
                dir,
                theirs,
                ours: super::schema::LAYOUT,
            },
            Self::Unreadable(detail) => NotebookError::Damaged { dir, detail },
            Self::Sql(error) if lacks_room(&error) => NotebookError::StorageFull { dir },
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
                _ => NotebookError::Storage {
                    dir,
                    detail: error.to_string(),
                },
            },
        }
    }
}

/// Whether the disk is full. Where not even what programs share of the log finds room, SQLite calls it a failure of the disk.
fn lacks_room(error: &rusqlite::Error) -> bool {
    let extended = error.sqlite_error().map(|error| error.extended_code);
    error.sqlite_error_code() == Some(ErrorCode::DiskFull)
        || extended == Some(rusqlite::ffi::SQLITE_IOERR_SHMSIZE)
}

impl NotebookError {
    /// Words a failure of the file system for the notebook in `dir`.
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
