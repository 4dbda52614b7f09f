//! What the pages are handed beside the notebook. A phone pairs itself with a shop computer; nobody is paired with it.

use super::{Known, Meet, Place};
use crate::error::NotebookError;
use holebook_screens::meeting::{Guest, Meeting, NotDone, Run, Shelf, Task};
use std::sync::Arc;

impl From<Known> for Shelf {
    fn from(known: Known) -> Self {
        Self {
            id: known.place.id(),
            name: known.place.name(),
            paired: matches!(known.place, Place::Shop(_)),
        }
    }
}

impl Meeting for Meet {
    fn shelves(&self) -> Result<Vec<Shelf>, NotDone> {
        let known = self.known().map_err(NotDone::from)?;
        Ok(known.into_iter().map(Shelf::from).collect())
    }

    fn run(&self) -> Option<Run> {
        self.worker.run()
    }

    fn begin(&self, task: Task<'_>) -> Result<(), NotDone> {
        let bundles = self.bundles.read();
        let bundles = || {
            let none = "This phone has no place for a bundle; open the app again.";
            bundles.as_ref().ok_or_else(|| NotDone(none.to_owned()))
        };
        let notebook = || Arc::clone(&self.notebook);
        let todo = match task {
            Task::ExchangeWithAll => self.every().map_err(NotDone::from)?,
            Task::ExchangeWith(id) => {
                let known = self.known_as(id).map_err(told)?;
                vec![self.again(&known.place).map_err(told)?]
            }
            Task::ExchangeFolder(folder) => vec![self.folder(folder)],
            Task::ExchangeBucket(_) => {
                let none =
                    "A phone keeps no bucket's keys; exchange with the shop computer, which does.";
                return Err(NotDone(none.to_owned()));
            }
            Task::TakeBundle(upload) => {
                self.worker
                    .begin(vec![bundles()?.take(notebook(), upload)?])?;
                return Ok(());
            }
            Task::WriteBundle(share) => {
                self.worker
                    .begin(vec![bundles()?.write(notebook(), share)?])?;
                return Ok(());
            }
        };
        Meet::run(self, todo).map(drop).map_err(NotDone::from)
    }

    fn end(&self) {
        self.worker.end();
    }

    fn forget(&self, shelf: &str) -> Result<(), NotDone> {
        let known = self.known_as(shelf).map_err(told)?;
        Meet::forget(self, &known.place).map_err(NotDone::from)
    }

    /// A phone may be lost in the barn.
    fn says_what_is_not_home(&self) -> bool {
        true
    }

    fn bundles(&self) -> bool {
        self.bundles.read().is_some()
    }

    fn guest(&self) -> Option<&dyn Guest> {
        Some(self)
    }
}

impl Guest for Meet {
    fn pair(&self, code: &str) -> Result<String, NotDone> {
        let shop = Meet::pair(self, code).map_err(NotDone::from)?;
        Ok(shop.name)
    }
}

/// The sentence; a page that was open for long may name a shelf that is gone.
fn told(error: NotebookError) -> NotDone {
    match error {
        NotebookError::NoSuch { .. } => {
            NotDone("That shelf is not on the list any more; open the page again.".to_owned())
        }
        error => NotDone::from(error),
    }
}
