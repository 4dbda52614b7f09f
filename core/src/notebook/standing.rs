//! What stands: which entries are struck or replaced, worked out so that entries may come in any order.
//!
//! An entry is *struck* where a strike names it; a strike itself cannot be struck or replaced. It is *replaced* where
//! a later entry of the same kind about the same subject names it, and that later entry is not struck, or is replaced
//! itself. (Where B replaced A, and C replaced B, striking B does not bring A back: C was said in knowledge of both.)
//! "Later" means a greater id; a writer's ids are greater than all that it has seen, so nothing can replace in a ring.

use super::error::Fault;
use super::id::EntryId;
use super::kind::Kind;
use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

/// What a source entry does to its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Act {
    /// Crosses it out.
    Strike = 0,
    /// Takes its place.
    Replace = 1,
}

/// An entry whose standing changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Changed {
    pub kind: String,
    pub subject: Uuid,
    pub slot: Option<Uuid>,
}

/// Notes that `source` acts on `target`, which may not be here yet.
pub(crate) fn draw(
    conn: &Connection,
    source: EntryId,
    act: Act,
    target: EntryId,
) -> Result<(), Fault> {
    conn.prepare_cached("INSERT OR IGNORE INTO edge (target, act, source) VALUES (?1, ?2, ?3)")?
        .execute(params![target.0, act as i64, source.0])?;
    Ok(())
}

/// Works out the standing of `first` anew, and of all that depends on it; gives those that changed.
pub(crate) fn settle(conn: &Connection, first: Vec<EntryId>) -> Result<Vec<Changed>, Fault> {
    let mut changed = Vec::new();
    let mut waiting = first;
    while let Some(id) = waiting.pop() {
        let Some(row) = find(conn, id)? else { continue };
        let (struck, replaced) = work_out(conn, id, &row)?;
        if (struck, replaced) == (row.struck, row.replaced) {
            continue;
        }
        conn.prepare_cached("UPDATE said SET struck = ?2, replaced = ?3 WHERE n = ?1")?
            .execute(params![row.n, struck, replaced])?;
        if counts(struck, replaced) != counts(row.struck, row.replaced) {
            waiting.extend(replaced_by(conn, id)?);
        }
        changed.push(Changed {
            kind: row.kind,
            subject: row.subject,
            slot: row.slot,
        });
    }
    Ok(changed)
}

/// Whether what the entry replaces is replaced by it.
fn counts(struck: bool, replaced: bool) -> bool {
    !struck || replaced
}

/// Those of `ids` that an entry here acts on. Both sides are gone through in order, so that of long stretches which nothing
/// acts on none is looked up.
pub(crate) fn acted_on(conn: &Connection, mut ids: Vec<EntryId>) -> Result<Vec<EntryId>, Fault> {
    ids.sort_unstable();
    let mut statement =
        conn.prepare_cached("SELECT target FROM edge WHERE target >= ?1 ORDER BY target LIMIT 1")?;
    let mut found = Vec::new();
    let mut target = None;
    for id in ids {
        if target.is_none_or(|target| target < id) {
            let next = statement.query_row([id.0], |row| row.get(0).map(EntryId));
            match next.optional()? {
                Some(next) => target = Some(next),
                None => break,
            }
        }
        if target == Some(id) {
            found.push(id);
        }
    }
    Ok(found)
}

struct Row {
    n: i64,
    kind: String,
    subject: Uuid,
    slot: Option<Uuid>,
    struck: bool,
    replaced: bool,
}

/// How an entry takes part; none where it is not here.
fn find(conn: &Connection, id: EntryId) -> Result<Option<Row>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT e.n, e.kind, e.subject, s.slot, s.struck, s.replaced
         FROM entry e JOIN said s ON s.n = e.n WHERE e.id = ?1",
    )?;
    let row = statement.query_row([id.0], |row| {
        Ok(Row {
            n: row.get(0)?,
            kind: row.get(1)?,
            subject: row.get(2)?,
            slot: row.get(3)?,
            struck: row.get(4)?,
            replaced: row.get(5)?,
        })
    });
    Ok(row.optional()?)
}

fn work_out(conn: &Connection, id: EntryId, row: &Row) -> Result<(bool, bool), Fault> {
    if row.kind == Kind::Strike.word() {
        return Ok((false, false));
    }
    let mut struck =
        conn.prepare_cached("SELECT 1 FROM edge WHERE target = ?1 AND act = 0 LIMIT 1")?;
    let mut replaced = conn.prepare_cached(
        "SELECT 1 FROM edge g JOIN entry e ON e.id = g.source JOIN said s ON s.n = e.n
         WHERE g.target = ?1 AND g.act = 1 AND g.source > ?1 AND e.subject = ?2 AND e.kind = ?3
         AND (NOT s.struck OR s.replaced) LIMIT 1",
    )?;
    Ok((
        struck.exists([id.0])?,
        replaced.exists(params![id.0, row.subject, row.kind])?,
    ))
}

fn replaced_by(conn: &Connection, source: EntryId) -> Result<Vec<EntryId>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT target FROM edge WHERE source = ?1 AND act = 1")?;
    let targets = statement.query_map([source.0], |row| row.get(0).map(EntryId))?;
    Ok(targets.collect::<Result<_, _>>()?)
}
