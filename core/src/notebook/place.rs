//! Where entries lie in the database: those about one thing lie together.

use super::error::Fault;
use rusqlite::{Connection, OptionalExtension};
use std::ops::RangeInclusive;
use uuid::Uuid;

/// How many entries one thing can have.
const SPAN: i64 = 1 << 24;

/// The numbers that entries about a thing can have. Things are counted from 1, so the range of one that is not here has none.
pub(crate) fn of(conn: &Connection, subject: Uuid) -> Result<RangeInclusive<i64>, Fault> {
    Ok(range(find(conn, subject)?.unwrap_or(0)))
}

/// The number for one more entry about a thing.
pub(crate) fn next(conn: &Connection, subject: Uuid) -> Result<i64, Fault> {
    let Some(thing) = find(conn, subject)? else {
        conn.prepare_cached("INSERT INTO thing (id) VALUES (?1)")?
            .execute([subject])?;
        return Ok(*range(conn.last_insert_rowid()).start());
    };
    let range = range(thing);
    let mut statement =
        conn.prepare_cached("SELECT max(n) FROM entry WHERE n BETWEEN ?1 AND ?2")?;
    let last: Option<i64> = statement.query_row([range.start(), range.end()], |row| row.get(0))?;
    let next = last.map_or(*range.start(), |last| last + 1);
    if range.contains(&next) {
        return Ok(next);
    }
    let why = format!(
        "there are {SPAN} entries about {subject}, and no more can be kept; write about something else"
    );
    Err(Fault::unfit(why))
}

fn find(conn: &Connection, subject: Uuid) -> Result<Option<i64>, Fault> {
    let mut statement = conn.prepare_cached("SELECT k FROM thing WHERE id = ?1")?;
    Ok(statement
        .query_row([subject], |row| row.get(0))
        .optional()?)
}

fn range(thing: i64) -> RangeInclusive<i64> {
    thing * SPAN..=thing * SPAN + (SPAN - 1)
}
