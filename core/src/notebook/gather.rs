//! Gathers what stands about one subject from its entries.

use super::body::{CastingBody, FaceBody, HoleBody, MarkBody};
use super::error::Fault;
use super::id::{CastingId, FaceId, HoleId, PhotoId};
use super::kind::Kind;
use super::place;
use crate::hole::record::{Answers, FaceRecord, HoleRecord, Said};
use crate::hole::state::Standing;
use chrono::{DateTime, FixedOffset};
use rusqlite::Connection;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use uuid::Uuid;

/// All that stands about a hole.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct HoleFacts {
    /// Its number and place.
    pub placed: Answers<HoleBody>,
    /// Where it is in each photo.
    pub marks: BTreeMap<PhotoId, Answers<MarkBody>>,
    /// The work on it.
    pub record: HoleRecord,
    /// How many entries about it stand that this version does not understand.
    pub not_understood: usize,
}

impl HoleFacts {
    /// Whether anything about the hole is in question: the work, its number or place, a mark.
    pub(crate) fn is_in_question(&self, standing: &Standing) -> bool {
        let marks_differ = self.marks.values().any(Answers::differ);
        !standing.questions.is_empty() || self.placed.differ() || marks_differ
    }
}

/// All that stands about a face.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct FaceFacts {
    /// What it is.
    pub named: Answers<FaceBody>,
    /// What its holes depend on. The metal is there where the casting was gathered too.
    pub record: FaceRecord,
    /// The casting's name, where the casting was gathered too and is there.
    pub casting_name: Option<String>,
}

/// Gathers a hole.
pub(crate) fn hole(conn: &Connection, hole: HoleId) -> Result<HoleFacts, Fault> {
    let mut facts = HoleFacts::default();
    let record = &mut facts.record;
    let not_understood = for_each_standing(conn, hole.0, |kind, line| {
        match kind {
            Kind::Hole => facts.placed.0.push(said(line)?),
            Kind::Mark => {
                let mark: Said<MarkBody> = said(line)?;
                facts.marks.entry(mark.body.photo).or_default().0.push(mark);
            }
            Kind::Wanted => record.wanted.0.push(said(line)?),
            Kind::Damage => record.damage.0.push(said(line)?),
            Kind::Remedy => record.choice.0.push(said(line)?),
            Kind::Reading => record.readings.push(said(line)?),
            Kind::Cut => record.cuts.push(said(line)?),
            Kind::DryFit => record.dry_fits.push(said(line)?),
            Kind::Set => record.sets.push(said(line)?),
            Kind::Keys => record.keys.push(said(line)?),
            Kind::Check => record.checks.push(said(line)?),
            Kind::Prove => record.proofs.push(said(line)?),
            Kind::Note => record.notes.push(said(line)?),
            _ => {}
        }
        Ok(())
    })?;
    facts.not_understood = not_understood;
    Ok(facts)
}

/// Gathers a face.
pub(crate) fn face(conn: &Connection, face: FaceId) -> Result<FaceFacts, Fault> {
    let mut facts = FaceFacts::default();
    for_each_standing(conn, face.0, |kind, line| {
        match kind {
            Kind::Face => facts.named.0.push(said(line)?),
            Kind::FaceCut => facts.record.planned_cut.0.push(said(line)?),
            Kind::FaceMilled => facts.record.milled.push(said(line)?),
            _ => {}
        }
        Ok(())
    })?;
    Ok(facts)
}

/// Gathers a face, with what it shows of the casting that it is on.
pub(crate) fn face_on_casting(conn: &Connection, id: FaceId) -> Result<FaceFacts, Fault> {
    let mut facts = face(conn, id)?;
    if let Some(named) = facts.named.0.first() {
        let casting = casting(conn, named.body.casting)?;
        facts.casting_name = casting.0.first().map(|first| first.body.name.clone());
        facts.record.metal = metal(&casting);
    }
    Ok(facts)
}

/// The casting's metal, where all answers that stand agree on it.
fn metal(casting: &Answers<CastingBody>) -> Option<crate::strength::Metal> {
    let (first, rest) = casting.0.split_first()?;
    let agreed = rest
        .iter()
        .all(|other| other.body.metal == first.body.metal);
    first.body.metal.filter(|_| agreed)
}

/// The casting's answers.
pub(crate) fn casting(
    conn: &Connection,
    casting: CastingId,
) -> Result<Answers<CastingBody>, Fault> {
    answers(conn, casting.0, Kind::Casting)
}

/// What stands of one kind about a subject, in the order of the entries' ids.
pub(crate) fn answers<T: DeserializeOwned>(
    conn: &Connection,
    subject: Uuid,
    wanted: Kind,
) -> Result<Answers<T>, Fault> {
    let mut found = Answers::default();
    for_each_standing(conn, subject, |kind, line| {
        if kind == wanted {
            found.0.push(said(line)?);
        }
        Ok(())
    })?;
    Ok(found)
}

/// What stands about where a hole is in one photo.
pub(crate) fn marks(
    conn: &Connection,
    hole: HoleId,
    photo: PhotoId,
) -> Result<Answers<MarkBody>, Fault> {
    let mut marks = answers::<MarkBody>(conn, hole.0, Kind::Mark)?;
    marks.0.retain(|said| said.body.photo == photo);
    Ok(marks)
}

/// Calls `with` for each entry about `subject` that stands and is understood, in the order of their ids, and counts those
/// that are not understood. That order is the same on every device, and an entry comes after all that its writer knew of.
fn for_each_standing(
    conn: &Connection,
    subject: Uuid,
    mut with: impl FnMut(Kind, &str) -> Result<(), Fault>,
) -> Result<usize, Fault> {
    let places = place::of(conn, subject)?;
    let mut statement = conn.prepare_cached(
        "SELECT e.id, s.understood, e.kind, e.line FROM said s JOIN entry e ON e.n = s.n
         WHERE s.n BETWEEN ?1 AND ?2 AND NOT s.struck AND NOT s.replaced",
    )?;
    let mut rows = statement.query([places.start(), places.end()])?;
    let mut standing: Vec<(Uuid, Kind, String)> = Vec::new();
    let mut not_understood = 0;
    while let Some(row) = rows.next()? {
        let kind = row.get_ref(2)?.as_str().map_err(Fault::unreadable)?;
        match Kind::of(kind) {
            Some(kind) if row.get(1)? => standing.push((row.get(0)?, kind, row.get(3)?)),
            _ => not_understood += 1,
        }
    }
    // Mostly they came in that order.
    standing.sort_unstable_by_key(|(id, ..)| *id);
    for (_, kind, line) in &standing {
        with(*kind, line)?;
    }
    Ok(not_understood)
}

/// Reads a line for its body and for who said it.
pub(crate) fn said<T: DeserializeOwned>(line: &str) -> Result<Said<T>, Fault> {
    #[derive(Deserialize)]
    struct Told<T> {
        id: Uuid,
        device: Uuid,
        by: String,
        at: DateTime<FixedOffset>,
        body: T,
    }
    let told: Told<T> = serde_json::from_str(line).map_err(Fault::unreadable)?;
    Ok(Said {
        entry: told.id,
        device: told.device,
        by: told.by,
        at: told.at,
        body: told.body,
    })
}
