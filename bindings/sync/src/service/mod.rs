//! The sync of one open notebook, for its pages and typed calls alike, so that a run that one of them starts is seen by
//! the other, and two never run at once.

mod backend;
mod error;
mod finder;
mod jobs;
mod remotes;
mod seen_shops;

pub use error::ServiceError;
#[cfg(all(feature = "discover", feature = "server"))]
pub use finder::MdnsFinder;
pub use finder::ShopFinder;
pub use remotes::{RemoteEntry, RemoteLocation, Remotes};
pub use seen_shops::SeenShops;

use holebook_core::export::{self, Exported};
use holebook_core::sync::bundle::{self, BundleContent, WrittenBundle};
use holebook_core::sync::{MissingFolder, Progress};
use holebook_screens::sync_backend::{Bundles, Job, PairingServer, RunHandle, Worker};
use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, PoisonError, RwLock};

/// What a device offers on its pages besides syncing with the remotes it is paired with.
#[derive(Default)]
pub struct ServiceOptions {
    /// Whether a person may name a folder by its path, or a bucket by its address.
    pub named_remotes: bool,
    /// Whether every page shows how many entries are not synced yet.
    pub shows_unsynced_count: bool,
    /// How other devices are paired with this one; `None` if they cannot be.
    pub pairing_server: Option<Box<dyn PairingServer + Send>>,
}

/// The sync service of one open notebook.
pub struct SyncService {
    remotes: Arc<Remotes>,
    options: ServiceOptions,
    worker: Worker,
    /// `None` until a folder is set.
    bundles: RwLock<Option<Bundles>>,
    closing: AtomicBool,
}

/// What to sync with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SyncTarget<'a> {
    /// A folder, created if only its last part is missing.
    Folder(&'a Path),
    /// The paired shop computer with this remote id.
    Shop(&'a str),
    /// A bundle, which stays where it is.
    Bundle(&'a Path),
    /// Every known remote, one after the other.
    All,
}

impl SyncService {
    /// Creates the service.
    #[must_use]
    pub fn new(remotes: Arc<Remotes>, options: ServiceOptions) -> Self {
        Self {
            remotes,
            options,
            worker: Worker::default(),
            bundles: RwLock::default(),
            closing: AtomicBool::new(false),
        }
    }

    /// The remotes of the notebook.
    #[must_use]
    pub fn remotes(&self) -> &Arc<Remotes> {
        &self.remotes
    }

    /// Starts a sync in the background.
    ///
    /// # Errors
    /// If one is running, the shop computer is not paired, or no remote is known for [`SyncTarget::All`].
    pub fn start(&self, target: &SyncTarget<'_>) -> Result<RunHandle, ServiceError> {
        let jobs = match target {
            SyncTarget::Folder(folder) => {
                let missing = MissingFolder::Create;
                vec![jobs::sync_folder(&self.remotes, folder, missing)]
            }
            SyncTarget::Shop(id) => {
                self.remotes.shop(id)?;
                vec![jobs::sync_remote(&self.remotes, self.remotes.by_id(id)?)]
            }
            SyncTarget::Bundle(file) => vec![jobs::import_bundle(&self.remotes, file)],
            SyncTarget::All => self.sync_all()?,
        };
        self.run(jobs)
    }

    fn sync_all(&self) -> Result<Vec<Job>, ServiceError> {
        let known = self.remotes.known()?.into_iter();
        let jobs: Vec<Job> = known
            .map(|remote| jobs::sync_remote(&self.remotes, remote))
            .collect();
        match jobs.is_empty() {
            true => Err(ServiceError::NoRemotes),
            false => Ok(jobs),
        }
    }

    fn run(&self, jobs: Vec<Job>) -> Result<RunHandle, ServiceError> {
        Ok(self.worker.start(jobs)?)
    }

    /// Sets the folder for the bundles that pages write and import, creating it if needed. Without it the pages do not
    /// offer bundles.
    ///
    /// # Errors
    /// If the folder cannot be created.
    pub fn set_bundle_folder(&self, folder: &Path) -> Result<(), ServiceError> {
        std::fs::create_dir_all(folder).map_err(|error| ServiceError::BundleFolder {
            folder: folder.to_owned(),
            error,
        })?;
        *self.bundles.write().unwrap_or_else(PoisonError::into_inner) = Some(Bundles::new(folder));
        Ok(())
    }

    /// Writes a bundle to a new file and waits for it; [`SyncService::cancel_all`] cancels it.
    ///
    /// # Errors
    /// If the file exists or cannot be written, or there is nothing to write.
    pub fn write_bundle(
        &self,
        file: &Path,
        content: BundleContent,
    ) -> Result<WrittenBundle, ServiceError> {
        let until_closing = |_: Progress| self.unless_closing();
        let notebook = self.remotes.notebook();
        Ok(bundle::write(notebook, file, content, &until_closing)?)
    }

    /// Exports the notebook as a folder and waits for it; [`SyncService::cancel_all`] cancels it.
    ///
    /// # Errors
    /// As [`export::to_folder`].
    pub fn export(&self, folder: &Path, replace: bool) -> Result<Exported, ServiceError> {
        let until_closing = |_: Progress| self.unless_closing();
        let notebook = self.remotes.notebook();
        Ok(export::to_folder(
            notebook,
            folder,
            replace,
            &until_closing,
        )?)
    }

    fn unless_closing(&self) -> ControlFlow<()> {
        match self.closing.load(Ordering::Relaxed) {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    }

    /// Cancels whatever is running, without waiting.
    pub fn cancel_all(&self) {
        self.closing.store(true, Ordering::Relaxed);
        self.worker.cancel();
    }

    /// Cancels whatever is running and waits for it, so that nothing uses the notebook any more.
    pub fn shut_down(&self) {
        self.cancel_all();
        self.worker.wait();
    }
}

impl Drop for SyncService {
    /// A run shares the notebook, so it is canceled even if [`SyncService::shut_down`] was not called.
    fn drop(&mut self) {
        self.cancel_all();
    }
}

#[cfg(test)]
mod tests;
