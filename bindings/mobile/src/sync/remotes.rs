//! The remotes that this notebook knows, and what is not synced yet.

use super::SyncCounts;
use crate::error::NotebookError;
use crate::notebook::Notebook;
use crate::values::Timestamp;
use holebook_sync::service::{RemoteEntry, RemoteLocation};

/// The last sync with a remote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct LastSync {
    /// When it ended.
    pub at: Timestamp,
    /// What it transferred.
    pub counts: SyncCounts,
}

/// A remote that can be synced with again: a paired shop computer, or a folder.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct KnownRemote {
    /// Its id.
    pub id: String,
    /// Its name in a sentence: `the shop computer Bench`.
    pub name: String,
    /// Whether it is a paired shop computer, so that forgetting it needs a new pairing.
    pub paired: bool,
    /// Its path, if it is a folder.
    pub folder: Option<String>,
    /// The last sync with it; none if there was none yet.
    pub last: Option<LastSync>,
}

impl From<RemoteEntry> for KnownRemote {
    fn from(remote: RemoteEntry) -> Self {
        let folder = match &remote.location {
            RemoteLocation::Folder(path) => Some(path.to_string_lossy().into_owned()),
            _ => None,
        };
        let last = remote.last.as_ref().map(|last| LastSync {
            at: last.at,
            counts: last.counts,
        });
        Self {
            paired: remote.is_paired(),
            id: remote.id,
            name: remote.name,
            folder,
            last,
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// Lists the remotes that can be synced with again: shop computers, the last paired first, then
    /// folders, the latest synced first. Blocks. Fails with `Pairing` if the pairings cannot be
    /// read.
    pub fn known_remotes(&self) -> Result<Vec<KnownRemote>, NotebookError> {
        self.sync("known_remotes", |sync| {
            let known = sync.remotes().known()?;
            Ok(known.into_iter().map(Into::into).collect())
        })
    }

    /// Removes a remote from the list, with its pairing if there is one. What is on it stays. Blocks
    /// until that is on disk. Fails with `NoSuch` if it is not on the list.
    pub fn forget_remote(&self, id: String) -> Result<(), NotebookError> {
        self.sync("forget_remote", |sync| {
            let remote = sync.remotes().by_id(&id)?;
            Ok(sync.remotes().forget(&remote)?)
        })
    }

    /// Counts the entries of this device that are not synced yet, and would be lost with it. Blocks;
    /// the time does not grow with the journal.
    pub fn entries_not_synced(&self) -> Result<u64, NotebookError> {
        self.call("entries_not_synced", |open| Ok(open.entries_not_synced()?))
    }

    /// Counts the photos that those entries added. Blocks; the time grows with the entries that are
    /// not synced.
    pub fn photos_not_synced(&self) -> Result<u64, NotebookError> {
        self.call("photos_not_synced", |open| Ok(open.photos_not_synced()?))
    }
}
