//! Pairing store of a notebook, opened on first use.

use crate::pairing_store::{FILE, PairedShop, PairingStore};
use crate::{PairingCode, PairingError, pair};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Opens the pairing store of one notebook on first use. The file is created only when there is
/// something to save.
pub struct PairingStoreCell {
    folder: PathBuf,
    store: OnceLock<PairingStore>,
}

impl PairingStoreCell {
    /// Creates the cell for the notebook in `folder`.
    #[must_use]
    pub fn new(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            store: OnceLock::new(),
        }
    }

    /// Returns the store, creating its file if needed.
    ///
    /// # Errors
    /// If the file cannot be read or created, or a newer version wrote it.
    pub fn store(&self) -> Result<&PairingStore, PairingError> {
        match self.store.get() {
            Some(store) => Ok(store),
            None => {
                let store = PairingStore::open(&self.folder)?;
                Ok(self.store.get_or_init(|| store))
            }
        }
    }

    /// Returns the shop computers that this device is paired with.
    ///
    /// # Errors
    /// If the pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<PairedShop>, PairingError> {
        match self.exists() {
            true => self.store()?.shops(),
            false => Ok(Vec::new()),
        }
    }

    /// Pairs this device with the shop computer that made the code, as [`pair`] does. The device is
    /// called `name`, or `unnamed` if that is blank. `find` returns further addresses to try.
    ///
    /// # Errors
    /// If the code cannot be read, and as [`pair`].
    pub fn pair(
        &self,
        code: &str,
        name: &str,
        unnamed: &str,
        find: impl FnOnce(&PairingCode) -> Vec<SocketAddr>,
    ) -> Result<PairedShop, PairingError> {
        let code: PairingCode = code.parse()?;
        let extra_addresses = find(&code);
        let name = match name.trim() {
            "" => unnamed,
            name => name,
        };
        pair(self.store()?, &code, name, &extra_addresses)
    }

    /// Returns whether the store's file exists.
    #[must_use]
    pub fn exists(&self) -> bool {
        self.folder.join(FILE).exists()
    }
}
