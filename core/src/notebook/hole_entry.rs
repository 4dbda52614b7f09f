//! Recording entries about a hole.

use super::Notebook;
use super::entry_kind::{HoleEntry, Role};
use super::error::{Fault, NotebookError};
use super::id::{EntryId, HoleId};
use super::judge::Judge;
use super::load;
use super::write::{NewEntry, WriteTx};
use crate::hole::record::Choice;

impl Notebook {
    /// Records an entry about a hole. `replaces` names the entries that it supersedes: the facts
    /// shown on the page where the person gave this one, or a reading that was taken again. A fact
    /// that somebody else recorded meanwhile is not in `replaces`, so that it is in conflict with
    /// this one until a person resolves it.
    ///
    /// # Errors
    /// If there is no such hole or entry, if the entry is not valid, or if the notebook cannot be
    /// written.
    pub fn record(
        &self,
        hole: HoleId,
        entry: HoleEntry,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| record(tx, hole, &entry, replaces.iter().copied()))
    }

    /// Corrects an entry about a hole that was recorded wrong, such as a mistyped reading. The
    /// correction replaces it, and counts from when the wrong one was recorded: a depth stays one
    /// from before a later face cut.
    ///
    /// # Errors
    /// As for [`Notebook::record`].
    pub fn correct(
        &self,
        hole: HoleId,
        entry: HoleEntry,
        wrong: EntryId,
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_hole(hole)?;
            tx.insert(NewEntry::about_hole(hole, &entry)?.correcting(wrong))
        })
    }

    /// Records several entries about a hole, all or none.
    ///
    /// # Errors
    /// As for [`Notebook::record`].
    pub fn record_all(
        &self,
        hole: HoleId,
        entries: &[HoleEntry],
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let recorded = entries.iter().map(|entry| record(tx, hole, entry, []));
            recorded.collect()
        })
    }

    /// Resolves a conflict: the entry replaces all active entries of its kind that this version
    /// understands, also those that no page has shown yet.
    ///
    /// # Errors
    /// As for [`Notebook::record`].
    pub fn resolve(&self, hole: HoleId, entry: HoleEntry) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            let replaces = match entry.kind().role() {
                Role::Fact => tx.active_entries(hole.0, entry.kind())?,
                Role::Addition => Vec::new(),
            };
            record(tx, hole, &entry, replaces)
        })
    }
}

fn record(
    tx: &mut WriteTx<'_>,
    hole: HoleId,
    entry: &HoleEntry,
    replaces: impl IntoIterator<Item = EntryId>,
) -> Result<EntryId, Fault> {
    tx.require_hole(hole)?;
    let new = match entry {
        HoleEntry::Remedy(choice) => {
            let choice = with_basis(tx, hole, choice)?;
            NewEntry::about_hole(hole, &HoleEntry::Remedy(choice))?
        }
        entry => NewEntry::about_hole(hole, entry)?,
    };
    tx.insert(new.replacing(replaces))
}

/// Returns a choice with the numbers that it is made on.
fn with_basis(tx: &WriteTx<'_>, hole: HoleId, choice: &Choice) -> Result<Choice, Fault> {
    let facts = load::hole(tx.conn(), hole)?;
    let basis = match facts.placement.0.first() {
        Some(placed) => Judge::new(tx.conn()).basis(&facts.record, placed.body.face, choice)?,
        None => None,
    };
    Ok(Choice {
        basis,
        ..choice.clone()
    })
}
