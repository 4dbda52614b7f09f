//! The journal as people read it: all entries, also those struck out.

use crate::notebook::body::StrikeOutBody;
use crate::notebook::chain::LineHash;
use crate::notebook::entry::Line;
use crate::notebook::entry_kind::{EntryBody, EntryKind};
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::facts::recorded;
use crate::notebook::gaps;
use crate::notebook::journal::Head;
use crate::notebook::row_number::row_numbers;
use crate::notebook::{DeviceId, EntryId, Notebook};
use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, params};
use serde_json::Value;
use uuid::Uuid;

/// An entry as people read it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct JournalLine {
    /// Its id.
    pub entry: EntryId,
    /// What it is about.
    pub subject: Uuid,
    /// The device that wrote it.
    pub device: DeviceId,
    /// That device's name; `None` if it has none.
    pub device_name: Option<String>,
    /// Its sequence number among that device's entries.
    pub seq: u64,
    /// The hash of its line.
    pub hash: LineHash,
    /// The person.
    pub by: String,
    /// Time by the device's clock.
    pub at: DateTime<FixedOffset>,
    /// The name of its kind, as its line has it.
    pub kind: String,
    /// Its body.
    pub body: Value,
    /// The entries that it names as replaced.
    pub replaces: Vec<EntryId>,
    /// The first strike-out that names it.
    pub struck_out_by: Option<StruckOut>,
    /// The entries that name it as replaced, also those struck out.
    pub replaced_by: Vec<EntryId>,
    /// Whether it is replaced by an entry that counts.
    pub replaced: bool,
    /// Whether this version understands it. It is kept and synced in any case.
    pub understood: bool,
    /// Whether it is behind a lost entry, so not verified.
    pub unverified: bool,
}

/// Who struck out an entry, and why.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct StruckOut {
    /// The strike-out's own id.
    pub entry: EntryId,
    /// The person.
    pub by: String,
    /// Time by the device's clock.
    pub at: DateTime<FixedOffset>,
    /// The reason.
    pub reason: String,
}

impl JournalLine {
    /// Returns whether it is active: neither struck out nor replaced.
    pub fn is_active(&self) -> bool {
        self.struck_out_by.is_none() && !self.replaced
    }

    /// Returns its kind; `None` if this version does not know it.
    pub fn entry_kind(&self) -> Option<EntryKind> {
        EntryKind::from_name(&self.kind)
    }

    /// Returns its body as a typed value; `None` if this version does not understand it.
    pub fn entry_body(&self) -> Option<EntryBody> {
        EntryBody::read(&self.kind, &self.body)
    }
}

impl Notebook {
    /// Returns a device's name; `None` if it has none.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn device_name(&self, device: DeviceId) -> Result<Option<String>, NotebookError> {
        self.read(|conn| device_name(conn, device))
    }

    /// Returns the entries about a casting, face, photo, hole or device, newest first: at most
    /// `count` of those before the entry `before`, or of all.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn history(
        &self,
        subject: Uuid,
        count: usize,
        before: Option<EntryId>,
    ) -> Result<Vec<JournalLine>, NotebookError> {
        self.read(|conn| {
            let below = before.map_or(Uuid::max(), |before| before.0);
            let numbers = row_numbers(conn, subject)?;
            let count = i64::try_from(count).unwrap_or(i64::MAX);
            let sql = "SELECT e.line, s.replaced, s.understood
                 FROM entry e JOIN entry_status s ON s.n = e.n
                 WHERE e.n BETWEEN ?1 AND ?2 AND e.id < ?3 ORDER BY e.id DESC LIMIT ?4";
            let mut statement = conn.prepare_cached(sql)?;
            let mut rows =
                statement.query(params![numbers.start(), numbers.end(), below, count])?;
            let mut lines = Vec::new();
            while let Some(row) = rows.next()? {
                lines.push(read_line(conn, row)?);
            }
            Ok(lines)
        })
    }

    /// Calls `each` for every line of the journal, device by device in the order in which each wrote
    /// them, until it fails; returns that failure.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub(crate) fn each_line<E>(
        &self,
        mut each: impl FnMut(&str) -> Result<(), E>,
    ) -> Result<Result<(), E>, NotebookError> {
        self.read(|conn| {
            let mut statement =
                conn.prepare("SELECT line FROM entry ORDER BY device, seq, hash")?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let line = row.get_ref(0)?.as_str().map_err(Fault::unreadable)?;
                if let Err(failed) = each(line) {
                    return Ok(Err(failed));
                }
            }
            Ok(Ok(()))
        })
    }

    /// Calls `each` for every entry, oldest first by id, until it fails; returns that failure.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub(crate) fn each_entry<E>(
        &self,
        mut each: impl FnMut(&JournalLine) -> Result<(), E>,
    ) -> Result<Result<(), E>, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT e.line, s.replaced, s.understood
                 FROM entry e JOIN entry_status s ON s.n = e.n ORDER BY e.id";
            let mut statement = conn.prepare(sql)?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                if let Err(failed) = each(&read_line(conn, row)?) {
                    return Ok(Err(failed));
                }
            }
            Ok(Ok(()))
        })
    }

    /// Returns one entry.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is none with that id; also if the notebook cannot be
    /// read.
    pub fn entry(&self, id: EntryId) -> Result<JournalLine, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT e.line, s.replaced, s.understood
                 FROM entry e JOIN entry_status s ON s.n = e.n WHERE e.id = ?1";
            let mut statement = conn.prepare_cached(sql)?;
            let mut rows = statement.query([id.0])?;
            match rows.next()? {
                Some(row) => read_line(conn, row),
                None => Err(Fault::no_such("entry", id)),
            }
        })
    }
}

fn read_line(conn: &Connection, row: &rusqlite::Row<'_>) -> Result<JournalLine, Fault> {
    let line = Line::read(row.get(0)?).map_err(Fault::unreadable)?;
    let (replaced, understood): (bool, bool) = (row.get(1)?, row.get(2)?);
    let entry = line.entry().clone();
    let place = Head {
        device: entry.device,
        seq: entry.seq,
        hash: line.hash(),
    };
    Ok(JournalLine {
        unverified: gaps::is_unverified(conn, place)?,
        struck_out_by: struck_out_by(conn, entry.id)?,
        replaced_by: replaced_by(conn, entry.id)?,
        device_name: device_name(conn, entry.device)?,
        entry: entry.id,
        subject: entry.subject,
        device: entry.device,
        seq: entry.seq,
        hash: line.hash(),
        by: entry.by,
        at: entry.at,
        kind: entry.kind,
        body: entry.body,
        replaces: entry.replaces,
        replaced,
        understood,
    })
}

fn struck_out_by(conn: &Connection, entry: EntryId) -> Result<Option<StruckOut>, Fault> {
    // A strike-out that names a strike-out has no effect.
    let sql = "SELECT e.line FROM entry t JOIN entry_status s ON s.n = t.n AND s.struck_out
         JOIN entry_link l ON l.target = t.id AND l.kind = 0 JOIN entry e ON e.id = l.source
         WHERE t.id = ?1 ORDER BY l.source LIMIT 1";
    let line: Option<String> = conn
        .prepare_cached(sql)?
        .query_row([entry.0], |row| row.get(0))
        .optional()?;
    let Some(line) = line else { return Ok(None) };
    let strike = recorded::<StrikeOutBody>(&line)?;
    Ok(Some(StruckOut {
        entry: strike.entry,
        by: strike.by,
        at: strike.at,
        reason: strike.body.reason,
    }))
}

fn replaced_by(conn: &Connection, entry: EntryId) -> Result<Vec<EntryId>, Fault> {
    let sql = "SELECT source FROM entry_link WHERE target = ?1 AND kind = 1 ORDER BY source";
    let mut statement = conn.prepare_cached(sql)?;
    let sources = statement.query_map([entry.0], |row| row.get(0).map(EntryId))?;
    Ok(sources.collect::<Result<_, _>>()?)
}

fn device_name(conn: &Connection, device: DeviceId) -> Result<Option<String>, Fault> {
    let mut statement = conn.prepare_cached("SELECT name FROM device WHERE id = ?1")?;
    Ok(statement
        .query_row([device.0], |row| row.get(0))
        .optional()?)
}
