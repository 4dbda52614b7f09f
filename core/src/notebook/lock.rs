//! Lock that prevents repair while the notebook is open.
//!
//! Every program that opens a notebook holds a shared lock on a file for as long as it is open; a
//! repair holds it exclusively, and so does, for a moment, the first program that opens it. The
//! system releases it when a program ends, however it ends.

use super::error::NotebookError;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The locked file. It stays empty.
pub(crate) const FILE: &str = ".in-use";

/// How long one program waits for another.
pub(crate) const BUSY_TIMEOUT: Duration = Duration::from_secs(10);

/// A lock, held until it is dropped. On a file system without such locks it protects nothing.
#[derive(Debug)]
pub(crate) struct NotebookLock {
    file: File,
    exclusive: bool,
}

impl NotebookLock {
    /// Takes an exclusive lock if no program has the notebook open, else a shared one.
    pub fn for_opening(dir: &Path) -> Result<Self, NotebookError> {
        let file = lock_file(dir)?;
        let exclusive = file.try_lock().is_ok();
        let mut lock = Self { file, exclusive };
        if !exclusive {
            lock.share(dir)?;
        }
        Ok(lock)
    }

    /// Takes an exclusive lock; fails if any program has the notebook open.
    pub fn exclusive(dir: &Path) -> Result<Self, NotebookError> {
        let file = lock_file(dir)?;
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => Err(NotebookError::OpenElsewhere {
                dir: dir.to_owned(),
            }),
            Ok(()) | Err(TryLockError::Error(_)) => Ok(Self {
                file,
                exclusive: true,
            }),
        }
    }

    /// Makes it a shared lock. Waits while another program has it exclusively.
    pub fn share(&mut self, dir: &Path) -> Result<(), NotebookError> {
        let since = Instant::now();
        while let Err(TryLockError::WouldBlock) = self.file.try_lock_shared() {
            if since.elapsed() > BUSY_TIMEOUT {
                return Err(NotebookError::Busy {
                    dir: dir.to_owned(),
                });
            }
            sleep(Duration::from_millis(2));
        }
        self.exclusive = false;
        Ok(())
    }

    /// Returns whether no other program has the notebook open.
    pub fn is_exclusive(&self) -> bool {
        self.exclusive
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
