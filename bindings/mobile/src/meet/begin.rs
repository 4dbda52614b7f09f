//! From what is asked for to what is done in the background.

use super::todo::{Doing, Outcome, Todo};
use super::{Meet, Place};
use crate::error::{NotebookError, ShelfTrouble};
use crate::run::{ExchangeRun, ExchangeWith};
use holebook_core::exchange::{FolderShelf, bundle, exchange_folder, exchange_over};
use holebook_link::{LanShelf, Shop};
use holebook_screens::meeting::{NotBegun, Way};
use std::path::Path;
use std::sync::Arc;

impl Meet {
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

    pub(super) fn run(&self, todo: Vec<Todo>) -> Result<ExchangeRun, NotebookError> {
        let (pieces, failed) = todo.into_iter().map(Todo::apart).unzip();
        let begun = self.worker.begin(pieces)?;
        Ok(ExchangeRun::of(begun, failed))
    }

    pub(super) fn todo(
        &self,
        way: Way,
        name: String,
        work: impl FnOnce(&Doing<'_>) -> Outcome + Send + 'static,
    ) -> Todo {
        Todo::new(Arc::clone(&self.notebook), way, name, work)
    }

    /// Exchanging with every known shelf.
    pub(super) fn every(&self) -> Result<Vec<Todo>, NotebookError> {
        let known = self.known()?;
        if known.is_empty() {
            return Err(NotebookError::no_shelf_known());
        }
        known.iter().map(|known| self.again(&known.place)).collect()
    }

    /// Exchanging with a known shelf.
    pub(super) fn again(&self, place: &Place) -> Result<Todo, NotebookError> {
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

    pub(super) fn folder(&self, folder: &Path) -> Todo {
        let name = format!("the shelf {}", folder.display());
        let folder = folder.to_owned();
        self.todo(Way::Exchange, name, move |doing| {
            Ok(exchange_folder(doing.notebook, &folder, doing.watch)?)
        })
    }

    fn with_shop(&self, shop: &Shop) -> Result<Todo, NotebookError> {
        let store = self.pairings.store()?.clone();
        let (fingerprint, seen) = (shop.fingerprint, Arc::clone(&self.seen));
        let work = move |doing: &Doing<'_>| {
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
