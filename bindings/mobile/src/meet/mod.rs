//! How the phone meets others: one place for the typed calls and for the pages, so that a run that one of them began is seen by
//! the other, and two never go on at once.

mod pages;
mod seen;
mod todo;

pub(crate) use todo::{Failed, Todo};

use crate::error::{NotebookError, ShelfTrouble};
use crate::pairing::SeenShop;
use crate::run::{ExchangeRun, ExchangeWith};
use holebook_core::exchange::bundle::{self, What, Written};
use holebook_core::exchange::{FolderShelf, Progress, exchange_folder, exchange_over};
use holebook_core::notebook::{self as core, Notebook};
use holebook_link::{LanShelf, LinkError, Pairings, Shop, Store};
use holebook_screens::meeting::{Bundles, NotBegun, Way, Worker};
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

    /// Begins a run.
    pub fn begin(&self, with: ExchangeWith) -> Result<ExchangeRun, NotebookError> {
        let todo = match with {
            ExchangeWith::Folder { path } => vec![self.folder(Path::new(&path))],
            ExchangeWith::Shop { id } => vec![self.with_shop(&self.shop(&id)?)?],
            ExchangeWith::Bundle { path } => vec![self.bundle(Path::new(&path))],
            ExchangeWith::Every => self.every()?,
        };
        self.run(todo)
    }

    fn run(&self, todo: Vec<Todo>) -> Result<ExchangeRun, NotebookError> {
        let (pieces, failed) = todo.into_iter().map(Todo::apart).unzip();
        let begun = self.worker.begin(pieces)?;
        Ok(ExchangeRun::of(begun, failed))
    }

    fn todo(
        &self,
        way: Way,
        name: String,
        work: impl FnOnce(&todo::Doing<'_>) -> todo::Outcome + Send + 'static,
    ) -> Todo {
        Todo::new(Arc::clone(&self.notebook), way, name, work)
    }

    /// Exchanging with every known shelf.
    fn every(&self) -> Result<Vec<Todo>, NotebookError> {
        let known = self.known()?;
        if known.is_empty() {
            return Err(NotebookError::no_shelf_known());
        }
        known.iter().map(|known| self.again(&known.place)).collect()
    }

    /// Exchanging with a known shelf.
    fn again(&self, place: &Place) -> Result<Todo, NotebookError> {
        match place {
            Place::Shop(shop) => self.with_shop(shop),
            Place::Folder { at, .. } => {
                let (name, at) = (place.name(), at.clone());
                Ok(self.todo(Way::Exchange, name, move |doing| {
                    let shelf = FolderShelf::reopen(&at)?;
                    Ok(exchange_over(doing.notebook, &shelf, doing.watch)?)
                }))
            }
        }
    }

    fn folder(&self, folder: &Path) -> Todo {
        let name = format!("the shelf {}", folder.display());
        let folder = folder.to_owned();
        self.todo(Way::Exchange, name, move |doing| {
            Ok(exchange_folder(doing.notebook, &folder, doing.watch)?)
        })
    }

    fn with_shop(&self, shop: &Shop) -> Result<Todo, NotebookError> {
        let store: Store = self.pairings.store()?.clone();
        let (fingerprint, seen) = (shop.fingerprint, Arc::clone(&self.seen));
        let work = move |doing: &todo::Doing<'_>| {
            let shelf = LanShelf::open(&store, &fingerprint, &[])?;
            let shelf = shelf.with_finder(move |fingerprint| seen.of(fingerprint));
            Ok(exchange_over(doing.notebook, &shelf, doing.watch)?)
        };
        Ok(self.todo(Way::Exchange, shop.shelf_name(), work))
    }

    fn bundle(&self, file: &Path) -> Todo {
        let shown = file.file_name().unwrap_or(file.as_os_str());
        let name = format!("the bundle '{}'", Path::new(shown).display());
        let file = file.to_owned();
        self.todo(Way::TakeBundle, name, move |doing| {
            Ok(bundle::take_in(doing.notebook, &file, doing.watch)?)
        })
    }
}

impl Drop for Meet {
    /// Where nobody shut the notebook down: what is under way has a share in it, and lets go of it soon.
    fn drop(&mut self) {
        self.end_all();
    }
}

impl From<NotBegun> for NotebookError {
    fn from(why: NotBegun) -> Self {
        let reason = why.to_string();
        match why {
            NotBegun::UnderWay => Self::UnderWay { reason },
            NotBegun::NoThread(_) => Self::Internal {
                reason,
                call: "begin_exchange".to_owned(),
            },
        }
    }
}

impl NotebookError {
    /// An exchange with all shelves was asked for, and there is none.
    fn no_shelf_known() -> Self {
        let shelf = "any shelf".to_owned();
        let trouble = ShelfTrouble::NotThere;
        let reason =
            "this notebook knows no shelf yet; pair it with the shop computer, or exchange with a folder"
                .to_owned();
        Self::Shelf {
            reason,
            shelf,
            trouble,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn meet(dir: &tempfile::TempDir) -> Meet {
        Meet::of(Arc::new(
            Notebook::open(&dir.path().join("notebook")).unwrap(),
        ))
    }

    #[test]
    fn a_panic_in_the_background_names_the_call_and_the_next_run_begins() {
        let dir = tempfile::tempdir().unwrap();
        let meet = meet(&dir);
        let name = || "the shelf a".to_owned();
        let fault = meet.todo(Way::Exchange, name(), |_| panic!("no chuck"));
        let failed = meet.run(vec![fault]).unwrap().result().unwrap_err();
        let NotebookError::Internal { call, reason } = failed else {
            panic!("{failed:?}")
        };
        assert_eq!(call, "begin_exchange");
        assert!(reason.contains("no chuck"), "{reason}");
        let good = meet.todo(Way::Exchange, name(), |_| Ok(Default::default()));
        assert_eq!(meet.run(vec![good]).unwrap().result().unwrap().len(), 1);
    }

    /// What a page or a call waits for is let go of when the notebook is shut down.
    #[test]
    fn nothing_keeps_the_notebook_open_once_it_was_stopped() {
        let dir = tempfile::tempdir().unwrap();
        let meet = meet(&dir);
        let (started, has_started) = std::sync::mpsc::channel();
        let waits = meet.todo(Way::Exchange, "the shelf a".to_owned(), move |doing| {
            started.send(()).unwrap();
            let progress = Progress {
                stage: holebook_core::exchange::Stage::Looking,
                entries: 0,
                entries_of: 0,
                photo_bytes: 0,
                photo_bytes_of: 0,
            };
            while (doing.watch)(progress).is_continue() {
                std::thread::yield_now();
            }
            Err(holebook_core::exchange::ExchangeError::Stopped.into())
        });
        let run = meet.run(vec![waits]).unwrap();
        has_started.recv().unwrap();
        meet.stop();
        assert!(run.is_over());
        assert_eq!(Arc::strong_count(&meet.notebook), 1);
        assert!(matches!(run.result(), Err(NotebookError::Stopped { .. })));
    }
}
