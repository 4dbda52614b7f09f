//! The notebook's pairings, opened when they are first asked for.

use crate::store::{FILE, Shop, Store};
use crate::{LinkError, PairCode, pair};
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The pairings of one notebook. Nothing is made on the disk before there is something to keep.
pub struct Pairings {
    folder: PathBuf,
    store: OnceLock<Store>,
}

impl Pairings {
    /// Those of the notebook in this folder.
    #[must_use]
    pub fn of(folder: &Path) -> Self {
        Self {
            folder: folder.to_owned(),
            store: OnceLock::new(),
        }
    }

    /// The store, made where there is none.
    ///
    /// # Errors
    /// Where it cannot be read or made.
    pub fn store(&self) -> Result<&Store, LinkError> {
        match self.store.get() {
            Some(store) => Ok(store),
            None => {
                let store = Store::open(&self.folder)?;
                Ok(self.store.get_or_init(|| store))
            }
        }
    }

    /// The shop computers that this one is paired with.
    ///
    /// # Errors
    /// Where the pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<Shop>, LinkError> {
        match self.is_there() {
            true => self.store()?.shops(),
            false => Ok(Vec::new()),
        }
    }

    /// Pairs this device with the shop computer that the code is from, as [`pair`] does. It calls itself `name`, or `unnamed`
    /// where its people have given it no name.
    ///
    /// # Errors
    /// Where the code cannot be read, and as [`pair`].
    pub fn pair(
        &self,
        code: &str,
        name: &str,
        unnamed: &str,
        more: &[SocketAddr],
    ) -> Result<Shop, LinkError> {
        let code: PairCode = code.parse()?;
        let name = match name.trim() {
            "" => unnamed,
            name => name,
        };
        pair(self.store()?, &code, name, more)
    }

    /// Whether anything was ever kept.
    #[must_use]
    pub fn is_there(&self) -> bool {
        self.folder.join(FILE).exists()
    }
}
