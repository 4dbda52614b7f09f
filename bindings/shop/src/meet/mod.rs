//! How the shop computer meets other devices: what the screens are handed beside the notebook.

pub mod shelves;

use crate::failure::Failure;
use holebook_core::exchange::{ExchangeError, FolderShelf, exchange_over};
use holebook_core::notebook::Notebook;
use holebook_screens::meeting::{Done, Meeting, NotDone, Piece, Run, Shelf, Task, Way, Worker};
use shelves::{Known, Shelves};
use std::path::Path;
use std::sync::Arc;

/// The shop computer's exchanges, in the background of its screens.
pub struct Meet {
    shelves: Arc<Shelves>,
    worker: Worker,
}

impl Meet {
    /// For the notebook.
    pub fn new(notebook: Arc<Notebook>) -> Self {
        Self {
            shelves: Arc::new(Shelves::new(notebook)),
            worker: Worker::default(),
        }
    }

    /// Ends what is under way, and waits until it has.
    pub fn stop(&self) {
        self.worker.end();
        self.worker.wait();
    }

    fn known(&self, id: &str) -> Result<Known, NotDone> {
        let mut known = self.shelves.known().map_err(not_done)?.into_iter();
        known.find(|known| known.id == id).ok_or_else(|| {
            NotDone("That shelf is not on the list any more; open the page again.".to_owned())
        })
    }

    fn piece(&self, known: Known) -> Piece {
        let shelves = Arc::clone(&self.shelves);
        Piece::new(Way::Exchange, known.name.clone(), move |watch| {
            let report = shelves.exchange(&known, watch);
            report.map(Done::Moved).map_err(|why| why.to_string())
        })
    }

    fn folder(&self, folder: &Path) -> Piece {
        let (shelves, folder) = (Arc::clone(&self.shelves), folder.to_owned());
        let name = format!("the shelf {}", folder.display());
        Piece::new(Way::Exchange, name, move |watch| {
            let exchange = || {
                let (shelf, made_shelf) = FolderShelf::open(&folder)?;
                let report = exchange_over(shelves.notebook(), &shelf, watch)?;
                Ok(holebook_core::exchange::Report {
                    made_shelf,
                    ..report
                })
            };
            exchange()
                .map(Done::Moved)
                .map_err(|why: ExchangeError| why.to_string())
        })
    }
}

impl Meeting for Meet {
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone> {
        let known = self.shelves.known().map_err(not_done)?;
        let shelf = |Known { id, name, place }| Shelf {
            id,
            name,
            paired: place.is_paired(),
        };
        Ok(known.into_iter().map(shelf).collect())
    }

    fn run(&self) -> Option<Run> {
        self.worker.run()
    }

    fn begin(&self, task: Task<'_>) -> Result<(), NotDone> {
        let pieces = match task {
            Task::ExchangeWithAll => {
                let known = self.shelves.known().map_err(not_done)?;
                known.into_iter().map(|known| self.piece(known)).collect()
            }
            Task::ExchangeWith(id) => vec![self.piece(self.known(id)?)],
            Task::ExchangeFolder(folder) => vec![self.folder(folder)],
            Task::TakeBundle(_) | Task::WriteBundle(_) => {
                return Err(NotDone("Bundles are not offered here.".to_owned()));
            }
        };
        self.worker.begin(pieces)
    }

    fn end(&self) {
        self.worker.end();
    }

    fn forget(&self, shelf: &str) -> Result<(), NotDone> {
        let known = self.known(shelf)?;
        self.shelves.forget(&known).map_err(not_done)
    }

    fn takes_folders(&self) -> bool {
        true
    }
}

fn not_done(failure: Failure) -> NotDone {
    NotDone::from(failure)
}
