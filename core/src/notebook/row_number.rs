//! Row numbers of entries in the database: entries about one subject get neighboring numbers.

use super::error::Fault;
use rusqlite::{Connection, OptionalExtension};
use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::ops::RangeInclusive;
use uuid::Uuid;

/// How many entries one subject can have.
const SPAN: i64 = 1 << 24;

/// Returns the numbers that entries about a subject can have. Subjects are numbered from 1, so that
/// no entry is in the range of a subject that is not here.
pub(crate) fn row_numbers(conn: &Connection, subject: Uuid) -> Result<RangeInclusive<i64>, Fault> {
    Ok(range(find(conn, subject)?.unwrap_or(0)))
}

/// Assigns row numbers to new entries. Nobody else may write entries meanwhile.
#[derive(Debug, Default)]
pub(crate) struct RowNumbers {
    free: HashMap<Uuid, Free>,
}

/// The numbers that a subject has not used yet.
#[derive(Debug)]
struct Free {
    next: i64,
    last: i64,
}

impl RowNumbers {
    /// Returns the number for one more entry about a subject; never the same one twice.
    pub(crate) fn next(&mut self, conn: &Connection, subject: Uuid) -> Result<i64, Fault> {
        let free = match self.free.entry(subject) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(unknown) => unknown.insert(free(conn, subject)?),
        };
        let next = free.next;
        if next > free.last {
            let why = format!(
                "there are {SPAN} entries about {subject}, the most that can be kept; \
                 record this about something else"
            );
            return Err(Fault::invalid(why));
        }
        free.next += 1;
        Ok(next)
    }
}

fn free(conn: &Connection, subject: Uuid) -> Result<Free, Fault> {
    let Some(number) = find(conn, subject)? else {
        conn.prepare_cached("INSERT INTO subject (id) VALUES (?1)")?
            .execute([subject])?;
        let (next, last) = range(conn.last_insert_rowid()).into_inner();
        return Ok(Free { next, last });
    };
    let (first, last) = range(number).into_inner();
    let mut statement =
        conn.prepare_cached("SELECT max(n) FROM entry WHERE n BETWEEN ?1 AND ?2")?;
    let used: Option<i64> = statement.query_row([first, last], |row| row.get(0))?;
    Ok(Free {
        next: used.map_or(first, |used| used + 1),
        last,
    })
}

fn find(conn: &Connection, subject: Uuid) -> Result<Option<i64>, Fault> {
    let mut statement = conn.prepare_cached("SELECT number FROM subject WHERE id = ?1")?;
    Ok(statement
        .query_row([subject], |row| row.get(0))
        .optional()?)
}

fn range(subject: i64) -> RangeInclusive<i64> {
    subject * SPAN..=subject * SPAN + (SPAN - 1)
}
