//! Errors of the sync service, shared by both carriers.

use crate::PairingError;
#[cfg(feature = "bucket")]
use crate::bucket::BucketError;
use holebook_core::export::ExportError;
use holebook_core::notebook::NotebookError;
use holebook_core::sync::SyncError;
use holebook_screens::sync_backend::{StartError, SyncRefused};
use std::io;
use std::path::PathBuf;

/// Why something was not synced, not started, or not recorded. What was synced by then stays.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServiceError {
    /// The sync failed.
    #[error(transparent)]
    Sync(#[from] SyncError),
    /// The notebook could not be read or written.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// Nothing was exported.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// Pairing failed, or its store could not be used.
    #[error(transparent)]
    Pairing(#[from] PairingError),
    /// The bucket or WebDAV folder could not be used.
    #[cfg(feature = "bucket")]
    #[error(transparent)]
    Bucket(#[from] BucketError),
    /// A run could not be started.
    #[error(transparent)]
    Start(#[from] StartError),
    /// A page or call names a remote that is no longer known.
    #[error("that remote is no longer on the list; open the page again")]
    UnknownRemote {
        /// The requested id.
        id: String,
    },
    /// A sync with every known remote was requested, but no remote is known.
    #[error(
        "this notebook has no known remote yet; pair it with the shop computer, or sync with a folder"
    )]
    NoRemotes,
    /// This device keeps no keys of buckets.
    #[error("this device keeps no keys for buckets; sync with a shop computer that does")]
    NoBuckets,
    /// No folder was set for bundles.
    #[error("this device has no folder for bundles; open the app again")]
    NoBundleFolder,
    /// The folder for bundles cannot be created.
    #[error(
        "the folder {} for bundles cannot be created ({error}); choose another", folder.display()
    )]
    BundleFolder {
        /// The folder.
        folder: PathBuf,
        /// What the system reported.
        error: io::Error,
    },
    /// The notebook's folder cannot be written while the network is being served.
    #[error(
        "cannot write in the notebook's folder {} ({error}); check that you may write there", folder.display()
    )]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// What the system reported.
        error: io::Error,
    },
    /// A bundle was refused on the page, with its sentence.
    #[error(transparent)]
    Refused(#[from] SyncRefused),
}

impl From<ServiceError> for SyncRefused {
    fn from(error: ServiceError) -> Self {
        match error {
            ServiceError::Refused(refused) => refused,
            error => Self::new(error),
        }
    }
}
