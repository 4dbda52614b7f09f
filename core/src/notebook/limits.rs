//! The shop's own limits where judgment decides: one fact for the whole notebook.

use super::Notebook;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::id::EntryId;
use super::load;
use super::write::NewEntry;
use crate::hole::limits::Limits;
use crate::hole::record::FactEntries;
use rusqlite::Connection;
use uuid::Uuid;

/// The shop: the subject of its limits.
const SHOP: Uuid = Uuid::from_u128(0x5b7c_1f20_93ae_8c44_b0d6_2f81_7e39_a465);

impl Notebook {
    /// Records the shop's limits, in place of all active ones.
    ///
    /// # Errors
    /// If a value is out of range, or if the notebook cannot be written.
    pub fn set_limits(&self, limits: &Limits) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            let replaces = tx.active_entries(SHOP, EntryKind::Limits)?;
            tx.insert(NewEntry::new(SHOP, limits)?.replacing(replaces))
        })
    }

    /// Returns the limits to judge by: the shop's, or the standard ones. If two devices recorded
    /// different ones, the stricter of each counts until the limits are recorded again.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn limits(&self) -> Result<Limits, NotebookError> {
        let limits = self.read(in_force)?;
        Ok(limits.unwrap_or_default())
    }

    /// Returns the active entries of the shop's limits.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn limit_entries(&self) -> Result<FactEntries<Limits>, NotebookError> {
        self.read(|conn| load::entries(conn, SHOP))
    }
}

/// Returns the shop's limits; `None` if it has none of its own.
pub(super) fn in_force(conn: &Connection) -> Result<Option<Limits>, Fault> {
    let active = load::entries::<Limits>(conn, SHOP)?.0.into_iter();
    Ok(active
        .map(|entry| entry.body)
        .reduce(|one, other| one.strictest(&other)))
}
