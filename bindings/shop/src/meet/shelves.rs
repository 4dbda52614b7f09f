//! The shelves that this notebook can exchange with by name, and an exchange with one of them.

use crate::failure::Failure;
use holebook_core::exchange::{ExchangeError, FolderShelf, Report, Watch, exchange_over};
use holebook_core::notebook::Notebook;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A shelf that was exchanged with before, or is paired with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// What tells it from all others.
    pub id: String,
    /// What to call it in a sentence.
    pub name: String,
    /// Where it is.
    pub place: Place,
}

/// Where a shelf is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// A folder.
    Folder(PathBuf),
}

impl Place {
    /// Where the shelf of this id is; none where this program has no way to it.
    fn of(id: &str) -> Option<Self> {
        let (kind, place) = id.split_once(':')?;
        match kind {
            "folder" => Some(Self::Folder(Path::new(place).to_owned())),
            _ => None,
        }
    }

    /// Whether it lets this device in because they are paired.
    pub fn is_paired(&self) -> bool {
        match self {
            Self::Folder(_) => false,
        }
    }
}

/// The shelves of one notebook.
pub struct Shelves {
    notebook: Arc<Notebook>,
}

impl Shelves {
    /// Those of this notebook.
    pub fn new(notebook: Arc<Notebook>) -> Self {
        Self { notebook }
    }

    /// The notebook.
    pub fn notebook(&self) -> &Notebook {
        &self.notebook
    }

    /// The shelves that are known, the one exchanged with last first.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn known(&self) -> Result<Vec<Known>, Failure> {
        let before = self.notebook.shelves()?.into_iter();
        let known = before.filter_map(|shelf| {
            let place = Place::of(&shelf.id)?;
            Some(Known {
                id: shelf.id,
                name: shelf.name,
                place,
            })
        });
        Ok(known.collect())
    }

    /// Exchanges with one of them.
    ///
    /// # Errors
    /// Where the shelf or the notebook cannot be reached, read or written, or `watch` ended it.
    pub fn exchange(&self, known: &Known, watch: &Watch<'_>) -> Result<Report, ExchangeError> {
        match &known.place {
            // A stick that is not plugged in is no new shelf: nothing is made in its place.
            Place::Folder(folder) if !folder.is_dir() => Err(ExchangeError::NoShelf {
                shelf: known.name.clone(),
            }),
            Place::Folder(folder) => {
                let (shelf, _) = FolderShelf::open(folder)?;
                exchange_over(&self.notebook, &shelf, watch)
            }
        }
    }

    /// Takes a shelf off the list; what lies on it stays.
    ///
    /// # Errors
    /// Where the notebook cannot be written.
    pub fn forget(&self, known: &Known) -> Result<(), Failure> {
        Ok(self.notebook.forget_shelf(&known.id)?)
    }
}
