//! What the damage of a hole was worked out from and does not hold any more.
//!
//! An entry that it names holds while it is here, in force, and no other one of its kind disagrees with
//! it. One of a kind that this version knows no place of counts as not here.
//! The place of another hole holds only while that hole is not graded off, unless a person chose the
//! good holes.

use super::body::HoleBody;
use super::entry_kind::{EntryBody, EntryKind, Role};
use super::error::Fault;
use super::id::{EntryId, FaceId, HoleId};
use super::load;
use super::row_number::row_numbers;
use super::write::active_entries;
use crate::hole::condition::FirstLook;
use crate::hole::damage::Damage;
use crate::hole::place_change::{ChangeKind, PlaceChange, PlaceFact};
use crate::hole::record::{FaceCut, FactEntries, Recorded};
use crate::places::centers::is_graded_off;
use rusqlite::{Connection, OptionalExtension, params};
use serde_json::Value;
use std::collections::BTreeSet;
use uuid::Uuid;

/// Returns the changes, each entry's once, in the order in which the damage names them. Takes as long
/// as there are entries named.
pub(super) fn of(
    conn: &Connection,
    hole: HoleId,
    damage: &FactEntries<Damage>,
) -> Result<Vec<PlaceChange>, Fault> {
    let mut changes = Vec::new();
    for described in &damage.0 {
        changes.extend(of_damage(conn, hole, described)?);
    }
    Ok(changes)
}

fn of_damage(
    conn: &Connection,
    hole: HoleId,
    described: &Recorded<Damage>,
) -> Result<Vec<PlaceChange>, Fault> {
    let named: BTreeSet<EntryId> = described.body.rests_on().collect();
    let mut facts = Vec::with_capacity(named.len());
    for id in named {
        facts.push(find(conn, id)?);
    }
    let chosen = facts
        .iter()
        .flatten()
        .any(|fact| fact.kind == Some(EntryKind::GoodHoles));
    let mut changes = Vec::new();
    for fact in facts {
        let changed = match &fact {
            None => Some((PlaceFact::Unknown, ChangeKind::NotHere)),
            Some(fact) if fact.fact() == PlaceFact::Unknown => {
                Some((PlaceFact::Unknown, ChangeKind::NotHere))
            }
            Some(fact) => fact.change(conn, (hole, chosen))?,
        };
        let Some((what, how)) = changed else { continue };
        let subject = fact
            .filter(|fact| fact.is_of_hole())
            .map(|fact| fact.subject);
        changes.push(PlaceChange {
            damage: described.entry,
            fact: what,
            hole: subject
                .map(|hole| number(conn, hole))
                .transpose()?
                .flatten(),
            how,
        });
    }
    Ok(changes)
}

/// Returns what the planned cuts of a face were taken from and does not hold any more: heights that
/// were struck out, have not come yet, or were added since.
pub(super) fn of_cut(
    conn: &Connection,
    face: FaceId,
    planned: &FactEntries<FaceCut>,
) -> Result<Vec<PlaceChange>, Fault> {
    let taken = planned
        .0
        .iter()
        .filter(|plan| !plan.body.rests_on.is_empty());
    let taken: Vec<&Recorded<FaceCut>> = taken.collect();
    if taken.is_empty() {
        return Ok(Vec::new());
    }
    let active = active_entries(conn, face.0, EntryKind::FaceHeights)?;
    let mut changes = Vec::new();
    for plan in taken {
        let named = &plan.body.rests_on;
        let gone = named.iter().any(|id| !active.contains(id));
        let added = active.iter().any(|id| !named.contains(id));
        let kinds = [(gone, ChangeKind::Removed), (added, ChangeKind::Changed)];
        let kinds = kinds.into_iter().filter(|(is, _)| *is);
        changes.extend(kinds.map(|(_, how)| PlaceChange {
            how,
            ..PlaceChange::of(plan.entry, PlaceFact::Heights)
        }));
    }
    Ok(changes)
}

/// An entry that is named, with its status.
struct Named {
    id: EntryId,
    subject: Uuid,
    kind: Option<EntryKind>,
    slot: Option<Uuid>,
    struck_out: bool,
    replaced: bool,
}

fn find(conn: &Connection, id: EntryId) -> Result<Option<Named>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT e.subject, s.kind, s.slot, s.struck_out, s.replaced
         FROM entry e JOIN entry_status s ON s.n = e.n WHERE e.id = ?1",
    )?;
    let named = statement.query_row([id.0], |row| {
        Ok(Named {
            id,
            subject: row.get(0)?,
            kind: EntryKind::from_name(&row.get::<_, String>(1)?),
            slot: row.get(2)?,
            struck_out: row.get(3)?,
            replaced: row.get(4)?,
        })
    });
    Ok(named.optional()?)
}

impl Named {
    fn fact(&self) -> PlaceFact {
        match self.kind {
            Some(EntryKind::WantedPattern) => PlaceFact::Pattern,
            Some(EntryKind::GoodHoles) => PlaceFact::GoodHoles,
            Some(EntryKind::Mark) => PlaceFact::Mark,
            Some(EntryKind::Hole) => PlaceFact::Place,
            Some(EntryKind::WantedThread | EntryKind::UsualThread) => PlaceFact::Thread,
            Some(EntryKind::KnownPlace) => PlaceFact::KnownPoint,
            Some(EntryKind::Photo) => PlaceFact::Photo,
            _ => PlaceFact::Unknown,
        }
    }

    fn is_of_hole(&self) -> bool {
        matches!(
            self.kind,
            Some(EntryKind::Mark | EntryKind::Hole | EntryKind::WantedThread)
        )
    }

    /// What changed; `None`: it holds. `own` is the hole that it is named for, and whether a person
    /// chose the good holes.
    fn change(
        &self,
        conn: &Connection,
        own: (HoleId, bool),
    ) -> Result<Option<(PlaceFact, ChangeKind)>, Fault> {
        if self.replaced {
            return Ok(Some((self.fact(), ChangeKind::Changed)));
        }
        if self.struck_out {
            return Ok(Some((self.fact(), ChangeKind::Removed)));
        }
        if self.is_disputed(conn)? {
            return Ok(Some((self.fact(), ChangeKind::InConflict)));
        }
        let (hole, chosen) = own;
        if self.kind != Some(EntryKind::Hole) || self.subject == hole.0 || chosen {
            return Ok(None);
        }
        let look = load::entries::<FirstLook>(conn, self.subject)?;
        let condition = look.agreed().map(|look| look.condition);
        let off = condition.filter(|condition| is_graded_off(Some(*condition)));
        Ok(off.map(|condition| (PlaceFact::Condition(condition), ChangeKind::Changed)))
    }

    /// Returns whether another entry that is in force says something else of the same fact.
    fn is_disputed(&self, conn: &Connection) -> Result<bool, Fault> {
        let Some(kind) = self.kind.filter(|kind| kind.role() == Role::Fact) else {
            return Ok(false);
        };
        let numbers = row_numbers(conn, self.subject)?;
        let mut statement = conn.prepare_cached(
            "SELECT e.id, e.line FROM entry_status s JOIN entry e ON e.n = s.n
             WHERE s.n BETWEEN ?1 AND ?2 AND s.kind = ?3 AND s.slot IS ?4
             AND s.understood AND NOT s.struck_out AND NOT s.replaced",
        )?;
        let range = params![numbers.start(), numbers.end(), kind.name(), self.slot];
        let lines = statement.query_map(range, |row| Ok((EntryId(row.get(0)?), row.get(1)?)))?;
        let lines: Vec<(EntryId, String)> = lines.collect::<Result<_, _>>()?;
        if lines.len() < 2 {
            return Ok(false);
        }
        let bodies = lines.iter().map(|(id, line)| Ok((*id, body(kind, line)?)));
        let bodies: Vec<(EntryId, Option<EntryBody>)> = bodies.collect::<Result<_, Fault>>()?;
        let own = bodies.iter().find(|(id, _)| *id == self.id);
        Ok(own.is_some_and(|own| bodies.iter().any(|other| other.1 != own.1)))
    }
}

fn body(kind: EntryKind, line: &str) -> Result<Option<EntryBody>, Fault> {
    let line: Value = serde_json::from_str(line).map_err(Fault::unreadable)?;
    Ok(EntryBody::read(kind.name(), &line["body"]))
}

/// The number of a hole; `None` if it was removed.
fn number(conn: &Connection, hole: Uuid) -> Result<Option<u32>, Fault> {
    let places = load::entries::<HoleBody>(conn, hole)?;
    Ok(places.0.first().map(|place| place.body.number))
}
