//! The interface between the pages and sync, so that the screens need no sockets.
//!
//! A carrier implements [`SyncBackend`] and passes it to [`crate::answer_with`]. The pages offer only
//! what it supports. For carriers, [`Worker`] runs long tasks in the background, and [`Bundles`] keeps
//! bundle files.

mod bundles;
mod run;
mod worker;

pub use bundles::Bundles;
pub use holebook_core::sync::bundle::BundleContent;
pub use run::{BundleFile, Run, RunResult, RunStep, RunStepState, StepFailure, TaskKind};
pub use worker::{Job, RunHandle, StartError, StepInterrupted, Worker};

use crate::carrier::Upload;
use chrono::{DateTime, FixedOffset};
use holebook_core::notebook::SyncCounts;
use std::path::Path;

/// Syncs this device with others. Called from any thread; calls return soon, and long tasks run in the background.
pub trait SyncBackend: Sync {
    /// Lists the known remotes: paired shop computers, and folders and buckets synced with before.
    ///
    /// # Errors
    /// If they cannot be read.
    fn known_remotes(&self) -> Result<Vec<KnownRemote>, SyncRefused>;

    /// Returns the current run, or the last one since the program started.
    fn run(&self) -> Option<Run>;

    /// Starts a task in the background; [`SyncBackend::run`] reports its progress.
    ///
    /// # Errors
    /// If a task is running, or it cannot be started.
    fn start(&self, task: SyncTask<'_>) -> Result<(), SyncRefused>;

    /// Cancels the current run, without waiting. What was synced by then stays.
    fn cancel(&self);

    /// Removes a remote from the list, with its pairing if there is one. What is on the remote stays.
    ///
    /// # Errors
    /// If it is not on the list, or that cannot be recorded.
    fn forget(&self, remote: &str) -> Result<(), SyncRefused>;

    /// Returns whether every page shows how many entries are not synced yet.
    fn shows_unsynced_count(&self) -> bool {
        false
    }

    /// Returns whether there is no folder at this path, but it could be created. Answers soon, even
    /// if a file system does not.
    fn is_missing_folder(&self, _: &Path) -> bool {
        false
    }

    /// Returns whether a person may name a folder by its path.
    fn supports_folders(&self) -> bool {
        false
    }

    /// Returns whether a person may name a bucket or a WebDAV folder.
    fn supports_buckets(&self) -> bool {
        false
    }

    /// Returns whether bundles can be written and imported.
    fn supports_bundles(&self) -> bool {
        false
    }

    /// Returns how other devices are paired with this one, if they can be.
    fn pairing_server(&self) -> Option<&dyn PairingServer> {
        None
    }

    /// Returns how this device is paired with a shop computer, if it can be.
    fn pairing_client(&self) -> Option<&dyn PairingClient> {
        None
    }
}

/// A device that others pair and sync with while it is running: the shop computer.
pub trait PairingServer: Sync {
    /// Returns the address on the local network, such as `192.168.1.20:29376`.
    ///
    /// # Errors
    /// A sentence that says why paired devices cannot reach it.
    fn address(&self) -> Result<String, SyncRefused>;

    /// Returns the pairing code created last since the program started.
    fn code(&self) -> Option<PairingCode>;

    /// Creates a pairing code for one device. The old code no longer works.
    ///
    /// # Errors
    /// If it cannot be created.
    fn create_code(&self) -> Result<(), SyncRefused>;

    /// Cancels the current pairing code, if there is one.
    ///
    /// # Errors
    /// If that cannot be recorded.
    fn cancel_code(&self) -> Result<(), SyncRefused>;

    /// Lists the devices that are or were paired.
    ///
    /// # Errors
    /// If they cannot be read.
    fn devices(&self) -> Result<Vec<PairedDevice>, SyncRefused>;

    /// Revokes a device, so that it can no longer sync. Its entries stay.
    ///
    /// # Errors
    /// If it is not paired, or that cannot be recorded.
    fn revoke(&self, device: &str) -> Result<(), SyncRefused>;
}

/// A device that pairs itself with a shop computer.
pub trait PairingClient: Sync {
    /// Pairs by a code or link, as typed or scanned, and returns the shop computer's name. May take some seconds if the
    /// shop computer does not respond.
    ///
    /// # Errors
    /// If the code cannot be read or no longer works, or the shop computer cannot be reached.
    fn pair(&self, code: &str) -> Result<String, SyncRefused>;
}

/// A remote that can be synced with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KnownRemote {
    /// Its id, as [`holebook_core::sync::Remote::id`].
    pub id: String,
    /// Its name in a sentence: `the shop computer Bench`.
    pub name: String,
    /// Whether this device is paired with it, so that forgetting it needs a new pairing.
    pub paired: bool,
}

/// A long task, started by [`SyncBackend::start`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SyncTask<'a> {
    /// Sync with every known remote.
    SyncAll,
    /// Sync with the remote with this id.
    Sync(&'a str),
    /// Sync with a folder.
    SyncFolder {
        /// Its path.
        folder: &'a Path,
        /// Whether it is created if only its last part is missing.
        create: bool,
    },
    /// Sync with a bucket or a WebDAV folder.
    SyncBucket(BucketRequest<'a>),
    /// Import an uploaded bundle. The upload is deleted after the request, so it is moved or copied first.
    ImportBundle(&'a Upload),
    /// Write a bundle.
    WriteBundle(BundleContent),
    /// Export the notebook as files that anyone can read, in one zip file.
    Export,
}

/// A bucket of an S3-compatible store or a WebDAV folder, as a person names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BucketRequest<'a> {
    /// `https://host/folder`, or `s3://bucket/folder`.
    pub address: &'a str,
    /// The address of a bucket's store.
    pub endpoint: Option<&'a str>,
    /// The keys file; `None` keeps the one named before.
    pub keys: Option<&'a Path>,
    /// Whether an unencrypted connection is allowed; `false` keeps what was allowed before.
    pub unencrypted: bool,
}

/// A code for one device to pair with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairingCode {
    /// This computer's address, to be typed before the digits on a device that does not find it.
    pub address: String,
    /// To be opened or scanned.
    pub link: String,
    /// The link as a QR code in SVG.
    pub picture_svg: String,
    /// When it expires.
    pub until: DateTime<FixedOffset>,
    /// Its state.
    pub state: PairingCodeState,
}

/// The state of a pairing code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PairingCodeState {
    /// A device may pair with it.
    Open {
        /// To be typed: nine digits in groups of three.
        digits: String,
        /// Whether the digits were replaced after too many wrong guesses.
        renewed: bool,
    },
    /// A device with this name paired.
    Used(String),
    /// It no longer works: it expired, was canceled, or a newer one replaced it.
    Expired,
}

/// A device that is or was paired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairedDevice {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// When it was paired.
    pub paired_at: DateTime<FixedOffset>,
    /// When it last synced, and what it transferred, as seen by the device.
    pub last_sync: Option<(DateTime<FixedOffset>, SyncCounts)>,
    /// When it was revoked.
    pub revoked_at: Option<DateTime<FixedOffset>>,
}

/// Why something was not done, in one sentence: what, where, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct SyncRefused(pub String);

impl SyncRefused {
    /// Takes the sentence of any error.
    pub fn new(error: impl std::fmt::Display) -> Self {
        Self(error.to_string())
    }
}

impl From<StartError> for SyncRefused {
    fn from(error: StartError) -> Self {
        Self::new(error)
    }
}

/// No sync: the pages do not offer it.
pub struct NoSync;

impl SyncBackend for NoSync {
    fn known_remotes(&self) -> Result<Vec<KnownRemote>, SyncRefused> {
        Ok(Vec::new())
    }

    fn run(&self) -> Option<Run> {
        None
    }

    fn start(&self, _: SyncTask<'_>) -> Result<(), SyncRefused> {
        Err(SyncRefused(
            "This device cannot sync; use the shop computer's program.".to_owned(),
        ))
    }

    fn cancel(&self) {}

    fn forget(&self, _: &str) -> Result<(), SyncRefused> {
        Ok(())
    }
}
