//! What the writer of an entry has seen of other devices' entries.

use super::entry::Entry;
use super::entry_kind::EntryKind;
use super::error::Fault;
use super::id::{DeviceId, EntryId, Seen};
use super::row_number::row_numbers;
use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

/// The largest number of devices that an entry lists. An entry of a device that is not listed counts
/// as not seen, which only makes people check once more.
const MOST_DEVICES: u32 = 100;

/// Returns the last known entry of each device but `writer` among those about a subject, and about
/// the face and casting that it belongs to; for a bolt also about all other holes of its joint. Takes
/// as long as there are entries about those.
pub(super) fn by_writer(
    conn: &Connection,
    writer: DeviceId,
    subject: Uuid,
    kind: EntryKind,
) -> Result<Vec<Seen>, Fault> {
    let mut seen: Vec<Seen> = Vec::new();
    let mut subjects = with_parents(conn, subject)?;
    if kind == EntryKind::BoltTightened {
        subjects.extend(other_holes(conn, subject)?);
    }
    for about in subjects {
        for new in about_subject(conn, writer, about)? {
            match seen.iter_mut().find(|known| known.device == new.device) {
                Some(known) => known.seq = known.seq.max(new.seq),
                None => seen.push(new),
            }
        }
    }
    seen.sort_unstable();
    Ok(seen)
}

/// Returns what the correction of an entry says that it has seen; see [`as_of`].
pub(super) fn by_writer_of(
    conn: &Connection,
    writer: DeviceId,
    wrong: EntryId,
) -> Result<(Vec<Seen>, Option<Seen>), Fault> {
    let mut statement = conn.prepare_cached("SELECT line FROM entry WHERE id = ?1")?;
    let line: Option<String> = statement
        .query_row([wrong.0], |row| row.get(0))
        .optional()?;
    let line = line.ok_or_else(|| Fault::no_such("entry", wrong))?;
    let wrong: Entry = serde_json::from_str(&line).map_err(Fault::unreadable)?;
    Ok(as_of(&wrong, writer))
}

/// Returns what the writer of an entry had seen, and the place of that entry, for an entry that
/// `writer` records in its place. The new entry's own device is listed too, since its place among
/// that device's entries says nothing about when the value was measured.
pub(super) fn as_of(entry: &Entry, writer: DeviceId) -> (Vec<Seen>, Option<Seen>) {
    let mut seen = entry.seen.clone();
    let before = [(entry.device, entry.seq.saturating_sub(1)), (writer, 0)];
    for (device, seq) in before {
        if !seen.iter().any(|known| known.device == device) {
            seen.push(Seen { device, seq });
        }
    }
    seen.sort_unstable();
    let place = Seen {
        device: entry.device,
        seq: entry.seq,
    };
    (seen, Some(entry.corrects.unwrap_or(place)))
}

/// Returns a subject, the face that it is in if it is a hole, and the casting.
fn with_parents(conn: &Connection, subject: Uuid) -> Result<Vec<Uuid>, Fault> {
    let parent = |sql: &str, id: Uuid| -> Result<Option<Uuid>, Fault> {
        let mut statement = conn.prepare_cached(sql)?;
        Ok(statement.query_row([id], |row| row.get(0)).optional()?)
    };
    let face = parent("SELECT face FROM hole WHERE id = ?1", subject)?;
    let casting = parent(
        "SELECT casting FROM face WHERE id = ?1",
        face.unwrap_or(subject),
    )?;
    Ok([Some(subject), face, casting]
        .into_iter()
        .flatten()
        .collect())
}

/// Returns the other holes of the face that a hole is in.
fn other_holes(conn: &Connection, hole: Uuid) -> Result<Vec<Uuid>, Fault> {
    let sql = "SELECT id FROM hole WHERE face = (SELECT face FROM hole WHERE id = ?1) AND id <> ?1";
    let mut statement = conn.prepare_cached(sql)?;
    let holes = statement.query_map([hole], |row| row.get(0))?;
    Ok(holes.collect::<Result<_, _>>()?)
}

fn about_subject(conn: &Connection, writer: DeviceId, about: Uuid) -> Result<Vec<Seen>, Fault> {
    let numbers = row_numbers(conn, about)?;
    let mut statement = conn.prepare_cached(
        "SELECT device, max(seq) FROM entry WHERE n BETWEEN ?1 AND ?2 AND device <> ?3
         GROUP BY device LIMIT ?4",
    )?;
    let range = params![numbers.start(), numbers.end(), writer.0, MOST_DEVICES];
    let seen = statement.query_map(range, |row| {
        let seq: i64 = row.get(1)?;
        Ok(Seen {
            device: DeviceId(row.get(0)?),
            seq: seq.unsigned_abs(),
        })
    })?;
    Ok(seen.collect::<Result<_, _>>()?)
}
