//! The layout of the database file, and the way from each earlier layout to this one.
//!
//! A released `schema/vN.sql` is never edited; a change is a new file at the end of [`STEPS`], and a stored notebook
//! of the layout before it joins the tests.

use super::error::Fault;
use super::rebuild;
use rusqlite::{Connection, Transaction};

/// "Hole" in ASCII, in the file's header: tells a notebook from other SQLite files.
pub(crate) const APPLICATION_ID: i64 = 0x486f_6c65;

/// Each step leads from the layout of its place (0, a new file, first) to the next.
const STEPS: &[&str] = &[include_str!("schema/v1.sql"), include_str!("schema/v2.sql")];

/// The layout that this version writes.
pub(crate) const LAYOUT: i64 = STEPS.len() as i64;

/// Which way the tables are worked out. To be raised by one whenever the same entries give other rows than before (a
/// kind is added, a body reads differently, the hole room judges a state differently), so that they are built anew.
pub(crate) const WORKED_OUT: i64 = 2;

/// Brings the file to this version's layout, all of it or nothing.
pub(crate) fn bring_up_to_date(tx: &Transaction<'_>) -> Result<(), Fault> {
    let found = layout(tx)?;
    if found > LAYOUT {
        return Err(Fault::Newer(found));
    }
    for step in &STEPS[usize::try_from(found).map_err(Fault::unreadable)?..] {
        tx.execute_batch(step)?;
    }
    if found < LAYOUT {
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(None, "user_version", LAYOUT)?;
    }
    if found < LAYOUT || worked_out(tx)? != Some(WORKED_OUT) {
        rebuild::rebuild(tx)?;
    }
    Ok(())
}

/// Whether nothing needs to be done, found without writing.
pub(crate) fn is_up_to_date(conn: &Connection) -> Result<bool, Fault> {
    Ok(layout(conn)? == LAYOUT && worked_out(conn)? == Some(WORKED_OUT))
}

/// The layout a file has; 0 where it is new.
pub(crate) fn layout(conn: &Connection) -> Result<i64, Fault> {
    Ok(conn.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

fn worked_out(conn: &Connection) -> Result<Option<i64>, Fault> {
    Ok(
        super::settings::read(conn, super::settings::Name::WorkedOut)?
            .and_then(|text| text.parse().ok()),
    )
}

#[cfg(test)]
pub(crate) fn lay_out_as(conn: &Connection, layout: usize) {
    for step in &STEPS[..layout] {
        conn.execute_batch(step)
            .expect("a released layout can be laid out");
    }
    conn.pragma_update(None, "application_id", APPLICATION_ID)
        .expect("the header can be written");
    conn.pragma_update(None, "user_version", layout as i64)
        .expect("the header can be written");
}
