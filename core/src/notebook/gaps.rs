//! What a repair knows to be lost, and the lines behind it.
//!
//! Lines behind a lost one stay in view, but nobody can tell what the lost one said about them, so
//! they are not verified and not synced: until a remote brings the lost one back, or a person
//! accepts the loss. Then their copies are recorded as new entries, which sync like any other.

use super::chain::LineHash;
use super::error::Fault;
use super::id::DeviceId;
use super::journal::{self, Head, integer, leading_to};
use super::settings::{self, SettingName};
use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;

/// A line that is here, though the line that it names as the one before it is not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct KnownGap {
    /// The line.
    #[serde(flatten)]
    pub line: Head,
    /// The hash of the lost line.
    pub prev: LineHash,
    /// Whether a person has accepted the loss.
    #[serde(default)]
    pub accepted: bool,
}

/// Returns the known gaps.
pub(crate) fn read(conn: &Connection) -> Result<Vec<KnownGap>, Fault> {
    settings::read_json(conn, SettingName::Gaps)
}

/// Stores the known gaps.
pub(crate) fn write(conn: &Connection, gaps: &[KnownGap]) -> Result<(), Fault> {
    settings::write(conn, SettingName::Gaps, &json!(gaps).to_string())
}

/// Returns the lost last lines that are not here.
pub(crate) fn lost_ends(conn: &Connection) -> Result<Vec<Head>, Fault> {
    let lost: Vec<Head> = settings::read_json(conn, SettingName::Lost)?;
    let mut missing = Vec::new();
    for end in lost {
        if !journal::holds(conn, end.device, end.seq, end.hash)? {
            missing.push(end);
        }
    }
    Ok(missing)
}

/// Stores the lost last lines.
pub(crate) fn write_lost_ends(conn: &Connection, ends: &[Head]) -> Result<(), Fault> {
    settings::write(conn, SettingName::Lost, &json!(ends).to_string())
}

/// Returns the gap behind which a line is; `None` if all lines before it are here.
pub(crate) fn before<'g>(
    conn: &Connection,
    gaps: &'g [KnownGap],
    line: Head,
) -> Result<Option<&'g KnownGap>, Fault> {
    for gap in gaps {
        let start = gap.line;
        let is_behind = start.device == line.device
            && start.seq <= line.seq
            && leading_to(conn, line, start.seq)? == Some(start.hash);
        if is_behind {
            return Ok(Some(gap));
        }
    }
    Ok(None)
}

/// Returns whether a line is behind a gap whose loss nobody has accepted.
pub(crate) fn is_unverified(conn: &Connection, line: Head) -> Result<bool, Fault> {
    let mut gaps = read(conn)?;
    gaps.retain(|gap| !gap.accepted);
    Ok(before(conn, &gaps, line)?.is_some())
}

/// Returns those lines before which none is lost.
pub(crate) fn verified(conn: &Connection, lines: Vec<Head>) -> Result<Vec<Head>, Fault> {
    let gaps = read(conn)?;
    let mut verified = Vec::with_capacity(lines.len());
    for line in lines {
        if before(conn, &gaps, line)?.is_none() {
            verified.push(line);
        }
    }
    Ok(verified)
}

/// Returns the last verified line of each device.
pub(crate) fn verified_heads(conn: &Connection) -> Result<Vec<Head>, Fault> {
    verified(conn, journal::heads(conn)?)
}

/// Returns the number of a device's last verified line; 0 if it has none.
pub(crate) fn last_verified(conn: &Connection, device: DeviceId) -> Result<u64, Fault> {
    let mut heads = journal::heads_of(conn, device)?;
    heads = verified(conn, heads)?;
    Ok(heads.iter().map(|head| head.seq).max().unwrap_or(0))
}

/// Returns how many lines are behind a gap whose loss nobody has accepted.
pub(crate) fn count_unverified(conn: &Connection) -> Result<u64, Fault> {
    let mut first: BTreeMap<DeviceId, u64> = BTreeMap::new();
    for gap in read(conn)?.iter().filter(|gap| !gap.accepted) {
        let seq = first.entry(gap.line.device).or_insert(gap.line.seq);
        *seq = gap.line.seq.min(*seq);
    }
    let sql = "SELECT count(*) FROM entry WHERE device = ?1 AND seq >= ?2";
    let mut statement = conn.prepare_cached(sql)?;
    let mut count = 0;
    for (device, seq) in first {
        let lines: i64 = statement.query_row(params![device.0, integer(seq)], |row| row.get(0))?;
        count += lines.unsigned_abs();
    }
    Ok(count)
}
