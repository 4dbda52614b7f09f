//! Where entries lie in the database: those about one thing lie together.

use super::error::Fault;
use rusqlite::{Connection, OptionalExtension};
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::ops::RangeInclusive;
use uuid::Uuid;

/// How many entries one thing can have.
const SPAN: i64 = 1 << 24;

/// The numbers that entries about a thing can have. Things are counted from 1, so the range of one that is not here has none.
pub(crate) fn of(conn: &Connection, subject: Uuid) -> Result<RangeInclusive<i64>, Fault> {
    Ok(range(find(conn, subject)?.unwrap_or(0)))
}

/// Gives out the numbers for more entries. Nobody else may write entries meanwhile.
#[derive(Debug, Default)]
pub(crate) struct Places {
    free: HashMap<Uuid, Free>,
}

/// The numbers that a thing has not used.
#[derive(Debug)]
struct Free {
    next: i64,
    last: i64,
}

impl Places {
    /// The number for one more entry about a thing; never the same twice.
    pub(crate) fn next(&mut self, conn: &Connection, subject: Uuid) -> Result<i64, Fault> {
        let free = match self.free.entry(subject) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(unknown) => unknown.insert(free(conn, subject)?),
        };
        let next = free.next;
        if next > free.last {
            let why = format!(
                "there are {SPAN} entries about {subject}, and no more can be kept; write about something else"
            );
            return Err(Fault::unfit(why));
        }
        free.next += 1;
        Ok(next)
    }
}

fn free(conn: &Connection, subject: Uuid) -> Result<Free, Fault> {
    let Some(thing) = find(conn, subject)? else {
        conn.prepare_cached("INSERT INTO thing (id) VALUES (?1)")?
            .execute([subject])?;
        let (next, last) = range(conn.last_insert_rowid()).into_inner();
        return Ok(Free { next, last });
    };
    let (first, last) = range(thing).into_inner();
    let mut statement =
        conn.prepare_cached("SELECT max(n) FROM entry WHERE n BETWEEN ?1 AND ?2")?;
    let used: Option<i64> = statement.query_row([first, last], |row| row.get(0))?;
    Ok(Free {
        next: used.map_or(first, |used| used + 1),
        last,
    })
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
