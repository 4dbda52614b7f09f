//! Builds every table but the journal from the journal alone.

use super::entry::Line;
use super::error::Fault;
use super::intake::Intake;
use super::now;
use super::schema::WORKED_OUT;
use super::settings::{self, Name};
use rusqlite::Connection;
use std::collections::BTreeSet;

/// A table that is worked out, and the columns that tell its rows apart.
pub(crate) struct Table {
    /// Its name.
    pub name: &'static str,
    /// What its rows are ordered by.
    pub key: &'static str,
}

const fn table(name: &'static str, key: &'static str) -> Table {
    Table { name, key }
}

/// Every table that is worked out. But for the numbers in `said`, they are the same in every notebook that has the same
/// entries, in whatever order those came.
pub(crate) const TABLES: &[Table] = &[
    table("said", "n"),
    table("edge", "target, act, source"),
    table("head", "device, hash"),
    table("device_now", "id"),
    table("casting_now", "id"),
    table("face_now", "id"),
    table("photo_now", "id"),
    table("hole_now", "id"),
    table("mark_now", "photo, hole"),
];

/// Empties the tables that are worked out, and works them out from the journal. The caller holds the transaction.
pub(crate) fn rebuild(conn: &Connection) -> Result<(), Fault> {
    for table in TABLES {
        conn.execute_batch(&format!("DELETE FROM {}", table.name))?;
    }
    let mut dirty = BTreeSet::new();
    let mut intake = Intake::new(conn)?;
    let mut statement = conn.prepare("SELECT n, line FROM entry ORDER BY device, seq")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let line = Line::read(row.get(1)?).map_err(Fault::unreadable)?;
        intake.restore(row.get(0)?, &line.into(), &mut dirty)?;
    }
    intake.end(&mut dirty)?;
    now::work_out(conn, dirty)?;
    settings::write(conn, Name::WorkedOut, &WORKED_OUT.to_string())
}
