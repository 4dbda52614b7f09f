//! Writing: one entry at a time behind this device's last, in one transaction with all that it changes.

use super::arrived::Arrived;
use super::entry::{Entry, Line};
use super::error::{Fault, NotebookError};
use super::id::EntryId;
use super::intake::{self, Outcome};
use super::journal::NotTaken;
use super::kind::Kind;
use super::now::{self, Row};
use super::place;
use super::settings::{self, Name};
use super::{Notebook, journal, moment};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::PoisonError;
use uuid::Uuid;

/// What is to become an entry.
#[derive(Debug, Clone)]
pub(crate) struct Draft {
    kind: Kind,
    subject: Uuid,
    body: Value,
    replaces: Vec<EntryId>,
}

impl Draft {
    /// An entry that replaces nothing.
    pub(crate) fn new(kind: Kind, subject: Uuid, body: &impl Serialize) -> Result<Self, Fault> {
        let body = serde_json::to_value(body)
            .map_err(|error| Fault::unfit(format!("the {kind} cannot be written: {error}")))?;
        Ok(Self {
            kind,
            subject,
            body,
            replaces: Vec::new(),
        })
    }

    /// Lets it replace these.
    pub(crate) fn over(mut self, entries: impl IntoIterator<Item = EntryId>) -> Self {
        self.replaces.extend(entries);
        self.replaces.sort_unstable();
        self.replaces.dedup();
        self
    }
}

/// One transaction that writes. It keeps count of the rows to be worked out anew before it ends.
pub(crate) struct Pen<'a> {
    tx: &'a Transaction<'a>,
    dirty: BTreeSet<Row>,
}

impl Pen<'_> {
    /// The database.
    pub(crate) fn conn(&self) -> &Connection {
        self.tx
    }

    /// Writes an entry behind this device's last.
    pub(crate) fn put(&mut self, draft: Draft) -> Result<EntryId, Fault> {
        self.check_replaces(&draft)?;
        let device = settings::device(self.tx)?;
        let head = journal::head(self.tx, device)?;
        let entry = Entry {
            id: EntryId::after(journal::greatest_id(self.tx)?),
            device,
            seq: head.map_or(1, |head| head.seq + 1),
            at: to_millisecond(moment::now()),
            by: settings::read(self.tx, Name::Person)?.unwrap_or_default(),
            kind: draft.kind.word().to_owned(),
            subject: draft.subject,
            body: draft.body,
            replaces: draft.replaces,
            prev: head.map(|head| head.hash),
        };
        let line = Line::write(&entry)
            .map_err(|error| Fault::unfit(format!("this cannot be recorded: {error}")))?;
        match self.take(&[line.into()]) {
            Ok(outcomes) if outcomes == [Outcome::Taken] => Ok(entry.id),
            Ok(_) => Err(Fault::unreadable("an entry written now was there already")),
            // It was numbered behind the last line of this notebook.
            Err(Fault::Worded(NotebookError::NotTaken(why))) => Err(Fault::unreadable(why)),
            Err(fault) => Err(fault),
        }
    }

    /// Takes lines in, each behind the one it names, and says what became of each. Where one cannot be taken, what was
    /// written must be taken back.
    pub(crate) fn take(&mut self, lines: &[Arrived]) -> Result<Vec<Outcome>, Fault> {
        intake::take(self.tx, lines, &mut self.dirty)
    }

    /// Does a part of the transaction's work; where lines cannot be taken, takes back what that part wrote, and says why.
    pub(crate) fn part<T>(
        &mut self,
        with: impl FnOnce(&mut Self) -> Result<T, Fault>,
    ) -> Result<Result<T, NotTaken>, Fault> {
        self.tx.execute_batch("SAVEPOINT part")?;
        let done = match with(self) {
            Ok(done) => Ok(done),
            Err(Fault::Worded(NotebookError::NotTaken(why))) => {
                // Rows that stay in `dirty` are worked out once more and stay as they are.
                self.tx.execute_batch("ROLLBACK TO part")?;
                Err(why)
            }
            Err(fault) => return Err(fault),
        };
        self.tx.execute_batch("RELEASE part")?;
        Ok(done)
    }

    /// The entries that answer a question now.
    pub(crate) fn current(&self, subject: Uuid, kind: Kind) -> Result<Vec<EntryId>, Fault> {
        let places = place::of(self.tx, subject)?;
        let mut statement = self.tx.prepare_cached(
            "SELECT e.id FROM entry e JOIN said s ON s.n = e.n WHERE e.n BETWEEN ?1 AND ?2 AND e.kind = ?3
             AND s.understood AND NOT s.struck AND NOT s.replaced",
        )?;
        let asked = params![places.start(), places.end(), kind.word()];
        let ids = statement.query_map(asked, |row| row.get(0).map(EntryId))?;
        Ok(ids.collect::<Result<_, _>>()?)
    }

    /// What is replaced must be here, and be of the same kind about the same thing.
    fn check_replaces(&self, draft: &Draft) -> Result<(), Fault> {
        for id in &draft.replaces {
            let mut statement = self
                .tx
                .prepare_cached("SELECT kind, subject FROM entry WHERE id = ?1")?;
            let found = statement.query_row([id.0], |row| {
                Ok((row.get::<_, String>(0)?, row.get::<_, Uuid>(1)?))
            });
            let (kind, subject) = found
                .optional()?
                .ok_or_else(|| Fault::no_such("entry", id))?;
            if kind != draft.kind.word() || subject != draft.subject {
                let why = format!(
                    "a {} cannot replace entry {id}, which answers another question; open the page again",
                    draft.kind
                );
                return Err(Fault::unfit(why));
            }
        }
        Ok(())
    }

    /// Works out the rows that the entries have changed.
    fn finish(self) -> Result<(), Fault> {
        now::work_out(self.tx, self.dirty)
    }
}

fn to_millisecond(
    at: chrono::DateTime<chrono::FixedOffset>,
) -> chrono::DateTime<chrono::FixedOffset> {
    use chrono::SubsecRound;
    at.trunc_subsecs(3)
}

impl Notebook {
    /// Writes, all or nothing. When it returns, what was written is on the disk.
    pub(crate) fn write<T>(
        &self,
        with: impl FnOnce(&mut Pen<'_>) -> Result<T, Fault>,
    ) -> Result<T, NotebookError> {
        self.write_if(true, with)
    }

    /// Writes, and keeps it or takes it back.
    pub(crate) fn write_if<T>(
        &self,
        keep: bool,
        with: impl FnOnce(&mut Pen<'_>) -> Result<T, Fault>,
    ) -> Result<T, NotebookError> {
        let mut conn = self.conn.lock().unwrap_or_else(PoisonError::into_inner);
        let written = (|| {
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let mut pen = Pen {
                tx: &tx,
                dirty: BTreeSet::new(),
            };
            let value = with(&mut pen)?;
            pen.finish()?;
            if keep {
                tx.commit()?
            } else {
                tx.rollback()?
            }
            Ok(value)
        })();
        written.map_err(|fault: Fault| fault.at(&self.dir))
    }

    /// Reads, all of it as the notebook stood at one moment.
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
