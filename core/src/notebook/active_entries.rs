//! Works out which entries are active: neither struck out nor replaced. The result depends on the
//! entries' ids alone, so that entries may arrive in any order.
//!
//! An entry is *struck out* if a strike-out names it; a strike-out itself cannot be struck out or
//! replaced. An entry is *replaced* if a later entry of the same kind about the same subject names
//! it, and that later entry is not struck out, or is itself replaced. (If B replaces A, and C
//! replaces B, then striking out B does not bring A back: the person who recorded C knew both.) "Later"
//! means a greater id; a writer's ids are greater than all that it has seen, so there are no
//! cycles. A kind's older names count as the kind.

use super::entry_kind::EntryKind;
use super::error::Fault;
use super::id::EntryId;
use super::row_number::row_numbers;
use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

/// What the source entry of a link does to its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum LinkKind {
    StrikeOut = 0,
    Replace = 1,
    /// An amount was worked out from the target; this changes neither entry's status.
    RestsOn = 2,
}

/// An entry whose status changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Changed {
    pub kind: String,
    pub subject: Uuid,
    pub slot: Option<Uuid>,
}

/// Stores that `source` strikes out, replaces or rests on `target`, which may not be here yet.
pub(crate) fn insert_link(
    conn: &Connection,
    source: EntryId,
    kind: LinkKind,
    target: EntryId,
) -> Result<(), Fault> {
    let sql = "INSERT OR IGNORE INTO entry_link (target, kind, source) VALUES (?1, ?2, ?3)";
    conn.prepare_cached(sql)?
        .execute(params![target.0, kind as i64, source.0])?;
    Ok(())
}

/// Updates the status of `first` and of all entries that depend on it. Returns those that changed.
pub(crate) fn update_statuses(
    conn: &Connection,
    first: Vec<EntryId>,
) -> Result<Vec<Changed>, Fault> {
    let mut changed = Vec::new();
    let mut waiting = first;
    while let Some(id) = waiting.pop() {
        let Some(row) = find(conn, id)? else { continue };
        let (struck_out, replaced) = status_of(conn, id, &row)?;
        if (struck_out, replaced) == (row.struck_out, row.replaced) {
            continue;
        }
        conn.prepare_cached("UPDATE entry_status SET struck_out = ?2, replaced = ?3 WHERE n = ?1")?
            .execute(params![row.n, struck_out, replaced])?;
        if is_effective(struck_out, replaced) != is_effective(row.struck_out, row.replaced) {
            waiting.extend(replaced_targets(conn, id)?);
        }
        changed.push(Changed {
            kind: row.kind,
            subject: row.subject,
            slot: row.slot,
        });
    }
    Ok(changed)
}

/// Returns whether the entries that an entry names are replaced by it.
fn is_effective(struck_out: bool, replaced: bool) -> bool {
    !struck_out || replaced
}

/// Returns the subjects of the entries that rest on an entry about a subject, each once.
pub(crate) fn subjects_resting_on(conn: &Connection, subject: Uuid) -> Result<Vec<Uuid>, Fault> {
    let numbers = row_numbers(conn, subject)?;
    let mut statement = conn.prepare_cached(
        "SELECT DISTINCT d.subject FROM entry e
         JOIN entry_link l ON l.target = e.id AND l.kind = 2 JOIN entry d ON d.id = l.source
         WHERE e.n BETWEEN ?1 AND ?2",
    )?;
    let range = [numbers.start(), numbers.end()];
    let subjects = statement.query_map(range, |row| row.get(0))?;
    Ok(subjects.collect::<Result<_, _>>()?)
}

/// Returns those of `ids` that some link names as its target. Both sides are walked in order, so
/// that long runs of entries without links cost one lookup.
pub(crate) fn with_links(conn: &Connection, mut ids: Vec<EntryId>) -> Result<Vec<EntryId>, Fault> {
    ids.sort_unstable();
    let mut statement = conn.prepare_cached(
        "SELECT target FROM entry_link WHERE target >= ?1 ORDER BY target LIMIT 1",
    )?;
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
    struck_out: bool,
    replaced: bool,
}

/// Finds an entry with its status; `None` if it is not here.
fn find(conn: &Connection, id: EntryId) -> Result<Option<Row>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT e.n, s.kind, e.subject, s.slot, s.struck_out, s.replaced
         FROM entry e JOIN entry_status s ON s.n = e.n WHERE e.id = ?1",
    )?;
    let row = statement.query_row([id.0], |row| {
        Ok(Row {
            n: row.get(0)?,
            kind: row.get(1)?,
            subject: row.get(2)?,
            slot: row.get(3)?,
            struck_out: row.get(4)?,
            replaced: row.get(5)?,
        })
    });
    Ok(row.optional()?)
}

/// Returns whether an entry is struck out, and whether it is replaced.
fn status_of(conn: &Connection, id: EntryId, row: &Row) -> Result<(bool, bool), Fault> {
    if row.kind == EntryKind::StrikeOut.name() {
        return Ok((false, false));
    }
    let mut struck_out =
        conn.prepare_cached("SELECT 1 FROM entry_link WHERE target = ?1 AND kind = 0 LIMIT 1")?;
    let mut replaced = conn.prepare_cached(
        "SELECT 1 FROM entry_link l JOIN entry e ON e.id = l.source
         JOIN entry_status s ON s.n = e.n
         WHERE l.target = ?1 AND l.kind = 1 AND l.source > ?1 AND e.subject = ?2 AND s.kind = ?3
         AND (NOT s.struck_out OR s.replaced) LIMIT 1",
    )?;
    Ok((
        struck_out.exists([id.0])?,
        replaced.exists(params![id.0, row.subject, row.kind])?,
    ))
}

fn replaced_targets(conn: &Connection, source: EntryId) -> Result<Vec<EntryId>, Fault> {
    let mut statement =
        conn.prepare_cached("SELECT target FROM entry_link WHERE source = ?1 AND kind = 1")?;
    let targets = statement.query_map([source.0], |row| row.get(0).map(EntryId))?;
    Ok(targets.collect::<Result<_, _>>()?)
}
