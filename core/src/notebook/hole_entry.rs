//! Recording entries about a hole.

use super::Notebook;
use super::entry_kind::{EntryKind, HoleEntry, Role};
use super::error::{Fault, NotebookError};
use super::id::{EntryId, HoleId};
use super::judge::Judge;
use super::load;
use super::write::{NewEntry, WriteTx, active_entries};
use crate::hole::record::Choice;
use rusqlite::OptionalExtension;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

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

    /// Records the same entry for several holes, all or none: eight holes that are alike, or a
    /// condition for all the rest. A hole that is named twice gets it once. `replaces` names the
    /// entries that were shown for any of the holes; the entry of each hole replaces those that are
    /// about it.
    ///
    /// # Errors
    /// As for [`Notebook::record`], and if an entry in `replaces` is about none of the holes.
    pub fn record_for(
        &self,
        holes: &[HoleId],
        entry: &HoleEntry,
        replaces: &[EntryId],
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| record_for(tx, holes, entry, replaces))
    }

    /// Records the same entries for several holes, all or none; each with the entries that it
    /// replaces at any of the holes.
    ///
    /// # Errors
    /// As for [`Notebook::record_for`].
    pub fn record_all_for(
        &self,
        holes: &[HoleId],
        entries: &[(HoleEntry, Vec<EntryId>)],
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.write(|tx| {
            let mut new = Vec::new();
            for (entry, replaces) in entries {
                new.extend(record_for(tx, holes, entry, replaces)?);
            }
            Ok(new)
        })
    }

    /// Returns the entries of one kind that are in force for several holes, each with its hole.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn active_entries_of(
        &self,
        holes: &[HoleId],
        kind: EntryKind,
    ) -> Result<Vec<(HoleId, EntryId)>, NotebookError> {
        self.read(|conn| {
            let mut found = Vec::new();
            for hole in holes {
                let active = active_entries(conn, hole.0, kind)?;
                found.extend(active.into_iter().map(|entry| (*hole, entry)));
            }
            Ok(found)
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

fn record_for(
    tx: &mut WriteTx<'_>,
    holes: &[HoleId],
    entry: &HoleEntry,
    replaces: &[EntryId],
) -> Result<Vec<EntryId>, Fault> {
    let mut replaced = by_subject(tx, replaces)?;
    let mut done = BTreeSet::new();
    let mut new = Vec::with_capacity(holes.len());
    for hole in holes.iter().filter(|hole| done.insert(**hole)) {
        let replaces = replaced.remove(&hole.0).unwrap_or_default();
        new.push(record(tx, *hole, entry, replaces)?);
    }
    match replaced.into_values().flatten().next() {
        None => Ok(new),
        Some(other) => Err(Fault::invalid(format!(
            "entry {other} is about none of these holes; open the page again"
        ))),
    }
}

/// Groups entries by what they are about.
fn by_subject(
    tx: &WriteTx<'_>,
    entries: &[EntryId],
) -> Result<BTreeMap<Uuid, Vec<EntryId>>, Fault> {
    let mut grouped: BTreeMap<Uuid, Vec<EntryId>> = BTreeMap::new();
    let sql = "SELECT subject FROM entry WHERE id = ?1";
    let mut statement = tx.conn().prepare_cached(sql)?;
    for id in entries {
        let subject = statement.query_row([id.0], |row| row.get(0)).optional()?;
        let subject = subject.ok_or_else(|| Fault::no_such("entry", id))?;
        grouped.entry(subject).or_default().push(*id);
    }
    Ok(grouped)
}

/// Records an entry about a hole that exists.
pub(super) fn record(
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
