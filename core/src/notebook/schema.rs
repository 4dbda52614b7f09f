//! The layout of the database file, and its migrations.
//!
//! A released `schema/vN.sql` is never edited. A change is a new file at the end of [`STEPS`], and
//! a stored notebook of the layout before it joins the tests.

use super::error::Fault;
use super::finding::Finding;
use super::projection::PROJECTION_VERSION;
use super::rebuild;
use rusqlite::{Connection, Transaction};
use std::collections::{BTreeMap, BTreeSet};

/// "Hole" in ASCII, in the file's header: identifies a notebook among SQLite files.
pub(crate) const APPLICATION_ID: i64 = 0x486f_6c65;

/// The migrations: step N leads from layout N to layout N + 1; layout 0 is a new file.
const STEPS: &[&str] = &[
    include_str!("schema/v1.sql"),
    include_str!("schema/v2.sql"),
    include_str!("schema/v3.sql"),
    include_str!("schema/v4.sql"),
    include_str!("schema/v5.sql"),
    include_str!("schema/v6.sql"),
];

/// The layout that this version writes.
pub(crate) const LAYOUT: i64 = STEPS.len() as i64;

/// Migrates the file to this version's layout, all or nothing.
pub(crate) fn migrate(tx: &Transaction<'_>) -> Result<(), Fault> {
    let found = layout(tx)?;
    if found > LAYOUT {
        return Err(Fault::Newer {
            theirs: found,
            ours: LAYOUT,
        });
    }
    if found < LAYOUT {
        tracing::info!(found, current = LAYOUT, "migrating the notebook");
    }
    for step in &STEPS[usize::try_from(found).map_err(Fault::unreadable)?..] {
        tx.execute_batch(step)
            .map_err(|error| wrong_layout(found, error))?;
    }
    if found < LAYOUT {
        tx.pragma_update(None, "application_id", APPLICATION_ID)?;
        tx.pragma_update(None, "user_version", LAYOUT)?;
    }
    if found < LAYOUT || projection_version(tx)? != Some(PROJECTION_VERSION) {
        rebuild::rebuild(tx)?;
    }
    Ok(())
}

/// Names the cause if a step does not fit the tables that are there: the layout number is wrong.
fn wrong_layout(found: i64, error: rusqlite::Error) -> Fault {
    match error {
        rusqlite::Error::SqlInputError { .. } => Fault::Unreadable(format!(
            "its layout number is {found}, but its tables are of another layout"
        )),
        _ => error.into(),
    }
}

/// Returns whether nothing is left to migrate or rebuild. Writes nothing.
pub(crate) fn is_up_to_date(conn: &Connection) -> Result<bool, Fault> {
    Ok(layout(conn)? == LAYOUT && projection_version(conn)? == Some(PROJECTION_VERSION))
}

/// Returns the layout of a file; 0 if it is new.
pub(crate) fn layout(conn: &Connection) -> Result<i64, Fault> {
    Ok(conn.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

fn projection_version(conn: &Connection) -> Result<Option<i64>, Fault> {
    Ok(
        super::settings::read(conn, super::settings::SettingName::ProjectionVersion)?
            .and_then(|text| text.parse().ok()),
    )
}

/// Returns what is missing, different or not ours among the tables, indexes, views and triggers.
pub(crate) fn differences(conn: &Connection) -> Result<Vec<Finding>, Fault> {
    let ours = Connection::open_in_memory()?;
    for step in STEPS {
        ours.execute_batch(step)?;
    }
    let (ours, found) = (objects(&ours)?, objects(conn)?);
    let difference = |name: &String| match (ours.get(name), found.get(name)) {
        (Some(_), None) => Some("is missing"),
        (None, Some(_)) => Some("is not one of this program's"),
        (ours, found) if ours != found => Some("is not as this program makes it"),
        _ => None,
    };
    let names: BTreeSet<&String> = ours.keys().chain(found.keys()).collect();
    let findings = names.into_iter().filter_map(|name| {
        let detail = difference(name)?.to_owned();
        let name = name.clone();
        Some(Finding::Schema { name, detail })
    });
    Ok(findings.collect())
}

/// Returns the SQL of each table, index, view and trigger by its type and name. Spaces and quotes
/// are left out: versions of SQLite differ in them when a table was renamed.
fn objects(conn: &Connection) -> Result<BTreeMap<String, String>, Fault> {
    let sql = "SELECT type || ' ' || name, sql FROM sqlite_schema WHERE sql IS NOT NULL";
    let mut statement = conn.prepare(sql)?;
    let rows = statement.query_map([], |row| {
        let sql: String = row.get(1)?;
        let plain = |letter: &char| !letter.is_whitespace() && *letter != '"';
        Ok((row.get(0)?, sql.chars().filter(plain).collect()))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

/// Creates an earlier layout.
#[cfg(test)]
pub(crate) fn create_layout(conn: &Connection, layout: usize) {
    for step in &STEPS[..layout] {
        conn.execute_batch(step)
            .expect("a released layout can be created");
    }
    conn.pragma_update(None, "application_id", APPLICATION_ID)
        .expect("the header can be written");
    conn.pragma_update(None, "user_version", layout as i64)
        .expect("the header can be written");
}
