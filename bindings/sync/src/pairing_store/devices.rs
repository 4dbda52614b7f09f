//! Devices paired with this computer.

use super::PairingStore;
use crate::PairingError;
use crate::clock::from_ms;
use crate::names;
use crate::secret::Digest;
use chrono::{DateTime, Utc};
use rusqlite::{Connection, Row, params};

/// A device that is paired with this computer, or was until it was revoked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PairedDevice {
    /// Its number in this store, never reused.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// When it was paired.
    pub paired_at: DateTime<Utc>,
    /// Its last finished sync.
    pub last_sync: Option<LastSync>,
    /// When it was revoked; it can no longer sync.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// The last finished sync of a device.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastSync {
    /// When it finished.
    pub at: DateTime<Utc>,
    /// What was transferred.
    pub counts: DeviceCounts,
}

/// What a device transferred in a sync, including interrupted syncs before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DeviceCounts {
    /// Entries that the device pushed.
    pub entries_pushed: u64,
    /// Photos that the device pushed.
    pub photos_pushed: u64,
    /// Entries that the device pulled.
    pub entries_pulled: u64,
    /// Photos that the device pulled.
    pub photos_pulled: u64,
}

/// Who sent a request, by its token.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Caller {
    Device(i64),
    Revoked,
    Unknown,
}

impl PairingStore {
    /// Returns all devices, including revoked ones, the last paired first.
    ///
    /// # Errors
    /// If the pairings cannot be read.
    pub fn devices(&self) -> Result<Vec<PairedDevice>, PairingError> {
        self.read(|conn| {
            let sql = "SELECT id, name, paired_at, revoked_at, last_at, entries_brought,
                photos_brought, entries_taken, photos_taken FROM device ORDER BY id DESC";
            let mut statement = conn.prepare_cached(sql)?;
            statement.query_map([], device)?.collect()
        })
    }

    /// Revokes a device: it is rejected from its next request on. What it pushed stays, and it
    /// stays on the list.
    ///
    /// # Errors
    /// [`PairingError::NoSuchDevice`], and if the pairings cannot be written.
    pub fn revoke(&self, device: i64) -> Result<(), PairingError> {
        // Revoking again keeps the first date.
        let sql = "UPDATE device SET revoked_at = coalesce(revoked_at, ?2) WHERE id = ?1";
        let now = self.now_ms();
        expect_row(self.write(|conn| conn.execute(sql, [device, now]))?)
    }

    /// Renames a device.
    ///
    /// # Errors
    /// [`PairingError::NoSuchDevice`], [`PairingError::InvalidName`], and if the pairings cannot be
    /// written.
    pub fn rename_device(&self, device: i64, name: &str) -> Result<(), PairingError> {
        let name = names::validate(name)?;
        let sql = "UPDATE device SET name = ?2 WHERE id = ?1";
        expect_row(self.write(|conn| conn.execute(sql, params![device, name]))?)
    }

    /// Returns whose token this is. Compares with every stored token, so that the time does not
    /// depend on which one matches.
    pub(crate) fn caller(&self, token: &Digest) -> Result<Caller, PairingError> {
        self.read(|conn| {
            let mut statement = conn.prepare_cached("SELECT id, token, revoked_at FROM device")?;
            let mut rows = statement.query([])?;
            let mut caller = Caller::Unknown;
            while let Some(row) = rows.next()? {
                let stored: [u8; 32] = row.get(1)?;
                let revoked: Option<i64> = row.get(2)?;
                if token.matches(&stored) {
                    let device = Caller::Device(row.get(0)?);
                    caller = revoked.map_or(device, |_| Caller::Revoked);
                }
            }
            Ok(caller)
        })
    }

    /// Records that a device finished a sync, and what was transferred.
    pub(crate) fn record_device_sync(
        &self,
        device: i64,
        counts: DeviceCounts,
    ) -> Result<(), PairingError> {
        let sql = "UPDATE device SET last_at = ?2, entries_brought = ?3, photos_brought = ?4,
            entries_taken = ?5, photos_taken = ?6 WHERE id = ?1";
        let counts = [
            counts.entries_pushed,
            counts.photos_pushed,
            counts.entries_pulled,
            counts.photos_pulled,
        ];
        let [a, b, c, d] = counts.map(|count| i64::try_from(count).unwrap_or(i64::MAX));
        let now = self.now_ms();
        expect_row(self.write(|conn| conn.execute(sql, [device, now, a, b, c, d]))?)
    }
}

fn expect_row(rows: usize) -> Result<(), PairingError> {
    (rows == 1).then_some(()).ok_or(PairingError::NoSuchDevice)
}

/// Inserts a new device and returns its number.
pub(super) fn insert(
    conn: &Connection,
    name: &str,
    token: &Digest,
    now: i64,
) -> rusqlite::Result<i64> {
    let sql = "INSERT INTO device (name, token, paired_at) VALUES (?1, ?2, ?3)";
    conn.execute(sql, params![name, token.0, now])?;
    Ok(conn.last_insert_rowid())
}

fn device(row: &Row<'_>) -> rusqlite::Result<PairedDevice> {
    let count = |at: usize| row.get::<_, i64>(at).map(i64::unsigned_abs);
    let revoked: Option<i64> = row.get(3)?;
    let last: Option<i64> = row.get(4)?;
    let counts = DeviceCounts {
        entries_pushed: count(5)?,
        photos_pushed: count(6)?,
        entries_pulled: count(7)?,
        photos_pulled: count(8)?,
    };
    Ok(PairedDevice {
        id: row.get(0)?,
        name: row.get(1)?,
        paired_at: from_ms(row.get(2)?),
        last_sync: last.map(|at| LastSync {
            at: from_ms(at),
            counts,
        }),
        revoked_at: revoked.map(from_ms),
    })
}
