//! Judges holes by their entries, those of their faces and castings, and the shop's inserts.

use super::entry_kind::{HoleEntry, load_into_hole};
use super::error::{Fault, NotebookError};
use super::id::{EntryId, FaceId, HoleId, Seen};
use super::{Notebook, inserts, journal, load, seen, settings};
use crate::hole::late_cut::{EarlierEntries, EarlierEntry};
use crate::hole::next_task::Judgment;
use crate::hole::problem::Problem;
use crate::hole::record::{Choice, ChoiceBasis, FaceMilled, FaceRecord, HoleRecord, Recorded};
use crate::hole::remedies::assess_chosen;
use crate::hole::situation::situation_of;
use crate::hole::stage::{HoleStatus, hole_status};
use crate::insert::Catalog;
use crate::places::record::FaceHeights;
use rusqlite::Connection;
use serde_json::json;
use std::borrow::Cow;
use std::collections::HashMap;
use std::collections::hash_map::Entry;

/// Judges holes one after the other, and loads faces and inserts once for all of them.
pub(super) struct Judge<'c> {
    conn: &'c Connection,
    faces: HashMap<FaceId, FaceRecord>,
    catalog: Option<Cow<'static, Catalog>>,
}

impl<'c> Judge<'c> {
    pub fn new(conn: &'c Connection) -> Judge<'c> {
        Judge {
            conn,
            faces: HashMap::new(),
            catalog: None,
        }
    }

    /// Returns the status of a hole on a face.
    pub fn status(&mut self, record: &HoleRecord, face: FaceId) -> Result<HoleStatus, Fault> {
        self.load(face)?;
        Ok(hole_status(record, self.loaded(face), self.catalog()))
    }

    /// Returns the status and the next task of a hole on a face.
    pub fn judgment(&mut self, record: &HoleRecord, face: FaceId) -> Result<Judgment, Fault> {
        self.load(face)?;
        Ok(Judgment::of(record, self.loaded(face), self.catalog()))
    }

    /// Returns the numbers that a remedy is chosen on; `None` if it cannot be assessed.
    pub fn basis(
        &mut self,
        record: &HoleRecord,
        face: FaceId,
        choice: &Choice,
    ) -> Result<Option<ChoiceBasis>, Fault> {
        self.load(face)?;
        let situation = situation_of(record, self.loaded(face)).ok();
        let assessment =
            situation.and_then(|situation| assess_chosen(&situation, self.catalog(), &choice.spec));
        Ok(assessment.map(|assessment| ChoiceBasis {
            verdict: assessment.verdict,
            strength_ratio: assessment.strength_ratio,
        }))
    }

    fn load(&mut self, face: FaceId) -> Result<(), Fault> {
        if let Entry::Vacant(new) = self.faces.entry(face) {
            new.insert(load::face_on_casting(self.conn, face)?.record);
        }
        if self.catalog.is_none() {
            self.catalog = Some(inserts::load_catalog(self.conn)?);
        }
        Ok(())
    }

    /// Returns what the holes of a face depend on.
    pub fn face(&mut self, id: FaceId) -> Result<&FaceRecord, Fault> {
        self.load(id)?;
        Ok(self.loaded(id))
    }

    fn loaded(&self, id: FaceId) -> &FaceRecord {
        &self.faces[&id]
    }

    fn catalog(&self) -> &Catalog {
        self.catalog.as_deref().unwrap_or(Catalog::standard())
    }
}

impl Notebook {
    /// Returns the problems that an entry about a hole would open because its own values are out of
    /// the plan's limits. Nothing is recorded; ask before recording it all the same.
    ///
    /// # Errors
    /// If there is no such hole, if the entry is not valid, or if the notebook cannot be read.
    pub fn problems_if_recorded(
        &self,
        hole: HoleId,
        entry: &HoleEntry,
    ) -> Result<Vec<Problem>, NotebookError> {
        self.read(|conn| {
            let mut facts = load::hole(conn, hole)?;
            let first = facts.placement.0.first();
            let face = first.ok_or_else(|| Fault::no_such("hole", hole))?.body.face;
            let mut judge = Judge::new(conn);
            let before = judge.status(&facts.record, face)?.problems;
            load_into_hole(
                &mut facts,
                entry.kind(),
                &as_if_recorded(conn, hole, entry)?,
            )?;
            let mut problems = judge.status(&facts.record, face)?.problems;
            problems.retain(|problem| problem.is_about_value() && !before.contains(problem));
            Ok(problems)
        })
    }
}

/// What a face cut would do to one hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct FaceCutEffect {
    /// The hole.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
    /// The problems that the cut would open.
    pub problems: Vec<Problem>,
}

impl Notebook {
    /// Returns the holes whose recorded work would not hold any more if this cut were recorded for a
    /// face: inserts that the cutter would reach, and threads that would be too
    /// shallow. Nothing is recorded.
    ///
    /// `corrects` names the cut that it would be recorded in place of. Work that was done after that
    /// one was measured from the face that it left, so it stays as it is.
    ///
    /// # Errors
    /// If there is no such face, if the face has no such cut, or if the notebook cannot be read.
    pub fn face_cut_effects(
        &self,
        face: FaceId,
        milled: &FaceMilled,
        corrects: Option<EntryId>,
    ) -> Result<Vec<FaceCutEffect>, NotebookError> {
        self.read(|conn| {
            super::require::face(conn, face)?;
            let (mut now, mut then) = (Judge::new(conn), Judge::new(conn));
            let mut after = then.face(face)?.clone();
            match corrects {
                Some(wrong) => corrected(&mut after, wrong)?.body = milled.clone(),
                None => after.milled.push(cut_after_all(conn, milled)?),
            }
            then.faces.insert(face, after);
            let mut effects = Vec::new();
            for hole in super::views::holes_of(conn, face)? {
                let record = load::hole(conn, hole.id)?.record;
                let before = now.status(&record, face)?.problems;
                let mut problems = then.status(&record, face)?.problems;
                problems.retain(|problem| problem.is_about_depth() && !before.contains(problem));
                if !problems.is_empty() {
                    let (hole, number) = (hole.id, hole.number);
                    effects.push(FaceCutEffect {
                        hole,
                        number,
                        problems,
                    });
                }
            }
            Ok(effects)
        })
    }
}

impl Notebook {
    /// Returns what is recorded of a face and its holes that counts from the face, and that a cut
    /// which is recorded now came after, unless that cut is recorded late: ask which of it was
    /// measured on the face as milled. What may have been comes first. `corrects` names a recorded
    /// cut, if that one is corrected.
    ///
    /// # Errors
    /// If there is no such face, if the face has no such cut, or if the notebook cannot be read.
    pub fn recorded_before_cut(
        &self,
        face: FaceId,
        corrects: Option<EntryId>,
    ) -> Result<Vec<EarlierEntry>, NotebookError> {
        self.read(|conn| {
            super::require::face(conn, face)?;
            let mut record = load::face_on_casting(conn, face)?.record;
            if let Some(wrong) = corrects {
                corrected(&mut record, wrong)?;
            }
            let mut earlier = EarlierEntries::of(&record, corrects);
            earlier.add_heights(&load::entries::<FaceHeights>(conn, face.0)?.0);
            for hole in super::views::holes_of(conn, face)? {
                earlier.add_hole(hole.number, &load::hole(conn, hole.id)?.record);
            }
            Ok(earlier.finish(super::clock::now()))
        })
    }
}

/// Returns a recorded cut of a face, to be corrected: the correction counts from its place.
fn corrected(face: &mut FaceRecord, wrong: EntryId) -> Result<&mut Recorded<FaceMilled>, Fault> {
    let mut cuts = face.milled.iter_mut();
    let cut = cuts.find(|cut| cut.entry == wrong);
    cut.ok_or_else(|| Fault::no_such("cut of this face", wrong))
}

/// Returns the place of this device's next entry.
fn next_place(conn: &Connection) -> Result<Seen, Fault> {
    let device = settings::device(conn)?;
    let last = journal::head(conn, device)?.map_or(0, |head| head.seq);
    Ok(Seen {
        device,
        seq: last + 1,
    })
}

/// Returns a cut of a face as if it were recorded now.
fn cut_after_all(conn: &Connection, milled: &FaceMilled) -> Result<Recorded<FaceMilled>, Fault> {
    let next = next_place(conn)?;
    Ok(Recorded {
        entry: EntryId::fresh(),
        device: next.device,
        seq: next.seq,
        seen: Vec::new(),
        corrects: None,
        by: String::new(),
        at: super::clock::now(),
        body: milled.clone(),
    })
}

/// Returns the line that an entry would get if it were recorded now, without its place in the chain.
fn as_if_recorded(conn: &Connection, hole: HoleId, entry: &HoleEntry) -> Result<String, Fault> {
    let next = next_place(conn)?;
    let line = json!({
        "id": EntryId::fresh(),
        "device": next.device,
        "seq": next.seq,
        "seen": seen::by_writer(conn, next.device, hole.0, entry.kind())?,
        "by": "",
        "at": super::clock::now(),
        "body": entry.to_json()?,
    });
    Ok(line.to_string())
}
