//! What is kept of buckets in the notebook's folder: which file of keys belongs to which address. Never the keys, and nothing of
//! it is exchanged.

use super::address::Address;
use super::ask::Ended;
use super::error::BucketError;
use super::keys::Keys;
use super::shelf::{BucketShelf, May};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Its name in the notebook's folder: as those by which programs agree on who serves the shelf, no part of the notebook.
const FILE: &str = ".shelf-buckets.json";

/// How a bucket is reached beside its address.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Way {
    /// The file of its keys; none where they are in the environment, or none are needed.
    pub keys: Option<PathBuf>,
    /// Whether the person said that what goes there may be read on the way.
    #[serde(default)]
    pub unencrypted: bool,
}

impl Way {
    /// The same, and what a person said of it now; what they left out stays as it was.
    #[must_use]
    pub fn and_said(self, keys: Option<PathBuf>, unencrypted: bool) -> Self {
        Self {
            keys: keys.or(self.keys),
            unencrypted: unencrypted || self.unencrypted,
        }
    }

    /// The shelf at an address; `ended` is asked now and then whether to go on.
    ///
    /// # Errors
    /// Where the keys cannot be read or there are none, and where it would go unencrypted unasked.
    pub fn open<'w>(
        &self,
        address: Address,
        make: bool,
        ended: &'w Ended<'w>,
    ) -> Result<BucketShelf<'w>, BucketError> {
        let keys = match &self.keys {
            Some(file) => Keys::read(file)?,
            None => Keys::of_environment(),
        };
        let may = May {
            unencrypted: self.unencrypted,
            make,
        };
        BucketShelf::open(address, keys, may, ended)
    }
}

/// The ways to the buckets that a notebook exchanged with.
#[derive(Debug, Clone)]
pub struct Kept {
    file: PathBuf,
}

impl Kept {
    /// Those of the notebook in this folder.
    #[must_use]
    pub fn of(folder: &Path) -> Self {
        Self {
            file: folder.join(FILE),
        }
    }

    /// The way to a bucket, as it was last gone; the usual one where there was none.
    ///
    /// # Errors
    /// Where the file cannot be read.
    pub fn way(&self, address: &Address) -> Result<Way, BucketError> {
        Ok(self.ways()?.remove(&address.id()).unwrap_or_default())
    }

    /// Keeps the way to a bucket.
    ///
    /// # Errors
    /// Where the file cannot be read or written.
    pub fn keep(&self, address: &Address, way: Way) -> Result<(), BucketError> {
        let mut ways = self.ways()?;
        if ways.get(&address.id()) == Some(&way) {
            return Ok(());
        }
        ways.insert(address.id(), way);
        self.write(&ways)
    }

    /// Forgets the way to a bucket; the file of keys stays.
    ///
    /// # Errors
    /// As [`Kept::keep`].
    pub fn forget(&self, address: &Address) -> Result<(), BucketError> {
        let mut ways = self.ways()?;
        match ways.remove(&address.id()) {
            Some(_) => self.write(&ways),
            None => Ok(()),
        }
    }

    fn ways(&self) -> Result<BTreeMap<String, Way>, BucketError> {
        match fs::read_to_string(&self.file) {
            Ok(text) => serde_json::from_str(&text).map_err(|error| self.told(&error)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(BTreeMap::new()),
            Err(error) => Err(self.told(&error)),
        }
    }

    /// Another program sees the file as it was or as it is.
    fn write(&self, ways: &BTreeMap<String, Way>) -> Result<(), BucketError> {
        let text = serde_json::to_vec_pretty(ways).map_err(|error| self.told(&error))?;
        let written = || -> io::Result<()> {
            let folder = self.file.parent().unwrap_or(Path::new("."));
            let mut unfinished = tempfile::Builder::new().prefix(FILE).tempfile_in(folder)?;
            unfinished.write_all(&text)?;
            unfinished.as_file().sync_all()?;
            unfinished.persist(&self.file)?;
            Ok(())
        };
        written().map_err(|error| self.told(&error))
    }

    fn told(&self, error: &dyn std::error::Error) -> BucketError {
        BucketError::Kept {
            file: self.file.clone(),
            detail: error.to_string(),
        }
    }
}
