//! Where entries lie in the database: those about one thing lie together.

use super::error::Fault;
use rusqlite::{Connection, OptionalExtension};
use std::ops::RangeInclusive;
use uuid::Uuid;

/// How many entries one thing can have.
const SPAN: i64 = 1 << 24;

/// The numbers of the entries about a thing; an empty range where there are none.
pub(crate) fn of(conn: &Connection, subject: Uuid) -> Result<RangeInclusive<i64>, Fault> {
    let mut statement = conn.prepare_cached("SELECT k FROM thing WHERE id = ?1")?;
    let k: Option<i64> = statement
        .query_row([subject], |row| row.get(0))
        .optional()?;
    Ok(k.map_or(1..=0, range_of))
}

/// The number for one more entry about a thing.
pub(crate) fn next(conn: &Connection, subject: Uuid) -> Result<i64, Fault> {
    let range = of(conn, subject)?;
    if range.is_empty() {
        conn.prepare_cached("INSERT INTO thing (id) VALUES (?1)")?
            .execute([subject])?;
        return Ok(*range_of(conn.last_insert_rowid()).start());
    }
    let mut statement =
        conn.prepare_cached("SELECT max(n) FROM entry WHERE n BETWEEN ?1 AND ?2")?;
    let last: Option<i64> = statement.query_row([range.start(), range.end()], |row| row.get(0))?;
    let next = last.map_or(*range.start(), |last| last + 1);
    match range.contains(&next) {
        true => Ok(next),
        false => Err(Fault::unfit(format!(
            "there are {SPAN} entries about {subject}, and no more can be kept; write about something else"
        ))),
    }
}

fn range_of(k: i64) -> RangeInclusive<i64> {
    k * SPAN..=k * SPAN + (SPAN - 1)
}
