//! Write transactions: new entries are appended to this device's chain, in one transaction with
//! everything that they change.

use super::clock;
use super::entry::{Entry, Line};
use super::entry_kind::{Body, EntryKind, HoleEntry};
use super::error::{Fault, NotebookError, RejectedLine};
use super::id::{EntryId, HoleId};
use super::incoming_line::IncomingLine;
use super::insert_entries::{self, AfterGap, InsertOutcome};
use super::projection;
use super::projection_row::ProjectionRow;
use super::recording::{self, Recording};
use super::row_number::row_numbers;
use super::seen;
use super::settings::{self, SettingName};
use super::{Notebook, journal};
use chrono::SubsecRound;
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::PoisonError;
use uuid::Uuid;

/// The most entries that one line replaces: about 400 kB of the longest line's 1 MB.
const MOST_REPLACED: usize = 10_000;

/// A journal entry that is to be written: valid, and not yet placed in the chain.
#[derive(Debug, Clone)]
pub(crate) struct NewEntry {
    kind: EntryKind,
    subject: Uuid,
    body: Value,
    replaces: Vec<EntryId>,
    corrects: Option<EntryId>,
}

impl NewEntry {
    /// Validates a body and makes an entry of it that replaces nothing.
    pub(crate) fn new<T: Body>(subject: impl Into<Uuid>, body: &T) -> Result<Self, Fault> {
        Ok(Self {
            kind: T::KIND,
            subject: subject.into(),
            body: body.to_json()?,
            replaces: Vec::new(),
            corrects: None,
        })
    }

    /// The same for an entry about a hole.
    pub(crate) fn about_hole(hole: HoleId, entry: &HoleEntry) -> Result<Self, Fault> {
        Ok(Self {
            kind: entry.kind(),
            subject: hole.0,
            body: entry.to_json()?,
            replaces: Vec::new(),
            corrects: None,
        })
    }

    /// Adds entries that it replaces.
    pub(crate) fn replacing(mut self, entries: impl IntoIterator<Item = EntryId>) -> Self {
        self.replaces.extend(entries);
        self.replaces.sort_unstable();
        self.replaces.dedup();
        self
    }

    /// Makes it the correction of an entry, which it replaces: it counts as recorded when that one
    /// was.
    pub(crate) fn correcting(mut self, entry: EntryId) -> Self {
        self.corrects = Some(entry);
        self.replacing([entry])
    }
}

/// A write transaction. It collects the projection rows that are to be updated before it commits.
pub(crate) struct WriteTx<'a> {
    tx: &'a Transaction<'a>,
    dirty: BTreeSet<ProjectionRow>,
    /// The entries that it appended to this device's chain.
    appended: Recording,
}

impl WriteTx<'_> {
    /// Returns the database.
    pub(crate) fn conn(&self) -> &Connection {
        self.tx
    }

    /// Appends an entry to this device's chain.
    pub(crate) fn insert(&mut self, new: NewEntry) -> Result<EntryId, Fault> {
        tracing::debug!(kind = %new.kind, subject = %new.subject, "new entry");
        self.check_replaces(&new)?;
        let by = settings::read(self.tx, SettingName::Person)?.unwrap_or_default();
        let mut new = new;
        let mut replaces = std::mem::take(&mut new.replaces);
        // A line has a limited length: more entries are replaced by one that is replaced in turn.
        if replaces.len() > MOST_REPLACED {
            let rest = replaces.split_off(MOST_REPLACED);
            let first = NewEntry {
                replaces: rest,
                ..new.clone()
            };
            replaces.push(self.insert(first)?);
        }
        let device = settings::device(self.tx)?;
        let (seen, corrects) = match new.corrects {
            Some(wrong) => seen::by_writer_of(self.tx, device, wrong)?,
            None => (
                seen::by_writer(self.tx, device, new.subject, new.kind)?,
                None,
            ),
        };
        self.append(Entry {
            at: clock::now().trunc_subsecs(3),
            by,
            kind: new.kind.name().to_owned(),
            subject: new.subject,
            body: new.body,
            replaces,
            // Set when it is appended.
            id: EntryId::after(None),
            device,
            seq: 0,
            prev: None,
            seen,
            corrects,
        })
    }

    /// Gives an entry its id and its place at the end of this device's chain, and appends it.
    fn append(&mut self, entry: Entry) -> Result<EntryId, Fault> {
        let device = settings::device(self.tx)?;
        let head = journal::head(self.tx, device)?;
        let entry = Entry {
            id: EntryId::after(journal::greatest_id(self.tx)?),
            device,
            seq: head.map_or(1, |head| head.seq + 1),
            prev: head.map(|head| head.hash),
            ..entry
        };
        let kind = EntryKind::from_name(&entry.kind);
        let line = Line::write(&entry)
            .map_err(|error| Fault::invalid(format!("this cannot be recorded: {error}")))?;
        match self.insert_lines(&[line.into()]) {
            Ok(outcomes) if outcomes == [InsertOutcome::Inserted] => {
                self.appended.extend(kind.map(|kind| (entry.id, kind)));
                Ok(entry.id)
            }
            Ok(_) => Err(Fault::unreadable("a new entry was there already")),
            // It follows this notebook's own last line, so the fault is in the notebook.
            Err(Fault::Error(NotebookError::RejectedLine(why))) => Err(Fault::unreadable(why)),
            Err(fault) => Err(fault),
        }
    }

    /// Inserts lines, each after the line that it names as the one before it, and returns what
    /// became of each. If one is rejected, the caller must roll back.
    pub(crate) fn insert_lines(
        &mut self,
        lines: &[IncomingLine],
    ) -> Result<Vec<InsertOutcome>, Fault> {
        insert_entries::insert(self.tx, lines, AfterGap::Reject, &mut self.dirty)
    }

    /// Inserts lines of this notebook's own that a repair recovered, also those behind a lost one.
    pub(crate) fn insert_recovered(&mut self, lines: &[IncomingLine]) -> Result<(), Fault> {
        insert_entries::insert(self.tx, lines, AfterGap::Insert, &mut self.dirty).map(drop)
    }

    /// Appends a copy of an entry to this device's chain, with its person and time. The copy replaces
    /// it, unless it strikes out another.
    pub(crate) fn insert_copy(&mut self, of: &Entry) -> Result<EntryId, Fault> {
        let (seen, corrects) = seen::as_of(of, settings::device(self.tx)?);
        let mut copy = Entry {
            seen,
            corrects,
            ..of.clone()
        };
        if EntryKind::from_name(&of.kind) != Some(EntryKind::StrikeOut) {
            copy.replaces.push(of.id);
            copy.replaces.sort_unstable();
            copy.replaces.dedup();
        }
        self.append(copy)
    }

    /// Runs a part of the transaction. If it rejects a line, only that part is rolled back.
    pub(crate) fn savepoint<T>(
        &mut self,
        with: impl FnOnce(&mut Self) -> Result<T, Fault>,
    ) -> Result<Result<T, RejectedLine>, Fault> {
        self.tx.execute_batch("SAVEPOINT part")?;
        let done = match with(self) {
            Ok(done) => Ok(done),
            Err(Fault::Error(NotebookError::RejectedLine(why))) => {
                // Rows that stay in `dirty` are updated once more, with the same result.
                self.tx.execute_batch("ROLLBACK TO part")?;
                Err(why)
            }
            Err(fault) => return Err(fault),
        };
        self.tx.execute_batch("RELEASE part")?;
        Ok(done)
    }

    /// Returns the active entries of a kind about a subject that this version understands.
    pub(crate) fn active_entries(
        &self,
        subject: Uuid,
        kind: EntryKind,
    ) -> Result<Vec<EntryId>, Fault> {
        active_entries(self.tx, subject, kind)
    }

    /// Refuses to replace an entry that is not here, or is about something else.
    fn check_replaces(&self, new: &NewEntry) -> Result<(), Fault> {
        for id in &new.replaces {
            let mut statement = self.tx.prepare_cached(
                "SELECT s.kind, e.subject FROM entry e JOIN entry_status s ON s.n = e.n
                 WHERE e.id = ?1",
            )?;
            let found = statement.query_row([id.0], |row| {
                Ok((row.get::<_, String>(0)?, row.get::<_, Uuid>(1)?))
            });
            let (kind, subject) = found
                .optional()?
                .ok_or_else(|| Fault::no_such("entry", id))?;
            if kind != new.kind.name() || subject != new.subject {
                let why = format!(
                    "a {} cannot replace entry {id}, which is about something else; \
                     open the page again",
                    new.kind
                );
                return Err(Fault::invalid(why));
            }
        }
        Ok(())
    }

    /// Updates the projection rows that the entries affect, and returns the entries that were
    /// appended to this device's chain.
    fn finish(self) -> Result<Recording, Fault> {
        projection::update(self.tx, self.dirty)?;
        Ok(self.appended)
    }
}

/// Returns the active entries of a kind about a subject that this version understands.
pub(crate) fn active_entries(
    conn: &Connection,
    subject: Uuid,
    kind: EntryKind,
) -> Result<Vec<EntryId>, Fault> {
    let numbers = row_numbers(conn, subject)?;
    let mut statement = conn.prepare_cached(
        "SELECT e.id FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND s.kind = ?3
         AND s.understood AND NOT s.struck_out AND NOT s.replaced",
    )?;
    let range = params![numbers.start(), numbers.end(), kind.name()];
    let ids = statement.query_map(range, |row| row.get(0).map(EntryId))?;
    Ok(ids.collect::<Result<_, _>>()?)
}

impl Notebook {
    /// Runs a write transaction, all or nothing. What it wrote is on disk when this returns.
    pub(crate) fn write<T>(
        &self,
        with: impl FnOnce(&mut WriteTx<'_>) -> Result<T, Fault>,
    ) -> Result<T, NotebookError> {
        self.write_if(true, with)
    }

    /// Runs a write transaction, then commits it or rolls it back.
    pub(crate) fn write_if<T>(
        &self,
        commit: bool,
        with: impl FnOnce(&mut WriteTx<'_>) -> Result<T, Fault>,
    ) -> Result<T, NotebookError> {
        let mut conn = self.conn.lock().unwrap_or_else(PoisonError::into_inner);
        let written = (|| {
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let mut write = WriteTx {
                tx: &tx,
                dirty: BTreeSet::new(),
                appended: Recording::new(),
            };
            let value = with(&mut write)?;
            let appended = write.finish()?;
            if commit {
                tx.commit()?;
                recording::committed(appended);
                // A file without a name can be written too; nobody would find the change.
                self.identity.check()?;
            } else {
                tx.rollback()?;
            }
            Ok(value)
        })();
        written.map_err(|fault: Fault| fault.at(&self.dir))
    }

    /// Runs a read transaction: everything that it reads is from the same moment.
    pub(crate) fn read<T>(
        &self,
        with: impl FnOnce(&Connection) -> Result<T, Fault>,
    ) -> Result<T, NotebookError> {
        let conn = self.conn.lock().unwrap_or_else(PoisonError::into_inner);
        let read = (|| {
            let tx = conn.unchecked_transaction()?;
            with(&tx)
        })();
        read.map_err(|fault: Fault| fault.at(&self.dir))
    }
}
