//! Rebuilds the projection tables from the journal.

use super::entry::Line;
use super::error::Fault;
use super::insert_entries::EntryInserter;
use super::projection::{self, PROJECTION_VERSION};
use super::settings::{self, SettingName};
use rusqlite::Connection;
use std::collections::BTreeSet;

/// A table that is derived from the journal.
pub(crate) struct Table {
    /// Its name.
    pub name: &'static str,
    /// The columns that identify a row.
    pub key: &'static str,
}

const fn table(name: &'static str, key: &'static str) -> Table {
    Table { name, key }
}

/// All tables that are derived from the journal. Except for the row numbers in `entry_status`, they
/// are the same in every notebook that has the same entries, in whatever order those arrived.
pub(crate) const TABLES: &[Table] = &[
    table("entry_status", "n"),
    table("entry_link", "target, kind, source"),
    table("head", "device, hash"),
    table("device", "id"),
    table("casting", "id"),
    table("face", "id"),
    table("photo", "id"),
    table("removed_photo", "id"),
    table("hole", "id"),
    table("mark", "photo, hole"),
];

/// Empties the derived tables and fills them from the journal. The caller holds the transaction.
pub(crate) fn rebuild(conn: &Connection) -> Result<(), Fault> {
    for table in TABLES {
        conn.execute_batch(&format!("DELETE FROM {}", table.name))?;
    }
    let mut dirty = BTreeSet::new();
    let mut inserter = EntryInserter::new(conn)?;
    let mut statement = conn.prepare("SELECT n, line FROM entry ORDER BY device, seq")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let line = Line::read(row.get(1)?).map_err(Fault::unreadable)?;
        inserter.restore(row.get(0)?, &line.into(), &mut dirty)?;
    }
    inserter.finish(&mut dirty)?;
    projection::update(conn, dirty)?;
    settings::write(
        conn,
        SettingName::ProjectionVersion,
        &PROJECTION_VERSION.to_string(),
    )
}
