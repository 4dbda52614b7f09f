//! The notebook's pairings, opened when they are first asked for.

use holebook_link::{LinkError, Shop, Store};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// Where the pairings of a notebook lie in its folder.
const FILE: &str = "link.sqlite";

/// The pairings of one notebook. Nothing is made on the disk before there is something to keep.
pub struct Pairings {
    folder: PathBuf,
    store: OnceLock<Store>,
}

impl Pairings {
    /// Those of the notebook in this folder.
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

    /// Whether anything was ever kept.
    pub fn is_there(&self) -> bool {
        self.folder.join(FILE).exists()
    }
}
