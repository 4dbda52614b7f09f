//! Loads the active entries about one subject.

use super::body::{CastingBody, MarkBody};
use super::entry_kind::{Body, EntryKind, load_into_face, load_into_hole};
use super::error::Fault;
use super::facts::{FaceFacts, HoleFacts, recorded};
use super::id::{CastingId, FaceId, HoleId, PhotoId};
use super::limits;
use super::place_changes;
use super::row_number::row_numbers;
use crate::hole::record::FactEntries;
use crate::strength::Metal;
use rusqlite::Connection;
use uuid::Uuid;

/// Loads a hole.
pub(crate) fn hole(conn: &Connection, hole: HoleId) -> Result<HoleFacts, Fault> {
    let mut facts = HoleFacts::default();
    let unknown = for_each_active(conn, hole.0, |kind, line| {
        load_into_hole(&mut facts, kind, line)
    })?;
    facts.unknown_entries = unknown;
    facts.record.place_changes = place_changes::of(conn, hole, &facts.record.damage)?;
    Ok(facts)
}

/// Loads a face.
pub(crate) fn face(conn: &Connection, face: FaceId) -> Result<FaceFacts, Fault> {
    let mut facts = FaceFacts::default();
    for_each_active(conn, face.0, |kind, line| {
        load_into_face(&mut facts, kind, line)
    })?;
    facts.record.cut_changes = place_changes::of_cut(conn, face, &facts.record.planned_cut)?;
    Ok(facts)
}

/// Loads a face, with its casting's name and metal, and the shop's limits.
pub(crate) fn face_on_casting(conn: &Connection, id: FaceId) -> Result<FaceFacts, Fault> {
    let mut facts = face(conn, id)?;
    if let Some(details) = facts.details.0.first() {
        let casting = casting(conn, details.body.casting)?;
        facts.casting_name = casting.0.first().map(|first| first.body.name.clone());
        facts.record.metal = metal(&casting);
        facts.record.limits = limits::in_force(conn)?;
    }
    Ok(facts)
}

/// Returns the casting's metal if all active entries agree on it.
fn metal(casting: &FactEntries<CastingBody>) -> Option<Metal> {
    let (first, rest) = casting.0.split_first()?;
    let agreed = rest
        .iter()
        .all(|other| other.body.metal == first.body.metal);
    first.body.metal.filter(|_| agreed)
}

/// Loads a casting.
pub(crate) fn casting(
    conn: &Connection,
    casting: CastingId,
) -> Result<FactEntries<CastingBody>, Fault> {
    entries(conn, casting.0)
}

/// Loads the active entries of one kind about a subject, in the order of their ids.
pub(crate) fn entries<T: Body>(conn: &Connection, subject: Uuid) -> Result<FactEntries<T>, Fault> {
    let mut found = FactEntries::default();
    for_each_active(conn, subject, |kind, line| {
        if kind == T::KIND {
            found.0.push(recorded(line)?);
        }
        Ok(())
    })?;
    Ok(found)
}

/// Loads a hole's marks in one photo.
pub(crate) fn marks(
    conn: &Connection,
    hole: HoleId,
    photo: PhotoId,
) -> Result<FactEntries<MarkBody>, Fault> {
    let mut marks = entries::<MarkBody>(conn, hole.0)?;
    marks.0.retain(|mark| mark.body.photo == photo);
    Ok(marks)
}

/// Calls `with` for each active entry about `subject` that is understood, in the order of their
/// ids, and returns how many active entries are not understood. That order is the same on every
/// device, and an entry comes after all that its writer knew of.
fn for_each_active(
    conn: &Connection,
    subject: Uuid,
    mut with: impl FnMut(EntryKind, &str) -> Result<(), Fault>,
) -> Result<u32, Fault> {
    let numbers = row_numbers(conn, subject)?;
    let mut statement = conn.prepare_cached(
        "SELECT e.id, s.understood, s.kind, e.line FROM entry_status s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND NOT s.struck_out AND NOT s.replaced",
    )?;
    let mut rows = statement.query([numbers.start(), numbers.end()])?;
    let mut active: Vec<(Uuid, EntryKind, String)> = Vec::new();
    let mut unknown = 0;
    while let Some(row) = rows.next()? {
        let name = row.get_ref(2)?.as_str().map_err(Fault::unreadable)?;
        match EntryKind::from_name(name) {
            Some(kind) if row.get(1)? => active.push((row.get(0)?, kind, row.get(3)?)),
            _ => unknown += 1,
        }
    }
    // Usually they are in that order already.
    active.sort_unstable_by_key(|(id, ..)| *id);
    for (_, kind, line) in &active {
        with(*kind, line)?;
    }
    Ok(unknown)
}
