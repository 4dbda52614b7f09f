//! What was written here and lies on no shelf yet: should this device be lost, it would be lost with it.

use super::Notebook;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::journal::integer;
use super::kind::Kind;
use super::settings::{self, Name};
use rusqlite::{Connection, OptionalExtension, params};
use std::collections::BTreeMap;

/// The last line of each of this notebook's identities that was left on a shelf.
type Left = BTreeMap<String, u64>;

impl Notebook {
    /// How many entries written under this notebook's identities lie on no shelf that it has exchanged with. Takes the
    /// same time however long the journal is.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn entries_to_bring_home(&self) -> Result<u64, NotebookError> {
        self.read(|conn| {
            let left = left(conn)?;
            let mut entries = 0;
            for device in settings::own_devices(conn)? {
                let brought = left.get(&device.to_string()).copied().unwrap_or(0);
                entries += last(conn, device)?.saturating_sub(brought);
            }
            Ok(entries)
        })
    }

    /// How many photos were brought in by those entries. Takes as long as there are entries to bring home.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn photos_to_bring_home(&self) -> Result<u64, NotebookError> {
        self.read(|conn| {
            let left = left(conn)?;
            let mut photos = 0;
            for device in settings::own_devices(conn)? {
                let brought = left.get(&device.to_string()).copied().unwrap_or(0);
                photos += photos_after(conn, device, brought)?;
            }
            Ok(photos)
        })
    }

    /// The number of the last line of a device, one of this notebook's own, that lies on a shelf; 0 where none does.
    pub(crate) fn brought_home(&self, device: DeviceId) -> Result<u64, NotebookError> {
        self.read(|conn| Ok(left(conn)?.get(&device.to_string()).copied().unwrap_or(0)))
    }

    /// Notes that the lines of these devices up to these numbers lie on a shelf.
    pub(crate) fn note_left(&self, ends: &[(DeviceId, u64)]) -> Result<(), NotebookError> {
        let before = self.read(left)?;
        let mut after = before.clone();
        for (device, seq) in ends {
            let known = after.entry(device.to_string()).or_default();
            *known = (*known).max(*seq);
        }
        if after == before {
            return Ok(());
        }
        let text = serde_json::json!(after).to_string();
        self.write(|pen| settings::write(pen.conn(), Name::Left, &text))
    }
}

fn left(conn: &Connection) -> Result<Left, Fault> {
    match settings::read(conn, Name::Left)? {
        Some(text) => serde_json::from_str(&text).map_err(Fault::unreadable),
        None => Ok(Left::new()),
    }
}

/// How many photos a device's lines after this one bring in.
fn photos_after(conn: &Connection, device: DeviceId, seq: u64) -> Result<u64, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT count(*) FROM entry WHERE device = ?1 AND seq > ?2 AND kind = ?3",
    )?;
    let asked = params![device.0, integer(seq), Kind::Photo.word()];
    let photos: i64 = statement.query_row(asked, |row| row.get(0))?;
    Ok(photos.unsigned_abs())
}

/// The number of a device's last line; 0 where it has none.
fn last(conn: &Connection, device: DeviceId) -> Result<u64, Fault> {
    let mut statement = conn.prepare_cached("SELECT max(seq) FROM head WHERE device = ?1")?;
    let seq: Option<i64> = statement
        .query_row([device.0], |row| row.get(0))
        .optional()?
        .flatten();
    Ok(seq.map_or(0, i64::unsigned_abs))
}
