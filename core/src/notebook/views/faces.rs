//! A face with its photos, marks and holes.

use crate::hole::condition::Condition;
use crate::hole::next_task::NextTask;
use crate::hole::record::{FaceRecord, FactEntries, Note, Recorded, Remedy};
use crate::hole::stage::Stage;
use crate::length::Length;
use crate::notebook::body::{FaceBody, MarkBody, PhotoBody};
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, PhotoId, load};
use crate::photo::{PhotoHash, TakenAt};
use crate::places::record::PatternHole;
use crate::thread::Thread;
use rusqlite::{Connection, OptionalExtension, Row};
use std::collections::HashMap;

/// A face's page.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct FaceView {
    /// Its id.
    pub id: FaceId,
    /// The active entries with its details; never empty.
    pub details: FactEntries<FaceBody>,
    /// Its name; the first one if they are in conflict.
    pub name: String,
    /// The casting that it is on; the first one if they are in conflict.
    pub casting: CastingId,
    /// That casting's name; empty if the casting was struck out or is not here yet.
    pub casting_name: String,
    /// What its holes depend on.
    pub record: FaceRecord,
    /// Notes about it.
    pub notes: Vec<Recorded<Note>>,
    /// Its photos in the order in which they were added.
    pub photos: Vec<PhotoView>,
    /// Its holes, sorted by number.
    pub holes: Vec<HoleSummary>,
}

/// A hole in a list.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct HoleSummary {
    /// Its id.
    pub id: HoleId,
    /// Its number; the first one if they are in conflict.
    pub number: u32,
    /// Whether another hole of the face has the same number; two devices may each have added one.
    pub shares_number: bool,
    /// The wanted thread; `None` if there is none or it is in conflict.
    pub thread: Option<Thread>,
    /// Its condition by a first look; `None` if there is none or it is in conflict.
    pub condition: Option<Condition>,
    /// Its stage.
    pub stage: Stage,
    /// Whether it has a conflict.
    pub conflict: bool,
    /// Number of its open problems.
    pub problems: u32,
    /// The chosen remedy; `None` if there is none or it is in conflict.
    pub remedy: Option<Remedy>,
    /// Its position on the face; `None`: not measured.
    pub at: Option<(Length, Length)>,
    /// What to do next on it.
    pub next: NextTask,
}

/// A photo with its marks.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct PhotoView {
    /// Its id.
    pub id: PhotoId,
    /// The face it shows.
    pub face: FaceId,
    /// The hash of its file, which names it.
    pub hash: PhotoHash,
    /// Width of the upright picture, pixels.
    pub width_px: u32,
    /// Height of the upright picture, pixels.
    pub height_px: u32,
    /// When it was taken, as the camera wrote it.
    pub taken_at: Option<TakenAt>,
    /// The name of the imported file.
    pub name: Option<String>,
    /// Whether its file was cut and then ended, so that detail is missing.
    pub incomplete: bool,
    /// The hole that it shows alone; `None`: it shows the face.
    pub hole: Option<HoleId>,
    /// Its marks, sorted by hole number.
    pub marks: Vec<MarkView>,
}

/// A hole's mark in a photo.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct MarkView {
    /// The hole.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
    /// The hole's condition by a first look; `None` if there is none or it is in conflict.
    pub condition: Option<Condition>,
    /// Its stage.
    pub stage: Stage,
    /// Whether the hole or the mark has a conflict.
    pub conflict: bool,
    /// Number of the hole's open problems.
    pub problems: u32,
    /// The active marks; several if two devices marked the same hole. Never empty.
    pub entries: FactEntries<MarkBody>,
}

impl FaceView {
    /// Returns its photos that show the face, without those of one hole alone.
    pub fn photos_of_face(&self) -> impl Iterator<Item = &PhotoView> {
        self.photos.iter().filter(|photo| photo.hole.is_none())
    }

    /// Returns where its holes are: as measured, or, if none was measured, where the wanted pattern has
    /// them. Holes that share a number are left out.
    pub fn hole_places(&self) -> Vec<PatternHole> {
        let alone = self.holes.iter().filter(|hole| !hole.shares_number);
        let measured = alone.filter_map(|hole| {
            let (x, y) = hole.at?;
            let hole = hole.number;
            Some(PatternHole { hole, x, y })
        });
        let measured: Vec<PatternHole> = measured.collect();
        match (measured.is_empty(), self.record.pattern.agreed()) {
            (true, Some(pattern)) => pattern.seen_on_face().collect(),
            _ => measured,
        }
    }
}

impl Notebook {
    /// Returns one face with its photos and holes.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is none with that id; also if the notebook cannot be
    /// read.
    pub fn face(&self, id: FaceId) -> Result<FaceView, NotebookError> {
        self.read(|conn| {
            let facts = load::face_on_casting(conn, id)?;
            let first = &facts
                .details
                .0
                .first()
                .ok_or_else(|| Fault::no_such("face", id))?
                .body;
            Ok(FaceView {
                id,
                name: first.name.clone(),
                casting: first.casting,
                casting_name: facts.casting_name.clone().unwrap_or_default(),
                notes: load::entries(conn, id.0)?.0,
                photos: photos_of(conn, id)?,
                holes: holes_of(conn, id)?,
                details: facts.details,
                record: facts.record,
            })
        })
    }

    /// Returns one photo with its marks.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is none with that id; also if the notebook cannot be
    /// read.
    pub fn photo(&self, id: PhotoId) -> Result<PhotoView, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT id, face, hash, width_px, height_px, taken_at, name
                 FROM photo WHERE id = ?1";
            let photo = conn
                .prepare_cached(sql)?
                .query_row([id.0], read_photo)
                .optional()?;
            complete(conn, photo.ok_or_else(|| Fault::no_such("photo", id))?)
        })
    }
}

/// Returns where holes are in the photo that shows most of them, in pixels.
pub(super) fn where_marked(photos: &[PhotoView]) -> HashMap<HoleId, (f64, f64)> {
    // Of equals the earlier one.
    let best = photos.iter().rev().max_by_key(|photo| photo.marks.len());
    let marks = best.map(|photo| photo.marks.iter()).into_iter().flatten();
    let places = marks.filter_map(|mark| {
        let first = &mark.entries.0.first()?.body;
        Some((mark.hole, (first.x_px, first.y_px)))
    });
    places.collect()
}

/// Returns the first photo that shows the face, or else the first one of a hole on it.
pub(super) fn first_photo_of(conn: &Connection, face: FaceId) -> Result<Option<PhotoId>, Fault> {
    let sql = "SELECT id FROM photo WHERE face = ?1 ORDER BY id";
    let mut statement = conn.prepare_cached(sql)?;
    let mut rows = statement.query([face.0])?;
    let mut of_hole = None;
    while let Some(row) = rows.next()? {
        let photo = PhotoId(row.get(0)?);
        let entries = load::entries::<PhotoBody>(conn, photo.0)?;
        if entries.0.iter().all(|entry| entry.body.hole.is_none()) {
            return Ok(Some(photo));
        }
        of_hole = of_hole.or(Some(photo));
    }
    Ok(of_hole)
}

/// Returns a face's photos in the order in which they were added.
pub(super) fn photos_of(conn: &Connection, face: FaceId) -> Result<Vec<PhotoView>, Fault> {
    let sql = "SELECT id, face, hash, width_px, height_px, taken_at, name
         FROM photo WHERE face = ?1 ORDER BY id";
    let mut statement = conn.prepare_cached(sql)?;
    let photos = statement.query_map([face.0], read_photo)?;
    photos.map(|photo| complete(conn, photo?)).collect()
}

/// Adds to a photo's row what is not in it.
fn complete(conn: &Connection, photo: PhotoView) -> Result<PhotoView, Fault> {
    let entries = load::entries::<PhotoBody>(conn, photo.id.0)?;
    Ok(PhotoView {
        incomplete: entries.0.iter().any(|entry| entry.body.incomplete),
        hole: entries.0.iter().find_map(|entry| entry.body.hole),
        marks: marks_in(conn, photo.id)?,
        ..photo
    })
}

/// Reads a photo's row.
fn read_photo(row: &Row<'_>) -> rusqlite::Result<PhotoView> {
    Ok(PhotoView {
        id: PhotoId(row.get(0)?),
        face: FaceId(row.get(1)?),
        hash: super::needed(super::word_in_row(row, 2)?, 2)?,
        width_px: row.get(3)?,
        height_px: row.get(4)?,
        taken_at: super::word_in_row(row, 5)?,
        name: row.get(6)?,
        incomplete: false,
        hole: None,
        marks: Vec::new(),
    })
}

fn marks_in(conn: &Connection, photo: PhotoId) -> Result<Vec<MarkView>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT m.hole, h.number, h.stage, h.conflict OR m.conflict, h.problems, h.condition
         FROM mark m JOIN hole h ON h.id = m.hole WHERE m.photo = ?1 ORDER BY h.number, m.hole",
    )?;
    let mut rows = statement.query([photo.0])?;
    let mut marks = Vec::new();
    while let Some(row) = rows.next()? {
        let hole = HoleId(row.get(0)?);
        marks.push(MarkView {
            hole,
            number: row.get(1)?,
            stage: super::needed(super::word_in_row(row, 2)?, 2)?,
            conflict: row.get(3)?,
            problems: row.get(4)?,
            condition: super::word_in_row(row, 5)?,
            entries: load::marks(conn, hole, photo)?,
        });
    }
    Ok(marks)
}

/// Returns a face's holes, sorted by number.
pub(in crate::notebook) fn holes_of(
    conn: &Connection,
    face: FaceId,
) -> Result<Vec<HoleSummary>, Fault> {
    let sql = "SELECT id, number, thread, remedy, stage, conflict, x_nm, y_nm, problems, condition,
         next_task
         FROM hole
         WHERE face = ?1 ORDER BY number, id";
    let mut statement = conn.prepare_cached(sql)?;
    let holes = statement.query_map([face.0], read_hole)?;
    let mut holes: Vec<HoleSummary> = holes.collect::<Result<_, _>>()?;
    for at in 1..holes.len() {
        if holes[at].number == holes[at - 1].number {
            holes[at].shares_number = true;
            holes[at - 1].shares_number = true;
        }
    }
    Ok(holes)
}

fn read_hole(row: &Row<'_>) -> rusqlite::Result<HoleSummary> {
    let x: Option<i64> = row.get(6)?;
    let y: Option<i64> = row.get(7)?;
    Ok(HoleSummary {
        id: HoleId(row.get(0)?),
        number: row.get(1)?,
        shares_number: false,
        thread: super::word_in_row(row, 2)?,
        remedy: super::word_in_row(row, 3)?,
        stage: super::needed(super::word_in_row(row, 4)?, 4)?,
        conflict: row.get(5)?,
        problems: row.get(8)?,
        condition: super::word_in_row(row, 9)?,
        at: x.map(Length::from_nm).zip(y.map(Length::from_nm)),
        next: super::json_in_row(row, 10)?,
    })
}
