//! What was written here and not synced yet: if this device is lost, it is lost with it.

use super::Notebook;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::gaps;
use super::id::DeviceId;
use super::journal::integer;
use super::settings::{self, SettingName};
use rusqlite::{Connection, params};
use std::collections::BTreeMap;

/// The last pushed line of each of this notebook's device ids.
pub(crate) type Pushed = BTreeMap<String, u64>;

impl Notebook {
    /// Returns how many entries written under this notebook's device ids are not synced yet. Takes
    /// the same time however long the journal is.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn entries_not_synced(&self) -> Result<u64, NotebookError> {
        self.read(|conn| {
            let pushed = pushed(conn)?;
            let mut entries = 0;
            for device in settings::own_devices(conn)? {
                let synced = pushed.get(&device.to_string()).copied().unwrap_or(0);
                entries += gaps::last_verified(conn, device)?.saturating_sub(synced);
            }
            Ok(entries)
        })
    }

    /// Returns how many photos those entries added. Takes longer the more entries are not synced.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn photos_not_synced(&self) -> Result<u64, NotebookError> {
        self.read(|conn| {
            let pushed = pushed(conn)?;
            let mut photos = 0;
            for device in settings::own_devices(conn)? {
                let synced = pushed.get(&device.to_string()).copied().unwrap_or(0);
                photos += photos_after(conn, device, synced)?;
            }
            Ok(photos)
        })
    }

    /// Returns the number of the last pushed line of one of this notebook's device ids; 0 if there
    /// is none.
    pub(crate) fn last_pushed(&self, device: DeviceId) -> Result<u64, NotebookError> {
        self.read(|conn| Ok(pushed(conn)?.get(&device.to_string()).copied().unwrap_or(0)))
    }

    /// Stores that the lines of these devices up to these numbers are pushed.
    pub(crate) fn remember_pushed(&self, ends: &[(DeviceId, u64)]) -> Result<(), NotebookError> {
        let before = self.read(pushed)?;
        let mut after = before.clone();
        for (device, seq) in ends {
            let known = after.entry(device.to_string()).or_default();
            *known = (*known).max(*seq);
        }
        if after == before {
            return Ok(());
        }
        let text = serde_json::json!(after).to_string();
        self.write(|tx| settings::write(tx.conn(), SettingName::Pushed, &text))
    }
}

fn pushed(conn: &Connection) -> Result<Pushed, Fault> {
    settings::read_json(conn, SettingName::Pushed)
}

/// Returns how many photos a device's lines after this one add.
fn photos_after(conn: &Connection, device: DeviceId, seq: u64) -> Result<u64, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT count(*) FROM entry e JOIN entry_status s ON s.n = e.n
         WHERE e.device = ?1 AND e.seq > ?2 AND s.kind = ?3",
    )?;
    let asked = params![device.0, integer(seq), EntryKind::Photo.name()];
    let photos: i64 = statement.query_row(asked, |row| row.get(0))?;
    Ok(photos.unsigned_abs())
}
