//! The devices that are paired with this computer.

use super::Store;
use crate::LinkError;
use crate::clock::moment;
use crate::names;
use crate::secret::Digest;
use chrono::{DateTime, Utc};
use rusqlite::{Connection, Row, params};

/// A device that is, or was, paired with this computer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Device {
    /// Its number here; no other device gets it again.
    pub id: i64,
    /// What it calls itself.
    pub name: String,
    /// When it was paired.
    pub paired_at: DateTime<Utc>,
    /// Its last exchange that came to its end.
    pub last_exchange: Option<LastExchange>,
    /// Since when it is let in no more.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// What a device's exchange did, as seen from this computer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastExchange {
    /// When it came to its end.
    pub at: DateTime<Utc>,
    /// What passed.
    pub passed: Passed,
}

/// What passed in an exchange, one begun before and cut off included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Passed {
    /// How many entries the device brought.
    pub entries_brought: u64,
    /// How many photos the device brought.
    pub photos_brought: u64,
    /// How many entries the device took.
    pub entries_taken: u64,
    /// How many photos the device took.
    pub photos_taken: u64,
}

/// Who shows a token.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Caller {
    Device(i64),
    Revoked,
    Stranger,
}

impl Store {
    /// All devices that were ever paired with this computer, the last paired first; those that were revoked too.
    ///
    /// # Errors
    /// Where the pairings cannot be read.
    pub fn devices(&self) -> Result<Vec<Device>, LinkError> {
        self.read(|conn| {
            let sql = "SELECT id, name, paired_at, revoked_at, last_at, entries_brought, photos_brought, entries_taken,
                photos_taken FROM device ORDER BY id DESC";
            let mut statement = conn.prepare_cached(sql)?;
            statement.query_map([], device)?.collect()
        })
    }

    /// Lets a device in no more, from its next request on. What it brought stays, and it stays on the list.
    ///
    /// # Errors
    /// [`LinkError::NoSuchDevice`], and where the pairings cannot be written.
    pub fn revoke(&self, device: i64) -> Result<(), LinkError> {
        // A device that was revoked before keeps that date.
        let sql = "UPDATE device SET revoked_at = coalesce(revoked_at, ?2) WHERE id = ?1";
        let now = self.now_ms();
        found(self.write(|conn| conn.execute(sql, [device, now]))?)
    }

    /// Gives a device another name.
    ///
    /// # Errors
    /// [`LinkError::NoSuchDevice`], [`LinkError::Name`], and where the pairings cannot be written.
    pub fn rename_device(&self, device: i64, name: &str) -> Result<(), LinkError> {
        let name = names::clean(name)?;
        let sql = "UPDATE device SET name = ?2 WHERE id = ?1";
        found(self.write(|conn| conn.execute(sql, params![device, name]))?)
    }

    /// Whose token this is. Every one that is kept is looked at, in a time that does not depend on which is right.
    pub(crate) fn caller(&self, token: &Digest) -> Result<Caller, LinkError> {
        self.read(|conn| {
            let mut statement = conn.prepare_cached("SELECT id, token, revoked_at FROM device")?;
            let mut rows = statement.query([])?;
            let mut caller = Caller::Stranger;
            while let Some(row) = rows.next()? {
                let kept: [u8; 32] = row.get(1)?;
                let revoked: Option<i64> = row.get(2)?;
                if token.is(&kept) {
                    let device = Caller::Device(row.get(0)?);
                    caller = revoked.map_or(device, |_| Caller::Revoked);
                }
            }
            Ok(caller)
        })
    }

    /// Remembers that a device's exchange came to its end, and what passed.
    pub(crate) fn note_passed(&self, device: i64, passed: Passed) -> Result<(), LinkError> {
        let sql = "UPDATE device SET last_at = ?2, entries_brought = ?3, photos_brought = ?4, entries_taken = ?5,
            photos_taken = ?6 WHERE id = ?1";
        let counts = [
            passed.entries_brought,
            passed.photos_brought,
            passed.entries_taken,
            passed.photos_taken,
        ];
        let [a, b, c, d] = counts.map(|count| i64::try_from(count).unwrap_or(i64::MAX));
        let now = self.now_ms();
        found(self.write(|conn| conn.execute(sql, [device, now, a, b, c, d]))?)
    }
}

fn found(rows: usize) -> Result<(), LinkError> {
    (rows == 1).then_some(()).ok_or(LinkError::NoSuchDevice)
}

/// Keeps a new device and gives its number.
pub(super) fn keep(
    conn: &Connection,
    name: &str,
    token: &Digest,
    now: i64,
) -> rusqlite::Result<i64> {
    let sql = "INSERT INTO device (name, token, paired_at) VALUES (?1, ?2, ?3)";
    conn.execute(sql, params![name, token.0, now])?;
    Ok(conn.last_insert_rowid())
}

fn device(row: &Row<'_>) -> rusqlite::Result<Device> {
    let count = |at: usize| row.get::<_, i64>(at).map(i64::unsigned_abs);
    let revoked: Option<i64> = row.get(3)?;
    let last: Option<i64> = row.get(4)?;
    let passed = Passed {
        entries_brought: count(5)?,
        photos_brought: count(6)?,
        entries_taken: count(7)?,
        photos_taken: count(8)?,
    };
    Ok(Device {
        id: row.get(0)?,
        name: row.get(1)?,
        paired_at: moment(row.get(2)?),
        last_exchange: last.map(|at| LastExchange {
            at: moment(at),
            passed,
        }),
        revoked_at: revoked.map(moment),
    })
}
