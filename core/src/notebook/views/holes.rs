//! A hole's page.

use crate::hole::record::{FaceRecord, FactEntries, HoleRecord};
use crate::hole::stage::{HoleStatus, hole_status};
use crate::length::Length;
use crate::notebook::body::{HoleBody, MarkBody};
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, PhotoId, load};
use rusqlite::{Connection, OptionalExtension, params};

/// A hole with all active entries about it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct HoleView {
    /// Its id.
    pub id: HoleId,
    /// The active entries with its number and position; never empty.
    pub placement: FactEntries<HoleBody>,
    /// Its number; the first one if they are in conflict.
    pub number: u32,
    /// Its position on the face, the first one if they are in conflict; `None`: not measured.
    pub at: Option<(Length, Length)>,
    /// The face it is in.
    pub face: FaceId,
    /// That face's name; empty if it was struck out or is not here yet.
    pub face_name: String,
    /// The casting that the face is on; `None` if the face was struck out or is not here yet.
    pub casting: Option<CastingId>,
    /// That casting's name.
    pub casting_name: String,
    /// Readings, plans and work.
    pub record: HoleRecord,
    /// What it depends on: its face.
    pub face_record: FaceRecord,
    /// Its mark in each photo, in the order in which the photos were added.
    pub marks: Vec<HoleMark>,
    /// Its stage, the conflicts about the work, and the work that does not hold.
    pub status: HoleStatus,
    /// Whether anything about it is in conflict: the work, its number or position, or a mark.
    pub conflict: bool,
    /// Number of active entries that this version does not understand.
    pub unknown_entries: u32,
    /// The previous hole on the face, by number.
    pub previous: Option<HoleId>,
    /// The next hole on the face, by number.
    pub next: Option<HoleId>,
}

/// A hole's mark in one photo.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct HoleMark {
    /// The photo.
    pub photo: PhotoId,
    /// The active marks.
    pub entries: FactEntries<MarkBody>,
}

impl Notebook {
    /// Returns one hole with all active entries about it.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is none with that id; also if the notebook cannot be
    /// read.
    pub fn hole(&self, id: HoleId) -> Result<HoleView, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| {
            let facts = load::hole(conn, id)?;
            let first = facts
                .placement
                .0
                .first()
                .ok_or_else(|| Fault::no_such("hole", id))?
                .body
                .clone();
            let face = load::face_on_casting(conn, first.face)?;
            let on = face.details.0.first().map(|face| &face.body);
            let status = hole_status(&facts.record, &face.record, &catalog);
            let conflict = facts.has_conflict(&status);
            Ok(HoleView {
                id,
                number: first.number,
                at: first.at(),
                face: first.face,
                face_name: on.map(|face| face.name.clone()).unwrap_or_default(),
                casting: on.map(|face| face.casting),
                casting_name: face.casting_name.clone().unwrap_or_default(),
                marks: facts
                    .marks
                    .into_iter()
                    .map(|(photo, entries)| HoleMark { photo, entries })
                    .collect(),
                placement: facts.placement,
                record: facts.record,
                face_record: face.record,
                status,
                conflict,
                unknown_entries: facts.unknown_entries,
                previous: neighbor(conn, BEFORE, first.face, first.number, id)?,
                next: neighbor(conn, AFTER, first.face, first.number, id)?,
            })
        })
    }
}

const BEFORE: &str = "SELECT id FROM hole WHERE face = ?1 AND (number, id) < (?2, ?3)
     ORDER BY number DESC, id DESC LIMIT 1";
const AFTER: &str = "SELECT id FROM hole WHERE face = ?1 AND (number, id) > (?2, ?3)
     ORDER BY number, id LIMIT 1";

fn neighbor(
    conn: &Connection,
    sql: &str,
    face: FaceId,
    number: u32,
    id: HoleId,
) -> Result<Option<HoleId>, Fault> {
    let mut statement = conn.prepare_cached(sql)?;
    Ok(statement
        .query_row(params![face.0, number, id.0], |row| row.get(0).map(HoleId))
        .optional()?)
}
