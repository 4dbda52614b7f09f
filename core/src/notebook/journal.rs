//! Queries about the journal's lines and chain ends.

use super::chain::LineHash;
use super::entry::Line;
use super::error::Fault;
use super::id::{DeviceId, EntryId};
use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};

/// The last line of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    /// The device.
    pub device: DeviceId,
    /// The line's sequence number.
    pub seq: u64,
    /// The line's hash.
    pub hash: LineHash,
}

/// Returns whether exactly this line is in the journal.
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

/// Returns the last line of a device; the end of the longer chain if there are two.
pub(crate) fn head(conn: &Connection, device: DeviceId) -> Result<Option<Head>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT device, hash, seq FROM head WHERE device = ?1 ORDER BY seq DESC, hash LIMIT 1",
    )?;
    Ok(statement.query_row([device.0], read_head).optional()?)
}

/// Returns the last lines of all devices.
pub(crate) fn heads(conn: &Connection) -> Result<Vec<Head>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT device, hash, seq FROM head ORDER BY device, hash")?;
    let heads = statement.query_map([], read_head)?;
    Ok(heads.collect::<Result<_, _>>()?)
}

/// Returns the last lines of a device.
pub(crate) fn heads_of(conn: &Connection, device: DeviceId) -> Result<Vec<Head>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT device, hash, seq FROM head WHERE device = ?1 ORDER BY hash")?;
    let heads = statement.query_map([device.0], read_head)?;
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

/// Returns the hash of the line with number `seq` that leads to `end`.
pub(crate) fn leading_to(
    conn: &Connection,
    end: Head,
    seq: u64,
) -> Result<Option<LineHash>, Fault> {
    if seq == end.seq {
        return Ok(Some(end.hash));
    }
    // If only one line has the number, it is that one.
    if let [hash] = hashes_at(conn, end.device, seq)?[..] {
        return Ok(Some(hash));
    }
    let mut at = end;
    while at.seq > seq {
        let line = line_at(conn, at.device, at.seq, at.hash)?;
        let Some(prev) = line.and_then(|line| line.entry().prev) else {
            return Ok(None);
        };
        at = Head {
            seq: at.seq - 1,
            hash: prev,
            ..at
        };
    }
    Ok(Some(at.hash))
}

/// Returns the hashes of the lines with this number: several if the notebook was copied.
pub(crate) fn hashes_at(
    conn: &Connection,
    device: DeviceId,
    seq: u64,
) -> Result<Vec<LineHash>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT hash FROM entry WHERE device = ?1 AND seq = ?2")?;
    let hashes = statement.query_map(params![device.0, integer(seq)], |row| {
        row.get(0).map(LineHash)
    })?;
    Ok(hashes.collect::<Result<_, _>>()?)
}

/// Returns a line; `None` if it is not here.
pub(crate) fn line_at(
    conn: &Connection,
    device: DeviceId,
    seq: u64,
    hash: LineHash,
) -> Result<Option<Line>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT line FROM entry WHERE device = ?1 AND seq = ?2 AND hash = ?3")?;
    let text: Option<String> = statement
        .query_row(params![device.0, integer(seq), hash.0], |row| row.get(0))
        .optional()?;
    text.map(Line::read).transpose().map_err(Fault::unreadable)
}

/// Returns the greatest id in the journal.
pub(crate) fn greatest_id(conn: &Connection) -> Result<Option<EntryId>, Fault> {
    let mut statement = conn.prepare_cached("SELECT id FROM entry ORDER BY id DESC LIMIT 1")?;
    Ok(statement
        .query_row([], |row| row.get(0).map(EntryId))
        .optional()?)
}

/// Returns whether an entry has this id.
pub(crate) fn has_id(conn: &Connection, id: EntryId) -> Result<bool, Fault> {
    let mut statement = conn.prepare_cached("SELECT 1 FROM entry WHERE id = ?1")?;
    Ok(statement.exists([id.0])?)
}

/// Converts a sequence number to SQLite's type. [`Line::read`] has refused greater ones.
pub(crate) fn integer(seq: u64) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}
