//! Bucket settings in the notebook's folder: which keys file belongs to which address. Never the
//! keys themselves, and none of it is synced.

use super::address::Address;
use super::error::BucketError;
use super::keys::Keys;
use super::remote::{BucketOptions, BucketRemote};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

/// Its name in the notebook's folder. Like the other files with this prefix, it is not part of the
/// notebook. The name is kept so that existing settings stay readable.
const FILE: &str = ".shelf-buckets.json";

/// How a bucket is accessed, besides its address.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct BucketAccess {
    /// Its keys file; none if the keys are in the environment, or none are needed.
    pub keys: Option<PathBuf>,
    /// Whether the person allowed an unencrypted connection.
    #[serde(default)]
    pub unencrypted: bool,
}

impl BucketAccess {
    /// Returns the settings with what a person specified now; the rest is unchanged.
    #[must_use]
    pub fn updated(self, keys: Option<PathBuf>, unencrypted: bool) -> Self {
        Self {
            keys: keys.or(self.keys),
            unencrypted: unencrypted || self.unencrypted,
        }
    }

    /// The remote at an address.
    ///
    /// # Errors
    /// If the keys cannot be read or are missing, or the connection would be unencrypted without
    /// permission.
    pub fn open(&self, address: Address, make: bool) -> Result<BucketRemote, BucketError> {
        let keys = match &self.keys {
            Some(file) => Keys::read(file)?,
            None => Keys::from_env(),
        };
        let may = BucketOptions {
            unencrypted: self.unencrypted,
            create: make,
        };
        BucketRemote::open(address, keys, may)
    }
}

/// The settings of the buckets that a notebook synced with.
#[derive(Debug, Clone)]
pub struct BucketSettings {
    file: PathBuf,
}

impl BucketSettings {
    /// The settings of the notebook in this folder.
    #[must_use]
    pub fn open(folder: &Path) -> Self {
        Self {
            file: folder.join(FILE),
        }
    }

    /// How a bucket was last accessed; the default if it was not.
    ///
    /// # Errors
    /// If the file cannot be read.
    pub fn access(&self, address: &Address) -> Result<BucketAccess, BucketError> {
        Ok(self.entries()?.remove(&address.id()).unwrap_or_default())
    }

    /// Stores how a bucket is accessed.
    ///
    /// # Errors
    /// If the file cannot be read or written.
    pub fn save(&self, address: &Address, access: BucketAccess) -> Result<(), BucketError> {
        let mut entries = self.entries()?;
        if entries.get(&address.id()) == Some(&access) {
            return Ok(());
        }
        entries.insert(address.id(), access);
        self.write(&entries)
    }

    /// Forgets a bucket; its keys file stays.
    ///
    /// # Errors
    /// As [`BucketSettings::save`].
    pub fn forget(&self, address: &Address) -> Result<(), BucketError> {
        let mut entries = self.entries()?;
        match entries.remove(&address.id()) {
            Some(_) => self.write(&entries),
            None => Ok(()),
        }
    }

    fn entries(&self) -> Result<BTreeMap<String, BucketAccess>, BucketError> {
        match fs::read_to_string(&self.file) {
            Ok(text) => serde_json::from_str(&text).map_err(|error| self.file_error(&error)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(BTreeMap::new()),
            Err(error) => Err(self.file_error(&error)),
        }
    }

    /// Replaces the file atomically, since another program may read it.
    fn write(&self, entries: &BTreeMap<String, BucketAccess>) -> Result<(), BucketError> {
        let text = serde_json::to_vec_pretty(entries).map_err(|error| self.file_error(&error))?;
        let written = || -> io::Result<()> {
            let folder = self.file.parent().unwrap_or(Path::new("."));
            let mut temp_file = tempfile::Builder::new().prefix(FILE).tempfile_in(folder)?;
            temp_file.write_all(&text)?;
            temp_file.as_file().sync_all()?;
            temp_file.persist(&self.file)?;
            Ok(())
        };
        written().map_err(|error| self.file_error(&error))
    }

    fn file_error(&self, error: &dyn std::error::Error) -> BucketError {
        BucketError::Settings {
            file: self.file.clone(),
            detail: error.to_string(),
        }
    }
}
