//! The remotes that a notebook knows, and a sync with one of them.

use super::error::ServiceError;
use super::finder::ShopFinder;
#[cfg(feature = "bucket")]
use crate::bucket::{Address, BucketAccess, BucketSettings};
use crate::{LanRemote, PairedShop, PairingCode, PairingError, PairingStoreCell};
use holebook_core::notebook::{self, Notebook};
use holebook_core::sync::{
    FolderRemote, MissingFolder, OnProgress, SyncError, SyncReport, bundle, sync_folder_with,
    sync_with,
};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How long a page waits to learn whether a folder exists.
const FOLDER_CHECK: Duration = Duration::from_secs(2);

/// A remote that can be synced with again.
#[derive(Debug, Clone, PartialEq)]
pub struct RemoteEntry {
    /// The id of the remote.
    pub id: String,
    /// Its name in a sentence, such as `the shop computer Bench`.
    pub name: String,
    /// Where it is.
    pub location: RemoteLocation,
    /// The last sync with it; `None` if there was none yet.
    pub last: Option<notebook::KnownRemote>,
}

impl RemoteEntry {
    /// Returns whether this device is paired with it, so that forgetting it needs a new pairing.
    #[must_use]
    pub fn is_paired(&self) -> bool {
        matches!(self.location, RemoteLocation::Shop(_))
    }
}

/// Where a known remote is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RemoteLocation {
    /// A folder.
    Folder(PathBuf),
    /// A shop computer that this device is paired with.
    Shop(PairedShop),
    /// A bucket or a WebDAV folder.
    #[cfg(feature = "bucket")]
    Bucket(Address),
}

impl RemoteLocation {
    /// Reads the location from a remote's id; `None` if the id alone does not give it.
    fn from_id(id: &str) -> Option<Self> {
        let folder = FolderRemote::path_of_id(id).map(Self::Folder);
        #[cfg(feature = "bucket")]
        let folder = folder.or_else(|| Address::from_id(id).map(Self::Bucket));
        folder
    }
}

/// The remotes of one notebook.
pub struct Remotes {
    notebook: Arc<Notebook>,
    pairings: PairingStoreCell,
    finder: Arc<dyn ShopFinder>,
    unnamed: &'static str,
}

impl Remotes {
    /// Creates the remotes of `notebook`. `finder` looks for shop computers whose address changed; `unnamed` is what
    /// this device calls itself while its settings have no name.
    #[must_use]
    pub fn new(
        notebook: Arc<Notebook>,
        finder: Arc<dyn ShopFinder>,
        unnamed: &'static str,
    ) -> Self {
        Self {
            pairings: PairingStoreCell::new(notebook.dir()),
            notebook,
            finder,
            unnamed,
        }
    }

    /// The notebook.
    #[must_use]
    pub fn notebook(&self) -> &Arc<Notebook> {
        &self.notebook
    }

    /// The pairings of the notebook.
    #[must_use]
    pub fn pairings(&self) -> &PairingStoreCell {
        &self.pairings
    }

    /// Lists the known remotes: paired shop computers, then folders and buckets, the latest synced first.
    ///
    /// # Errors
    /// If the notebook or its pairings cannot be read.
    pub fn known(&self) -> Result<Vec<RemoteEntry>, ServiceError> {
        let (shops, synced) = (self.pairings.shops()?, self.notebook.remotes()?);
        let last = |id: &str| synced.iter().find(|remote| remote.id == id).cloned();
        let shops = shops.into_iter().map(|shop| RemoteEntry {
            id: shop.remote_id(),
            name: shop.remote_name(),
            last: last(&shop.remote_id()),
            location: RemoteLocation::Shop(shop),
        });
        let others = synced.iter().filter_map(|remote| {
            Some(RemoteEntry {
                id: remote.id.clone(),
                name: remote.name.clone(),
                location: RemoteLocation::from_id(&remote.id)?,
                last: Some(remote.clone()),
            })
        });
        Ok(shops.chain(others).collect())
    }

    /// Finds the known remote with this id.
    ///
    /// # Errors
    /// [`ServiceError::UnknownRemote`], and if the notebook or its pairings cannot be read.
    pub fn by_id(&self, id: &str) -> Result<RemoteEntry, ServiceError> {
        let mut known = self.known()?.into_iter();
        known
            .find(|remote| remote.id == id)
            .ok_or_else(|| ServiceError::UnknownRemote { id: id.to_owned() })
    }

    /// Finds the paired shop computer with this remote id.
    ///
    /// # Errors
    /// [`PairingError::NotPaired`], and if the pairings cannot be read.
    pub fn shop(&self, id: &str) -> Result<PairedShop, PairingError> {
        let mut shops = self.pairings.shops()?.into_iter();
        shops
            .find(|shop| shop.remote_id() == id)
            .ok_or(PairingError::NotPaired)
    }

    /// Pairs this device with the shop computer that the code is from.
    ///
    /// # Errors
    /// If the code cannot be read or no longer works, or the shop computer cannot be reached.
    pub fn pair(&self, code: &str) -> Result<PairedShop, ServiceError> {
        let name = self.notebook.settings()?.device_name;
        // A code with an address needs no search, which may take a while.
        let find = |code: &PairingCode| match code {
            PairingCode::Typed { address: None, .. } => self.finder.search(),
            _ => self.finder.seen(),
        };
        Ok(self.pairings.pair(code, &name, self.unnamed, find)?)
    }

    /// Syncs with a known remote.
    ///
    /// # Errors
    /// If the remote or the notebook cannot be reached, read, or written, or `on_progress` cancels it.
    pub fn sync(
        &self,
        location: &RemoteLocation,
        on_progress: &OnProgress<'_>,
    ) -> Result<SyncReport, ServiceError> {
        match location {
            RemoteLocation::Folder(folder) => {
                self.sync_folder(folder, MissingFolder::Fail, on_progress)
            }
            RemoteLocation::Shop(shop) => self.sync_shop(shop, on_progress),
            #[cfg(feature = "bucket")]
            RemoteLocation::Bucket(address) => {
                let access = self.bucket_settings().access(address)?;
                self.sync_bucket_with(address, &access, false, on_progress)
            }
        }
    }

    fn sync_shop(
        &self,
        shop: &PairedShop,
        on_progress: &OnProgress<'_>,
    ) -> Result<SyncReport, ServiceError> {
        let finder = Arc::clone(&self.finder);
        let remote = LanRemote::open(self.pairings.store()?, &shop.fingerprint, &[])?
            .with_finder(move |fingerprint| finder.find(fingerprint));
        Ok(sync_with(&self.notebook, &remote, on_progress)?)
    }

    /// Syncs with a folder. `missing` says what to do if there is none.
    ///
    /// # Errors
    /// If the folder or the notebook cannot be read or written, or `on_progress` cancels it.
    pub fn sync_folder(
        &self,
        folder: &Path,
        missing: MissingFolder,
        on_progress: &OnProgress<'_>,
    ) -> Result<SyncReport, ServiceError> {
        let report = sync_folder_with(&self.notebook, folder, missing, on_progress);
        Ok(report?)
    }

    /// Returns whether there is no such folder, but it could be created. A file system that does not
    /// answer soon counts as there: a sync then reports it.
    #[must_use]
    pub fn is_missing_folder(folder: &Path) -> bool {
        let since = Instant::now();
        let is_late = || since.elapsed() > FOLDER_CHECK;
        let opened = FolderRemote::open_with(folder, MissingFolder::Ask, &is_late);
        matches!(opened, Err(SyncError::RemoteMissing { .. }))
    }

    /// Syncs with a bucket or a WebDAV folder and remembers how it is accessed; creates a folder if only its last
    /// part is missing.
    ///
    /// # Errors
    /// If it or the notebook cannot be reached, read, or written, access is denied, or `on_progress` cancels it.
    #[cfg(feature = "bucket")]
    pub fn sync_bucket(
        &self,
        address: &Address,
        access: BucketAccess,
        on_progress: &OnProgress<'_>,
    ) -> Result<SyncReport, ServiceError> {
        let report = self.sync_bucket_with(address, &access, true, on_progress)?;
        self.bucket_settings().save(address, access)?;
        Ok(report)
    }

    #[cfg(feature = "bucket")]
    fn sync_bucket_with(
        &self,
        address: &Address,
        access: &BucketAccess,
        create: bool,
        on_progress: &OnProgress<'_>,
    ) -> Result<SyncReport, ServiceError> {
        let remote = access.open(address.clone(), create)?;
        let report = sync_with(&self.notebook, &remote, on_progress)?;
        Ok(SyncReport {
            created_remote: remote.was_created(),
            ..report
        })
    }

    /// How the buckets of this notebook are accessed.
    #[cfg(feature = "bucket")]
    #[must_use]
    pub fn bucket_settings(&self) -> BucketSettings {
        BucketSettings::open(self.notebook.dir())
    }

    /// Pulls what is new in a bundle.
    ///
    /// # Errors
    /// If the bundle cannot be read or is damaged, the notebook cannot be written, or `on_progress` cancels it.
    pub fn import_bundle(
        &self,
        file: &Path,
        on_progress: &OnProgress<'_>,
    ) -> Result<SyncReport, ServiceError> {
        Ok(bundle::import(&self.notebook, file, on_progress)?)
    }

    /// Removes a remote from the list, with its pairing if there is one. What is on it stays.
    ///
    /// # Errors
    /// If the notebook or its pairings cannot be written.
    pub fn forget(&self, remote: &RemoteEntry) -> Result<(), ServiceError> {
        if let RemoteLocation::Shop(shop) = &remote.location {
            self.pairings.store()?.forget_shop(&shop.fingerprint)?;
        }
        #[cfg(feature = "bucket")]
        if let RemoteLocation::Bucket(address) = &remote.location {
            self.bucket_settings().forget(address)?;
        }
        Ok(self.notebook.forget_remote(&remote.id)?)
    }
}
