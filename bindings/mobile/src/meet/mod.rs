//! How the phone meets others: one place for the typed calls and for the pages, so that a run that one of them began is seen by
//! the other, and two never go on at once.

mod begin;
mod pages;
mod seen;
mod todo;

pub(crate) use todo::Failed;

use crate::error::NotebookError;
use crate::pairing::SeenShop;
use holebook_core::exchange::bundle::{self, What, Written};
use holebook_core::exchange::{FolderShelf, Progress};
use holebook_core::notebook::{self as core, Notebook};
use holebook_link::{LinkError, Pairings, Shop};
use holebook_screens::meeting::{Bundles, Worker};
use parking_lot::RwLock;
use seen::Seen;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// What a phone calls itself whose people have given it no name.
const UNNAMED: &str = "a phone without a name";

/// The exchanges and pairings of one open notebook.
pub(crate) struct Meet {
    notebook: Arc<Notebook>,
    pairings: Pairings,
    seen: Arc<Seen>,
    worker: Worker,
    /// Where the pages' bundles lie; none where nobody has said.
    bundles: RwLock<Option<Bundles>>,
    closing: AtomicBool,
}

/// A shelf that can be exchanged with again.
pub(crate) struct Known {
    pub place: Place,
    /// What the last exchange with it did; none where there was none yet.
    pub last: Option<core::KnownShelf>,
}

/// Where a shelf is that can be reached by what is known of it.
pub(crate) enum Place {
    /// A folder, which was exchanged with before.
    Folder {
        shelf: core::KnownShelf,
        at: PathBuf,
    },
    /// A shop computer that this device is paired with.
    Shop(Shop),
}

impl Place {
    /// What tells the shelf from all others.
    pub fn id(&self) -> String {
        match self {
            Self::Folder { shelf, .. } => shelf.id.clone(),
            Self::Shop(shop) => shop.shelf_id(),
        }
    }

    /// What to call it in a sentence.
    pub fn name(&self) -> String {
        match self {
            Self::Folder { shelf, .. } => shelf.name.clone(),
            Self::Shop(shop) => shop.shelf_name(),
        }
    }
}

impl Meet {
    /// Those of this notebook.
    pub fn of(notebook: Arc<Notebook>) -> Self {
        Self {
            pairings: Pairings::of(notebook.dir()),
            notebook,
            seen: Arc::default(),
            worker: Worker::default(),
            bundles: RwLock::default(),
            closing: AtomicBool::new(false),
        }
    }

    /// Ends what is under way, soon.
    pub fn end_all(&self) {
        self.closing.store(true, Ordering::Relaxed);
        self.worker.end();
    }

    /// Ends what is under way, and waits until it has.
    pub fn stop(&self) {
        self.end_all();
        self.worker.wait();
    }

    /// Has work that a call waits for end once the notebook is to be shut down.
    fn until_closing(&self) -> impl Fn(Progress) -> ControlFlow<()> + Sync {
        |_| match self.closing.load(Ordering::Relaxed) {
            true => ControlFlow::Break(()),
            false => ControlFlow::Continue(()),
        }
    }

    /// The shop computers that this device is paired with, the last paired first.
    pub fn shops(&self) -> Result<Vec<Shop>, LinkError> {
        self.pairings.shops()
    }

    /// The shop computer whose shelf has this id.
    pub fn shop(&self, id: &str) -> Result<Shop, LinkError> {
        let mut shops = self.shops()?.into_iter();
        let shop = shops.find(|shop| shop.shelf_id() == id);
        shop.ok_or(LinkError::NotPaired)
    }

    /// The shelves that are known: the shop computers, then the folders, the latest exchanged with first.
    pub fn known(&self) -> Result<Vec<Known>, NotebookError> {
        let (shops, before) = (self.shops()?, self.notebook.shelves()?);
        let last = |id: &str| before.iter().find(|shelf| shelf.id == id).cloned();
        let shops = shops.into_iter().map(|shop| Known {
            last: last(&shop.shelf_id()),
            place: Place::Shop(shop),
        });
        let folders = before.iter().filter_map(|shelf| {
            let (at, shelf) = (FolderShelf::place_of(&shelf.id)?, shelf.clone());
            let last = Some(shelf.clone());
            let place = Place::Folder { shelf, at };
            Some(Known { place, last })
        });
        Ok(shops.chain(folders).collect())
    }

    /// The known shelf of this id.
    pub fn known_as(&self, id: &str) -> Result<Known, NotebookError> {
        let mut known = self.known()?.into_iter();
        let found = known.find(|known| known.place.id() == id);
        found.ok_or_else(|| NotebookError::no_such("shelf", id.to_owned()))
    }

    /// Takes a shelf off the list, and lets go of the pairing with it; what lies on it stays.
    pub fn forget(&self, place: &Place) -> Result<(), NotebookError> {
        if let Place::Shop(shop) = place {
            self.pairings.store()?.forget_shop(&shop.fingerprint)?;
        }
        Ok(self.notebook.forget_shelf(&place.id())?)
    }

    /// Pairs this device with the shop computer that the code is from.
    pub fn pair(&self, code: &str) -> Result<Shop, NotebookError> {
        let name = self.notebook.settings()?.device_name;
        let seen = self.seen.all();
        Ok(self.pairings.pair(code, &name, UNNAMED, &seen)?)
    }

    /// Tries these addresses too from now on, and no more those that were seen before.
    pub fn see(&self, shops: &[SeenShop]) {
        self.seen.see(shops);
    }

    /// Has the pages write bundles, with their files in this folder.
    pub fn keep_bundles_in(&self, folder: &Path) -> Result<(), NotebookError> {
        std::fs::create_dir_all(folder).map_err(|error| NotebookError::NotWritable {
            reason: format!(
                "the folder {} for bundles cannot be made ({error}); choose another",
                folder.display()
            ),
            dir: folder.to_string_lossy().into_owned(),
        })?;
        *self.bundles.write() = Some(Bundles::within(folder));
        Ok(())
    }

    /// Writes a bundle where no file may be yet.
    pub fn write_bundle(&self, file: &Path, what: What) -> Result<Written, NotebookError> {
        let watch = self.until_closing();
        Ok(bundle::write(&self.notebook, file, what, &watch)?)
    }
}

impl Drop for Meet {
    /// Where nobody shut the notebook down: what is under way has a share in it, and lets go of it soon.
    fn drop(&mut self) {
        self.end_all();
    }
}

#[cfg(test)]
mod tests;
