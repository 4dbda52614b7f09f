//! Lock that prevents repair while the notebook is open.
//!
//! Every program that opens a notebook holds a shared lock on a file for as long as it is open; a
//! repair holds it exclusively. The system releases it when a program ends, however it ends.

use super::error::NotebookError;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;

/// The locked file. It stays empty.
pub(crate) const FILE: &str = ".in-use";

/// A lock, held until it is dropped. On a file system without such locks it protects nothing.
#[derive(Debug)]
pub(crate) struct NotebookLock {
    _file: File,
}

impl NotebookLock {
    /// Takes a shared lock.
    pub fn shared(dir: &Path) -> Result<Self, NotebookError> {
        let file = lock_file(dir)?;
        match file.try_lock_shared() {
            Err(TryLockError::WouldBlock) => Err(NotebookError::Busy {
                dir: dir.to_owned(),
            }),
            Ok(()) | Err(TryLockError::Error(_)) => Ok(Self { _file: file }),
        }
    }

    /// Takes an exclusive lock; fails if any program has the notebook open.
    pub fn exclusive(dir: &Path) -> Result<Self, NotebookError> {
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
