//! The shelves that this notebook has exchanged with, when it did last, and what need not be looked at again.

use super::error::{Fault, NotebookError};
use super::settings::{self, Name};
use super::{Notebook, moment};
use chrono::{DateTime, FixedOffset};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

/// A shelf that this notebook has exchanged with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownShelf {
    /// What tells it from all other shelves.
    pub id: String,
    /// What it is called in a sentence.
    pub name: String,
    /// When the last exchange with it ended well.
    pub at: DateTime<FixedOffset>,
    /// How many entries and photos were taken and left then.
    pub moved: Moved,
    /// What was the same on both sides after it; none where an exchange must look at everything.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) same: Option<Same>,
}

/// How many entries and photos an exchange moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Moved {
    /// Entries taken from the shelf.
    pub entries_taken: usize,
    /// Entries left on it.
    pub entries_left: usize,
    /// Photos taken from it.
    pub photos_taken: usize,
    /// Photos left on it.
    pub photos_left: usize,
}

/// Both sides after an exchange that had nothing more to do: while neither changes, nor does that.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Same {
    /// The shelf's word for its state.
    pub shelf: String,
    /// [`Notebook::state_for_exchange`].
    pub notebook: String,
}

impl Notebook {
    /// The shelves that this notebook has exchanged with, the latest first.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn shelves(&self) -> Result<Vec<KnownShelf>, NotebookError> {
        self.read(known)
    }

    /// Forgets that it exchanged with a shelf; the shelf stays as it is. Forgetting one that is not known does no harm.
    ///
    /// # Errors
    /// Where the notebook cannot be written.
    pub fn forget_shelf(&self, id: &str) -> Result<(), NotebookError> {
        self.change_shelves(|shelves| shelves.retain(|shelf| shelf.id != id))
    }

    /// Notes that an exchange with a shelf ended well just now.
    pub(crate) fn note_exchange(
        &self,
        (id, name): (String, String),
        moved: Moved,
        same: Option<Same>,
    ) -> Result<(), NotebookError> {
        self.change_shelves(|shelves| {
            shelves.retain(|shelf| shelf.id != id);
            let shelf = KnownShelf {
                id,
                name,
                at: moment::now(),
                moved,
                same,
            };
            shelves.insert(0, shelf);
        })
    }

    /// A word that changes whenever an exchange could have more to leave or to ask for.
    pub(crate) fn state_for_exchange(&self) -> Result<String, NotebookError> {
        use sha2::{Digest, Sha256};
        let mut digest = Sha256::new();
        for head in self.heads()? {
            digest.update(format!("{} {} {}\n", head.device, head.seq, head.hash));
        }
        // A photo that was lost here is to be asked for again.
        digest.update(self.photos().hashes()?.len().to_string());
        let bytes: [u8; 32] = digest.finalize().into();
        Ok(super::chain::LineHash(bytes).to_string())
    }

    fn change_shelves(
        &self,
        change: impl FnOnce(&mut Vec<KnownShelf>),
    ) -> Result<(), NotebookError> {
        self.write(|pen| {
            let mut shelves = known(pen.conn())?;
            change(&mut shelves);
            let text = serde_json::to_string(&shelves).map_err(Fault::unreadable)?;
            settings::write(pen.conn(), Name::Shelves, &text)
        })
    }
}

fn known(conn: &Connection) -> Result<Vec<KnownShelf>, Fault> {
    match settings::read(conn, Name::Shelves)? {
        Some(text) => serde_json::from_str(&text).map_err(Fault::unreadable),
        None => Ok(Vec::new()),
    }
}
