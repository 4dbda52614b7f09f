//! Which program serves a notebook to the devices paired with it: one at a time, and others can tell where.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// Locked for as long as the notebook is served. Hidden, so that the folder is still a notebook's and nothing else's.
const LOCK: &str = ".shelf-lock";
/// The port it is served on, in digits.
const PORT: &str = ".shelf-port";

/// Held by the program that serves a notebook; it ends with the program, however that ends.
pub struct Serving {
    _lock: File,
    port: PathBuf,
}

impl Drop for Serving {
    /// The lock's own file stays: another program may just be waiting for it.
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.port);
    }
}

impl Serving {
    /// Takes the serving of the notebook in `folder`; none where another program has it.
    ///
    /// # Errors
    /// Where the folder cannot be written.
    pub fn begin(folder: &Path) -> io::Result<Option<Self>> {
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

    /// Says to others on which port.
    ///
    /// # Errors
    /// Where the folder cannot be written.
    pub fn says_port(&self, port: u16) -> io::Result<()> {
        fs::write(&self.port, port.to_string())
    }

    /// The port that another program said it serves the notebook on.
    pub fn port_of_another(folder: &Path) -> Option<u16> {
        fs::read_to_string(folder.join(PORT)).ok()?.parse().ok()
    }
}
