//! A face with its photos, marks and holes.

use crate::hole::record::{Answers, FaceRecord, Note, Remedy, Said};
use crate::hole::state::State;
use crate::length::Length;
use crate::notebook::body::{FaceBody, MarkBody};
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::kind::Kind;
use crate::notebook::{CastingId, FaceId, HoleId, Notebook, PhotoId, gather};
use crate::photo::{PhotoHash, TakenAt};
use crate::thread::Thread;
use rusqlite::{Connection, OptionalExtension, Row};

/// A face.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceView {
    /// Its id.
    pub id: FaceId,
    /// What stands about what it is; never empty.
    pub answers: Answers<FaceBody>,
    /// Its name; the first answer where several stand.
    pub name: String,
    /// The casting that it is on; the first answer where several stand.
    pub casting: CastingId,
    /// That casting's name; empty where the casting was struck or is not here yet.
    pub casting_name: String,
    /// What its holes depend on.
    pub record: FaceRecord,
    /// Free words about it.
    pub notes: Vec<Said<Note>>,
    /// Its photos, in the order in which they were added.
    pub photos: Vec<PhotoView>,
    /// Its holes, by number.
    pub holes: Vec<HoleSummary>,
}

/// A hole, in short.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleSummary {
    /// Its id.
    pub id: HoleId,
    /// Its number; the first answer where several stand.
    pub number: u32,
    /// Whether another hole of the face has the same number: two devices may each have added one.
    pub shares_number: bool,
    /// The thread wanted, where it is said and not in question.
    pub thread: Option<Thread>,
    /// How far it is.
    pub state: State,
    /// Whether its entries disagree.
    pub in_question: bool,
    /// The remedy chosen, where one is and it is not in question.
    pub remedy: Option<Remedy>,
    /// Where it is on the face, where that was measured.
    pub at: Option<(Length, Length)>,
}

/// A photo with its marks.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoView {
    /// Its id.
    pub id: PhotoId,
    /// The face it shows.
    pub face: FaceId,
    /// The name of its file.
    pub hash: PhotoHash,
    /// Width of the upright picture, pixels.
    pub width_px: u32,
    /// Height of the upright picture, pixels.
    pub height_px: u32,
    /// When the camera says it was taken.
    pub taken_at: Option<TakenAt>,
    /// What the file was called where it came from.
    pub name: Option<String>,
    /// Where holes are in it, by their numbers.
    pub marks: Vec<MarkView>,
}

/// Where a hole is in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkView {
    /// The hole.
    pub hole: HoleId,
    /// Its number.
    pub number: u32,
    /// How far it is.
    pub state: State,
    /// Whether the hole's entries disagree, the mark's among them.
    pub in_question: bool,
    /// Where it is, with who said so; several where two devices marked the same hole. Never empty.
    pub answers: Answers<MarkBody>,
}

impl Notebook {
    /// One face with its photos and holes.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] where there is none of that id, and where the notebook cannot be read.
    pub fn face(&self, id: FaceId) -> Result<FaceView, NotebookError> {
        self.read(|conn| {
            let facts = gather::face_on_casting(conn, id)?;
            let first = &facts
                .named
                .0
                .first()
                .ok_or_else(|| Fault::no_such("face", id))?
                .body;
            Ok(FaceView {
                id,
                name: first.name.clone(),
                casting: first.casting,
                casting_name: facts.casting_name.clone().unwrap_or_default(),
                notes: gather::answers(conn, id.0, Kind::Note)?.0,
                photos: photos_of(conn, id)?,
                holes: holes_of(conn, id)?,
                answers: facts.named,
                record: facts.record,
            })
        })
    }

    /// One photo with its marks.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] where there is none of that id, and where the notebook cannot be read.
    pub fn photo(&self, id: PhotoId) -> Result<PhotoView, NotebookError> {
        self.read(|conn| {
            let sql = "SELECT id, face, hash, width_px, height_px, taken_at, name FROM photo_now WHERE id = ?1";
            let photo = conn.prepare_cached(sql)?.query_row([id.0], read_photo).optional()?;
            let mut photo = photo.ok_or_else(|| Fault::no_such("photo", id))?;
            photo.marks = marks_in(conn, id)?;
            Ok(photo)
        })
    }
}

fn photos_of(conn: &Connection, face: FaceId) -> Result<Vec<PhotoView>, Fault> {
    let sql = "SELECT id, face, hash, width_px, height_px, taken_at, name FROM photo_now WHERE face = ?1 ORDER BY id";
    let mut statement = conn.prepare_cached(sql)?;
    let photos = statement.query_map([face.0], read_photo)?;
    let mut photos: Vec<PhotoView> = photos.collect::<Result<_, _>>()?;
    for photo in &mut photos {
        photo.marks = marks_in(conn, photo.id)?;
    }
    Ok(photos)
}

/// A photo as its row says, without its marks.
fn read_photo(row: &Row<'_>) -> rusqlite::Result<PhotoView> {
    Ok(PhotoView {
        id: PhotoId(row.get(0)?),
        face: FaceId(row.get(1)?),
        hash: super::needed(super::word_in_row(row, 2)?, 2)?,
        width_px: row.get(3)?,
        height_px: row.get(4)?,
        taken_at: super::word_in_row(row, 5)?,
        name: row.get(6)?,
        marks: Vec::new(),
    })
}

fn marks_in(conn: &Connection, photo: PhotoId) -> Result<Vec<MarkView>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT m.hole, h.number, h.state, h.in_question OR m.in_question
         FROM mark_now m JOIN hole_now h ON h.id = m.hole WHERE m.photo = ?1 ORDER BY h.number, m.hole",
    )?;
    let mut rows = statement.query([photo.0])?;
    let mut marks = Vec::new();
    while let Some(row) = rows.next()? {
        let hole = HoleId(row.get(0)?);
        marks.push(MarkView {
            hole,
            number: row.get(1)?,
            state: super::needed(super::word_in_row(row, 2)?, 2)?,
            in_question: row.get(3)?,
            answers: gather::marks(conn, hole, photo)?,
        });
    }
    Ok(marks)
}

/// A face's holes, by number.
pub(super) fn holes_of(conn: &Connection, face: FaceId) -> Result<Vec<HoleSummary>, Fault> {
    let sql = "SELECT id, number, thread, remedy, state, in_question, x_nm, y_nm FROM hole_now
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
        state: super::needed(super::word_in_row(row, 4)?, 4)?,
        in_question: row.get(5)?,
        at: x.map(Length::from_nm).zip(y.map(Length::from_nm)),
    })
}
