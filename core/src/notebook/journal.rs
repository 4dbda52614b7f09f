//! Queries about the journal's lines and chain ends.

use super::chain::LineHash;
use super::error::Fault;
use super::id::{DeviceId, EntryId};
use rusqlite::{Connection, OptionalExtension, params};

/// The last line of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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

fn read_head(row: &rusqlite::Row<'_>) -> rusqlite::Result<Head> {
    let seq: i64 = row.get(2)?;
    Ok(Head {
        device: DeviceId(row.get(0)?),
        hash: LineHash(row.get(1)?),
        seq: seq.unsigned_abs(),
    })
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
