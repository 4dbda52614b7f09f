//! Finds castings, faces, holes and notes, and what was opened last.

use crate::error::NotebookError;
use crate::faces::HoleSummary;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;

lend! {
    holebook_core::notebook {
        Opened,
        RecentlyOpened,
        SearchResult,
        SearchResults,
    }
}

#[uniffi::export]
impl Notebook {
    /// Finds castings and faces by name and note, holes by number, thread and remedy, and notes, newest
    /// first: 60 at most. A text is found if it has every word; case and accents do not matter.
    /// Blocks while it reads all names and notes.
    pub fn search(&self, text: String) -> Result<SearchResults, NotebookError> {
        self.call("search", |open| Ok(open.search(&text)?))
    }

    /// What was opened last on this device, the last one first: six at most. Blocks.
    pub fn recently_opened(&self) -> Result<Vec<RecentlyOpened>, NotebookError> {
        self.call("recently_opened", |open| Ok(open.recently_opened()?))
    }

    /// Keeps in mind that something was opened. It is a setting of this device, no journal entry.
    /// Blocks until it is on the disk.
    pub fn remember_opened(&self, opened: Opened) -> Result<(), NotebookError> {
        self.call("remember_opened", |open| Ok(open.remember_opened(opened)?))
    }
}
