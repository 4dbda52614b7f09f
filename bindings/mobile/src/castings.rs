//! Castings: list, add, change.

use crate::error::NotebookError;
use crate::faces::FaceSummary;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::*;
use crate::stage::StageCounts;
use holebook_core::hole::record::{FactEntries, Recorded};
use holebook_core::strength::Metal;

lend! {
    holebook_core::notebook {
        CastingBody,
        CastingSummary,
        CastingView,
    }
}

#[uniffi::export]
impl Notebook {
    /// Every casting, by name. Blocks.
    pub fn castings(&self) -> Result<Vec<CastingSummary>, NotebookError> {
        self.call("castings", |open| Ok(open.castings()?))
    }

    /// One casting with its faces. Blocks. Fails with `NoSuch`.
    pub fn casting(&self, id: CastingId) -> Result<CastingView, NotebookError> {
        self.call("casting", |open| Ok(open.casting(id)?))
    }

    /// Adds a casting. Blocks until it is on the disk.
    ///
    /// Fails with `Invalid` if its name is empty or too long, with `Unreadable` if its metal
    /// is not known.
    pub fn add_casting(&self, body: CastingBody) -> Result<CastingId, NotebookError> {
        self.call("add_casting", |open| Ok(open.add_casting(&body)?))
    }

    /// Changes what a casting is; `replaces` names the entries that this replaces. Blocks until it
    /// is on the disk. Fails as adding it.
    #[uniffi::method(default(replaces = []))]
    pub fn change_casting(
        &self,
        id: CastingId,
        body: CastingBody,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("change_casting", |open| {
            Ok(open.change_casting(id, &body, &replaces)?)
        })
    }

    /// Adds a note to a casting. Blocks until it is on the disk. Fails with `Invalid` without text.
    pub fn note_casting(&self, id: CastingId, note: Note) -> Result<EntryId, NotebookError> {
        self.call("note_casting", |open| Ok(open.note_casting(id, &note)?))
    }
}
