//! The journal as people read it: every entry, struck ones too.

use crate::notebook::body::StrikeBody;
use crate::notebook::chain::LineHash;
use crate::notebook::entry::Line;
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::{DeviceId, EntryId, Notebook, gather, place};
use chrono::{DateTime, FixedOffset};
use rusqlite::{Connection, OptionalExtension, params};
use serde_json::Value;
use uuid::Uuid;

/// An entry as people read it.
#[derive(Debug, Clone, PartialEq)]
pub struct JournalLine {
    /// Its id.
    pub entry: EntryId,
    /// What it is about.
    pub subject: Uuid,
    /// The device that wrote it.
    pub device: DeviceId,
    /// What that device is called; none where it never said.
    pub device_name: Option<String>,
    /// Its place among that device's entries.
    pub seq: u64,
    /// The hash of its line.
    pub hash: LineHash,
    /// The person.
    pub by: String,
    /// When, by the device's clock.
    pub at: DateTime<FixedOffset>,
    /// Its kind's word.
    pub kind: String,
    /// What it says.
    pub body: Value,
    /// The entries that it names as replaced.
    pub replaces: Vec<EntryId>,
    /// The first strike that crosses it out.
    pub struck_by: Option<Struck>,
    /// The entries that name it as replaced, struck ones too.
    pub replaced_by: Vec<EntryId>,
    /// Whether an entry that counts has taken its place.
    pub replaced: bool,
    /// Whether this version understands it. It is kept and passed on in any case.
    pub understood: bool,
}

/// Who crossed an entry out, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Struck {
    /// The strike's own id.
    pub entry: EntryId,
    /// The person.
    pub by: String,
    /// When, by the device's clock.
    pub at: DateTime<FixedOffset>,
    /// Why.
    pub reason: String,
}

impl JournalLine {
    /// Whether it stands: neither struck nor replaced.
    pub fn stands(&self) -> bool {
        self.struck_by.is_none() && !self.replaced
    }
}

impl Notebook {
    /// What a device's people call it; none where they have not said.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn device_name(&self, device: DeviceId) -> Result<Option<String>, NotebookError> {
        self.read(|conn| device_name(conn, device))
    }

    /// What was ever written about a casting, face, photo, hole or device, newest first: at most `count` entries, those
    /// before the entry `before` where one is given.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn history(
        &self,
        subject: Uuid,
        count: usize,
        before: Option<EntryId>,
    ) -> Result<Vec<JournalLine>, NotebookError> {
        self.read(|conn| {
            let below = before.map_or(Uuid::max(), |before| before.0);
            let places = place::of(conn, subject)?;
            let count = i64::try_from(count).unwrap_or(i64::MAX);
            let sql =
                "SELECT e.line, s.replaced, s.understood FROM entry e JOIN said s ON s.n = e.n
                 WHERE e.n BETWEEN ?1 AND ?2 AND e.id < ?3 ORDER BY e.id DESC LIMIT ?4";
            let mut statement = conn.prepare_cached(sql)?;
            let mut rows = statement.query(params![places.start(), places.end(), below, count])?;
            let mut lines = Vec::new();
            while let Some(row) = rows.next()? {
                lines.push(read_line(conn, row)?);
            }
            Ok(lines)
        })
    }

    /// One entry.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] where there is none of that id, and where the notebook cannot be read.
    pub fn entry(&self, id: EntryId) -> Result<JournalLine, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT e.line, s.replaced, s.understood
                 FROM entry e JOIN said s ON s.n = e.n WHERE e.id = ?1";
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
    Ok(JournalLine {
        struck_by: struck_by(conn, entry.id)?,
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

fn struck_by(conn: &Connection, entry: EntryId) -> Result<Option<Struck>, Fault> {
    // A strike that names a strike crosses nothing out.
    let sql = "SELECT e.line FROM entry t JOIN said s ON s.n = t.n AND s.struck
         JOIN edge g ON g.target = t.id AND g.act = 0 JOIN entry e ON e.id = g.source
         WHERE t.id = ?1 ORDER BY g.source LIMIT 1";
    let line: Option<String> = conn
        .prepare_cached(sql)?
        .query_row([entry.0], |row| row.get(0))
        .optional()?;
    let Some(line) = line else { return Ok(None) };
    let strike = gather::said::<StrikeBody>(&line)?;
    Ok(Some(Struck {
        entry: EntryId(strike.entry),
        by: strike.by,
        at: strike.at,
        reason: strike.body.reason,
    }))
}

fn replaced_by(conn: &Connection, entry: EntryId) -> Result<Vec<EntryId>, Fault> {
    let sql = "SELECT source FROM edge WHERE target = ?1 AND act = 1 ORDER BY source";
    let mut statement = conn.prepare_cached(sql)?;
    let sources = statement.query_map([entry.0], |row| row.get(0).map(EntryId))?;
    Ok(sources.collect::<Result<_, _>>()?)
}

fn device_name(conn: &Connection, device: DeviceId) -> Result<Option<String>, Fault> {
    let mut statement = conn.prepare_cached("SELECT name FROM device_now WHERE id = ?1")?;
    Ok(statement
        .query_row([device.0], |row| row.get(0))
        .optional()?)
}
