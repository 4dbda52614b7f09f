//! The shelves that this notebook knows, and what still lies on none.

use crate::border::Out;
use crate::error::NotebookError;
use crate::meet::{Known, Place};
use crate::notebook::Notebook;
use crate::time::Moment;
use holebook_core::notebook as core;

/// What the last exchange with a shelf did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct LastExchange {
    /// When it ended well.
    pub at: Moment,
    /// How many entries were taken.
    pub entries_taken: u32,
    /// How many entries were left.
    pub entries_left: u32,
    /// How many photos were taken.
    pub photos_taken: u32,
    /// How many photos were left.
    pub photos_left: u32,
}

impl Out for core::KnownShelf {
    type Face = LastExchange;
    fn out(self) -> LastExchange {
        let core::Moved {
            entries_taken,
            entries_left,
            photos_taken,
            photos_left,
        } = self.moved;
        LastExchange {
            at: self.at.out(),
            entries_taken: entries_taken.out(),
            entries_left: entries_left.out(),
            photos_taken: photos_taken.out(),
            photos_left: photos_left.out(),
        }
    }
}

/// A shelf that can be exchanged with again: a shop computer that this device is paired with, or a folder.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct KnownShelf {
    /// What tells it from all others.
    pub id: String,
    /// What to call it in a sentence: `the shop computer Bench`.
    pub name: String,
    /// Whether it is a shop computer, so that forgetting it wants a new pairing.
    pub paired: bool,
    /// Where it is, if it is a folder.
    pub folder: Option<String>,
    /// The last exchange with it; none where there was none since it was paired or named.
    pub last: Option<LastExchange>,
}

impl Out for Known {
    type Face = KnownShelf;
    fn out(self) -> KnownShelf {
        let Self { place, last } = self;
        KnownShelf {
            id: place.id(),
            name: place.name(),
            paired: matches!(place, Place::Shop(_)),
            folder: match &place {
                Place::Folder { at, .. } => Some(at.to_string_lossy().into_owned()),
                Place::Shop(_) => None,
            },
            last: last.out(),
        }
    }
}

#[uniffi::export]
impl Notebook {
    /// The shelves that can be exchanged with again: the shop computers, the last paired first, then the folders, the latest
    /// exchanged with first. Blocks. Fails with `Pairing` where what is kept of pairings cannot be read.
    pub fn known_shelves(&self) -> Result<Vec<KnownShelf>, NotebookError> {
        self.meet("known_shelves", |meet| Ok(meet.known()?.out()))
    }

    /// Takes a shelf off the list; a shop computer's pairing goes with it. What lies on the shelf stays there, and nothing that
    /// was written is touched. Blocks until it is on the disk. Fails with `NoSuch` where it is not on the list.
    pub fn forget_shelf(&self, id: String) -> Result<(), NotebookError> {
        self.meet("forget_shelf", |meet| {
            meet.forget(&meet.known_as(&id)?.place)
        })
    }

    /// How many entries written on this device lie on no shelf yet, and would be lost with it. Blocks, for the same time
    /// however long the journal is.
    pub fn entries_to_bring_home(&self) -> Result<u64, NotebookError> {
        self.call("entries_to_bring_home", |open| {
            Ok(open.entries_to_bring_home()?)
        })
    }

    /// How many photos were brought in by those entries. Blocks, for longer the more entries there are to bring home.
    pub fn photos_to_bring_home(&self) -> Result<u64, NotebookError> {
        self.call("photos_to_bring_home", |open| {
            Ok(open.photos_to_bring_home()?)
        })
    }
}
