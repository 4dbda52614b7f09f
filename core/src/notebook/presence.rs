//! Who has the notebook open, so that a repair never works under somebody's hands.
//!
//! Everybody who opens a notebook holds a lock together with the others for as long as it is open; a repair holds it alone.
//! The system lets go of it when a program ends, however it ends.

use super::error::NotebookError;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

/// The file whose lock it is. It stays empty.
pub(crate) const FILE: &str = ".in-use";

/// That somebody is here, until it is dropped. A file system without such locks shows nobody.
#[derive(Debug)]
pub(crate) struct Presence {
    _file: File,
}

impl Presence {
    /// One of several who have the notebook open.
    pub fn with_others(dir: &Path) -> Result<Self, NotebookError> {
        let file = lock_file(dir)?;
        match file.try_lock_shared() {
            Err(TryLockError::WouldBlock) => Err(NotebookError::Busy {
                dir: dir.to_owned(),
            }),
            Ok(()) | Err(TryLockError::Error(_)) => Ok(Self { _file: file }),
        }
    }

    /// The only one who has it open.
    pub fn alone(dir: &Path) -> Result<Self, NotebookError> {
        let file = lock_file(dir)?;
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => Err(NotebookError::OpenElsewhere {
                dir: dir.to_owned(),
            }),
            Ok(()) | Err(TryLockError::Error(_)) => Ok(Self { _file: file }),
        }
    }
}

fn lock_file(dir: &Path) -> Result<File, NotebookError> {
    let mut options = OpenOptions::new();
    let opened = options
        .create(true)
        .truncate(false)
        .write(true)
        .open(dir.join(FILE));
    opened.map_err(|error| NotebookError::from_io(&error, dir))
}
