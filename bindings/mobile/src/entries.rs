//! Recording what a person measured, decided or did at a hole.

use crate::damage::Damage;
use crate::error::NotebookError;
use crate::holes::OpenProblem;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::*;

lend! {
    holebook_core::hole::question {
        Question,
    }
}

lend! {
    holebook_core::notebook {
        HoleEntry,
    }
}

/// An entry with those that it replaces at any of several holes.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ReplacingEntry {
    /// The entry.
    pub entry: HoleEntry,
    /// The entries that were shown when the person recorded this one.
    #[uniffi(default = [])]
    pub replaces: Vec<EntryId>,
}

#[uniffi::export]
impl Notebook {
    /// Corrects an entry about a hole that was recorded wrong, such as a mistyped reading: the new
    /// one replaces it, and counts from when that one was recorded. Blocks until it is on the disk.
    /// Fails as recording it.
    pub fn correct(
        &self,
        hole: HoleId,
        entry: HoleEntry,
        wrong: EntryId,
    ) -> Result<EntryId, NotebookError> {
        self.call("correct", |open| Ok(open.correct(hole, entry, wrong)?))
    }

    /// Returns the problems that an entry about a hole would open because its own values are out of
    /// the plan's limits: ask before recording it all the same. Blocks. Fails as recording it.
    pub fn problems_if_recorded(
        &self,
        hole: HoleId,
        entry: HoleEntry,
    ) -> Result<Vec<OpenProblem>, NotebookError> {
        self.call("problems_if_recorded", |open| {
            Ok(open.problems_if_recorded(hole, &entry)?)
        })
    }

    /// Records an entry about a hole. `replaces` names the entries that it replaces: those that were
    /// shown when the person recorded this one, or a reading that was taken again. An entry that
    /// another person recorded meanwhile is not among them, so both stay active until somebody
    /// resolves the conflict.
    ///
    /// Blocks until it is on the disk. Fails with `NoSuch` for another hole or entry, with
    /// `Invalid` if the entry is not valid, with `Unreadable` if a thread, grade or metal
    /// in it is not known.
    #[uniffi::method(default(replaces = []))]
    pub fn record(
        &self,
        hole: HoleId,
        entry: HoleEntry,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("record", |open| Ok(open.record(hole, entry, &replaces)?))
    }

    /// What is unusual about an entry that is to be recorded about a hole, for a person to answer
    /// before it is: a wrong unit, a lost decimal point. Empty if nothing is; `record` does not ask.
    /// Blocks while it reads the hole. Fails with `NoSuch`.
    pub fn questions(
        &self,
        hole: HoleId,
        entry: HoleEntry,
    ) -> Result<Vec<Question>, NotebookError> {
        self.call("questions", |open| Ok(open.questions(hole, &entry)?))
    }

    /// Records several entries about a hole together: all of them, or none if one cannot be
    /// recorded. Blocks until they are on the disk. Fails as `record`.
    pub fn record_all(
        &self,
        hole: HoleId,
        entries: Vec<HoleEntry>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.call("record_all", |open| Ok(open.record_all(hole, &entries)?))
    }

    /// Records the same entry for several holes together: for all of them, or for none. `replaces`
    /// names the entries that were shown for any of the holes; the entry of each hole replaces those
    /// about it. Blocks until they are on the disk. Fails as `record`.
    #[uniffi::method(default(replaces = []))]
    pub fn record_for(
        &self,
        holes: Vec<HoleId>,
        entry: HoleEntry,
        replaces: Vec<EntryId>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.call("record_for", |open| {
            Ok(open.record_for(&holes, &entry, &replaces)?)
        })
    }

    /// Records several entries for several holes together, as `record_for` does one. Blocks until
    /// they are on the disk. Fails as `record`.
    pub fn record_all_for(
        &self,
        holes: Vec<HoleId>,
        entries: Vec<ReplacingEntry>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        let entries: Vec<_> = entries
            .into_iter()
            .map(|one| (one.entry, one.replaces))
            .collect();
        self.call("record_all_for", |open| {
            Ok(open.record_all_for(&holes, &entries)?)
        })
    }

    /// Resolves a conflict: the entry replaces every active one for the same fact that this version
    /// understands, seen or not. Blocks until it is on the disk. Fails as `record`.
    pub fn resolve(&self, hole: HoleId, entry: HoleEntry) -> Result<EntryId, NotebookError> {
        self.call("resolve", |open| Ok(open.resolve(hole, entry)?))
    }

    /// The shop's limits where judgment decides, or the standard ones. Blocks.
    pub fn limits(&self) -> Result<Limits, NotebookError> {
        self.call("limits", |open| Ok(open.limits()?))
    }

    /// Records the shop's limits, in place of those in force. Blocks until they are on the disk.
    /// Fails with `Invalid` if a value is out of range.
    pub fn set_limits(&self, limits: Limits) -> Result<EntryId, NotebookError> {
        self.call("set_limits", |open| Ok(open.set_limits(&limits)?))
    }

    /// Strikes out an entry: it stays readable and counts no more. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch`, and with `Invalid` if it strikes another out or is struck out
    /// already, or no reason is given.
    pub fn strike_out(&self, entry: EntryId, reason: String) -> Result<EntryId, NotebookError> {
        self.call("strike_out", |open| Ok(open.strike_out(entry, &reason)?))
    }

    /// Undoes an entry that this device recorded: strikes it out, with "undone" as the reason, and
    /// returns the strike-out. Entries that it replaced count again. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch`, and with `Invalid` if another device recorded it, if it strikes another
    /// out or is struck out or replaced already, or if it made a casting, face, photo or hole that
    /// more was recorded about since.
    pub fn undo(&self, entry: EntryId) -> Result<EntryId, NotebookError> {
        self.call("undo", |open| Ok(open.undo(entry)?))
    }

    /// Undoes several entries that this device recorded together, all or none. Blocks until it is
    /// on the disk. Fails as `undo`.
    pub fn undo_all(&self, entries: Vec<EntryId>) -> Result<Vec<EntryId>, NotebookError> {
        self.call("undo_all", |open| Ok(open.undo_all(&entries)?))
    }
}
