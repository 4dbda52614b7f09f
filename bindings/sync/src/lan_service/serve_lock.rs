//! Lock that lets one program at a time serve a notebook, and the port it is served on.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// Locked while the notebook is served. Hidden, so that the folder still counts as a notebook's. The name is kept
/// so that older programs respect the lock.
const LOCK: &str = ".shelf-lock";
/// The port, in digits.
const PORT: &str = ".shelf-port";

/// Held by the program that serves a notebook; released when the program ends, however it ends.
pub struct ServeLock {
    _lock: File,
    port: PathBuf,
}

impl Drop for ServeLock {
    /// The lock file stays, since another program may be about to lock it.
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.port);
    }
}

impl ServeLock {
    /// Acquires the lock of the notebook in `folder`; `None` if another program holds it.
    ///
    /// # Errors
    /// If the folder cannot be written.
    pub fn acquire(folder: &Path) -> io::Result<Option<Self>> {
        let lock = File::options()
            .write(true)
            .create(true)
            .truncate(false)
            .open(folder.join(LOCK))?;
        match lock.try_lock() {
            Ok(()) => Ok(Some(Self {
                _lock: lock,
                port: folder.join(PORT),
            })),
            Err(fs::TryLockError::WouldBlock) => Ok(None),
            Err(fs::TryLockError::Error(error)) => Err(error),
        }
    }

    /// Publishes the port to other programs.
    ///
    /// # Errors
    /// If the folder cannot be written.
    pub fn publish_port(&self, port: u16) -> io::Result<()> {
        fs::write(&self.port, port.to_string())
    }

    /// Returns the port published by the program that holds the lock.
    pub fn published_port(folder: &Path) -> Option<u16> {
        fs::read_to_string(folder.join(PORT)).ok()?.parse().ok()
    }
}
