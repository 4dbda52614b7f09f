//! The remotes that this notebook has synced with.

use super::error::{Fault, NotebookError};
use super::settings::{self, SettingName};
use super::{Notebook, clock};
use chrono::{DateTime, FixedOffset};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

/// A remote that this notebook has synced with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownRemote {
    /// Its unique id.
    pub id: String,
    /// Its name in a sentence.
    pub name: String,
    /// When the last successful sync ended.
    pub at: DateTime<FixedOffset>,
    /// What that sync transferred.
    #[serde(alias = "moved")]
    pub counts: SyncCounts,
    /// The state of both sides after that sync; `None` if the next sync must look at everything.
    #[serde(alias = "same", default, skip_serializing_if = "Option::is_none")]
    pub(crate) unchanged: Option<Unchanged>,
}

/// How many entries and photos a sync transferred.
#[derive(
    holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize,
)]
pub struct SyncCounts {
    /// Entries pulled from the remote.
    #[serde(alias = "entries_taken")]
    pub entries_pulled: u32,
    /// Entries pushed to it.
    #[serde(alias = "entries_left")]
    pub entries_pushed: u32,
    /// Photos pulled from it.
    #[serde(alias = "photos_taken")]
    pub photos_pulled: u32,
    /// Photos pushed to it.
    #[serde(alias = "photos_left")]
    pub photos_pushed: u32,
}

/// The state of both sides after a complete sync. While neither changes, there is nothing to sync.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Unchanged {
    /// The remote's own fingerprint of its state.
    #[serde(alias = "shelf")]
    pub remote: String,
    /// [`Notebook::sync_fingerprint`].
    pub notebook: String,
}

impl Notebook {
    /// Returns the remotes that this notebook has synced with, the latest first.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn remotes(&self) -> Result<Vec<KnownRemote>, NotebookError> {
        self.read(known)
    }

    /// Forgets a remote; the remote itself stays as it is. An unknown id is ignored.
    ///
    /// # Errors
    /// If the notebook cannot be written.
    pub fn forget_remote(&self, id: &str) -> Result<(), NotebookError> {
        self.change_remotes(|remotes| remotes.retain(|remote| remote.id != id))
    }

    /// Stores that a sync with a remote ended successfully now.
    pub(crate) fn remember_sync(
        &self,
        (id, name): (String, String),
        counts: SyncCounts,
        unchanged: Option<Unchanged>,
    ) -> Result<(), NotebookError> {
        self.change_remotes(|remotes| {
            remotes.retain(|remote| remote.id != id);
            let remote = KnownRemote {
                id,
                name,
                at: clock::now(),
                counts,
                unchanged,
            };
            remotes.insert(0, remote);
        })
    }

    /// Returns a text that changes whenever a sync could have more to push or to ask for.
    pub(crate) fn sync_fingerprint(&self) -> Result<String, NotebookError> {
        use sha2::{Digest, Sha256};
        let mut digest = Sha256::new();
        for head in self.heads()? {
            digest.update(format!("{} {} {}\n", head.device, head.seq, head.hash));
        }
        // A photo that was lost here must be pulled again.
        digest.update(self.photos().hashes()?.len().to_string());
        let bytes: [u8; 32] = digest.finalize().into();
        Ok(super::chain::LineHash(bytes).to_string())
    }

    fn change_remotes(
        &self,
        change: impl FnOnce(&mut Vec<KnownRemote>),
    ) -> Result<(), NotebookError> {
        self.write(|tx| {
            let mut remotes = known(tx.conn())?;
            change(&mut remotes);
            let text = serde_json::to_string(&remotes).map_err(Fault::unreadable)?;
            settings::write(tx.conn(), SettingName::Remotes, &text)
        })
    }
}

/// Returns the known remotes; none if they cannot be read, which a verification reports.
fn known(conn: &Connection) -> Result<Vec<KnownRemote>, Fault> {
    settings::read_json(conn, SettingName::Remotes)
}
