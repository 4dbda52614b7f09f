//! The journal: what lines it holds, and where they end.

use super::chain::LineHash;
use super::error::Fault;
use super::id::{DeviceId, EntryId};
use rusqlite::{Connection, OptionalExtension, params};

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

/// Whether an entry has this id.
pub(crate) fn has_id(conn: &Connection, id: EntryId) -> Result<bool, Fault> {
    let mut statement = conn.prepare_cached("SELECT 1 FROM entry WHERE id = ?1")?;
    Ok(statement.exists([id.0])?)
}

/// A sequence number as SQLite keeps it; [`Line::read`] has refused greater ones.
pub(crate) fn integer(seq: u64) -> i64 {
    i64::try_from(seq).unwrap_or(i64::MAX)
}
