//! The journal: takes lines in, each behind the one it names, and works out what they change.

use super::chain::LineHash;
use super::entry::{Entry, Line};
use super::error::Fault;
use super::id::{DeviceId, EntryId};
use super::kind::understand;
use super::now::Row;
use super::place;
use super::standing::{self, Act};
use rusqlite::{Connection, OptionalExtension, params};
use std::collections::BTreeSet;

/// Why a line cannot be taken into the journal.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotTaken {
    /// The line before it is not here.
    #[error("entry {seq} of device {device} names an entry before it that is not here")]
    Gap {
        /// The device.
        device: DeviceId,
        /// The line's place.
        seq: u64,
    },
    /// Its id belongs to another entry already.
    #[error("entry {seq} of device {device} has the id of another entry, {id}")]
    IdTaken {
        /// The device.
        device: DeviceId,
        /// The line's place.
        seq: u64,
        /// The id.
        id: EntryId,
    },
}

/// What became of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// It is in the journal now.
    Taken,
    /// It was there already.
    Known,
    /// It cannot be taken; nothing was changed.
    Not(NotTaken),
}

/// The last line of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Head {
    /// The device.
    pub device: DeviceId,
    /// The line's place.
    pub seq: u64,
    /// The line's hash.
    pub hash: LineHash,
}

/// Takes a line in; the rows that it changes are added to `dirty`.
pub(crate) fn append(
    conn: &Connection,
    line: &Line,
    dirty: &mut BTreeSet<Row>,
) -> Result<Outcome, Fault> {
    let entry = line.entry();
    if holds(conn, entry.device, entry.seq, line.hash())? {
        return Ok(Outcome::Known);
    }
    let (device, seq) = (entry.device, entry.seq);
    if let Some(prev) = entry.prev
        && !holds(conn, device, seq - 1, prev)?
    {
        return Ok(Outcome::Not(NotTaken::Gap { device, seq }));
    }
    let taken = conn
        .prepare_cached("SELECT 1 FROM entry WHERE id = ?1")?
        .exists([entry.id.0])?;
    if taken {
        return Ok(Outcome::Not(NotTaken::IdTaken {
            device,
            seq,
            id: entry.id,
        }));
    }
    let n = place::next(conn, entry.subject)?;
    conn.prepare_cached(
        "INSERT INTO entry (n, id, device, seq, kind, subject, hash, line) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
    )?
    .execute(params![
        n,
        entry.id.0,
        entry.device.0,
        integer(entry.seq),
        entry.kind,
        entry.subject,
        line.hash().0,
        line.text()
    ])?;
    apply(conn, n, entry, line.hash(), dirty)?;
    Ok(Outcome::Taken)
}

/// Works out what an entry that is in the journal changes. The order in which entries are applied makes no difference.
pub(crate) fn apply(
    conn: &Connection,
    n: i64,
    entry: &Entry,
    hash: LineHash,
    dirty: &mut BTreeSet<Row>,
) -> Result<(), Fault> {
    move_head(conn, entry, hash)?;
    let understood = understand(&entry.kind, &entry.body);
    let slot = understood.and_then(|understood| understood.slot);
    conn.prepare_cached(
        "INSERT INTO said (n, slot, understood, struck, replaced) VALUES (?1, ?2, ?3, 0, 0)",
    )?
    .execute(params![n, slot, understood.is_some()])?;
    dirty.extend(Row::of(&entry.kind, entry.subject, slot));

    let mut affected: Vec<EntryId> = entry.replaces.clone();
    for target in &entry.replaces {
        standing::draw(conn, entry.id, Act::Replace, *target)?;
    }
    if let Some(target) = understood.and_then(|understood| understood.strikes) {
        standing::draw(conn, entry.id, Act::Strike, target)?;
        affected.push(target);
    }
    if standing::is_acted_on(conn, entry.id)? {
        affected.push(entry.id);
    }
    for changed in standing::settle(conn, affected)? {
        dirty.extend(Row::of(&changed.kind, changed.subject, changed.slot));
    }
    Ok(())
}

/// The device's chain ends at this line now, or forks at it.
fn move_head(conn: &Connection, entry: &Entry, hash: LineHash) -> Result<(), Fault> {
    if let Some(prev) = entry.prev {
        conn.prepare_cached("DELETE FROM head WHERE device = ?1 AND hash = ?2")?
            .execute(params![entry.device.0, prev.0])?;
    }
    conn.prepare_cached("INSERT OR REPLACE INTO head (device, hash, seq) VALUES (?1, ?2, ?3)")?
        .execute(params![entry.device.0, hash.0, integer(entry.seq)])?;
    Ok(())
}

/// Whether this very line is in the journal.
pub(crate) fn holds(
    conn: &Connection,
    device: DeviceId,
    seq: u64,
    hash: LineHash,
) -> Result<bool, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT 1 FROM entry WHERE device = ?1 AND seq = ?2 AND hash = ?3")?;
    Ok(statement.exists(params![device.0, integer(seq), hash.0])?)
}

/// The last line of a device; the longer line where there are two.
pub(crate) fn head(conn: &Connection, device: DeviceId) -> Result<Option<Head>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT device, hash, seq FROM head WHERE device = ?1 ORDER BY seq DESC, hash LIMIT 1",
    )?;
    Ok(statement.query_row([device.0], read_head).optional()?)
}

/// The last lines of all devices.
pub(crate) fn heads(conn: &Connection) -> Result<Vec<Head>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT device, hash, seq FROM head ORDER BY device, hash")?;
    let heads = statement.query_map([], read_head)?;
    Ok(heads.collect::<Result<_, _>>()?)
}

fn read_head(row: &rusqlite::Row<'_>) -> rusqlite::Result<Head> {
    let seq: i64 = row.get(2)?;
    Ok(Head {
        device: DeviceId(row.get(0)?),
        hash: LineHash(row.get(1)?),
        seq: seq.unsigned_abs(),
    })
}

/// The greatest id in the journal.
pub(crate) fn greatest_id(conn: &Connection) -> Result<Option<EntryId>, Fault> {
    let mut statement = conn.prepare_cached("SELECT id FROM entry ORDER BY id DESC LIMIT 1")?;
    Ok(statement
        .query_row([], |row| row.get(0).map(EntryId))
        .optional()?)
}

/// A sequence number as SQLite keeps it; [`Line::read`] has refused greater ones.
pub(crate) fn integer(seq: u64) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}
