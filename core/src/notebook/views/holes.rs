//! A hole's page.

use crate::hole::record::{Answers, FaceRecord, HoleRecord};
use crate::hole::state::{Standing, standing};
use crate::length::Length;
use crate::notebook::body::{HoleBody, MarkBody};
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, PhotoId, gather};
use rusqlite::{Connection, OptionalExtension, params};

/// A hole with all that stands about it.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleView {
    /// Its id.
    pub id: HoleId,
    /// What stands about its number and place; never empty.
    pub placed: Answers<HoleBody>,
    /// Its number; the first answer where several stand.
    pub number: u32,
    /// Where it is on the face, where that was measured; the first answer where several stand.
    pub at: Option<(Length, Length)>,
    /// The face it is in.
    pub face: FaceId,
    /// That face's name; empty where it was struck or is not here yet.
    pub face_name: String,
    /// The casting that the face is on; none where the face was struck or is not here yet.
    pub casting: Option<CastingId>,
    /// That casting's name.
    pub casting_name: String,
    /// The work on it.
    pub record: HoleRecord,
    /// What it depends on of its face.
    pub face_record: FaceRecord,
    /// Where it is in each photo, in the order in which the photos were added.
    pub marks: Vec<HoleMark>,
    /// How far it is, and what is in question about the work.
    pub standing: Standing,
    /// Whether anything about it is in question, its number, place and marks among them.
    pub in_question: bool,
    /// How many entries about it stand that this version does not understand.
    pub not_understood: usize,
    /// The hole before it on the face, by number.
    pub previous: Option<HoleId>,
    /// The hole after it on the face, by number.
    pub next: Option<HoleId>,
}

/// Where a hole is in one photo.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleMark {
    /// The photo.
    pub photo: PhotoId,
    /// What stands about where the hole is in it.
    pub answers: Answers<MarkBody>,
}

impl Notebook {
    /// One hole with all that stands about it.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] where there is none of that id, and where the notebook cannot be read.
    pub fn hole(&self, id: HoleId) -> Result<HoleView, NotebookError> {
        self.read(|conn| {
            let facts = gather::hole(conn, id)?;
            let first = facts
                .placed
                .0
                .first()
                .ok_or_else(|| Fault::no_such("hole", id))?
                .body
                .clone();
            let face = gather::face_on_casting(conn, first.face)?;
            let on = face.named.0.first().map(|face| &face.body);
            let standing = standing(&facts.record);
            let in_question = facts.is_in_question(&standing);
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
                    .map(|(photo, answers)| HoleMark { photo, answers })
                    .collect(),
                placed: facts.placed,
                record: facts.record,
                face_record: face.record,
                standing,
                in_question,
                not_understood: facts.not_understood,
                previous: neighbour(conn, BEFORE, first.face, first.number, id)?,
                next: neighbour(conn, AFTER, first.face, first.number, id)?,
            })
        })
    }
}

const BEFORE: &str = "SELECT id FROM hole_now WHERE face = ?1 AND (number, id) < (?2, ?3) ORDER BY number DESC, id DESC LIMIT 1";
const AFTER: &str = "SELECT id FROM hole_now WHERE face = ?1 AND (number, id) > (?2, ?3) ORDER BY number, id LIMIT 1";

fn neighbour(
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
