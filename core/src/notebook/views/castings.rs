//! Castings and their faces, with how far they are.

use super::counts::StateCounts;
use crate::hole::record::{Answers, Note, Said};
use crate::length::Length;
use crate::notebook::body::CastingBody;
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::kind::Kind;
use crate::notebook::{CastingId, FaceId, Notebook, PhotoId, gather};
use rusqlite::{Connection, OptionalExtension};
use uuid::Uuid;

/// A casting, in short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CastingSummary {
    /// Its id.
    pub id: CastingId,
    /// Its name; the first answer where several stand.
    pub name: String,
    /// Free words.
    pub note: Option<String>,
    /// Whether answers about the casting itself differ.
    pub in_question: bool,
    /// How many faces it has.
    pub faces: usize,
    /// How far its holes are.
    pub holes: StateCounts,
}

/// A face, in short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FaceSummary {
    /// Its id.
    pub id: FaceId,
    /// Its name; the first answer where several stand.
    pub name: String,
    /// The cut still to come, where it is planned and not in question.
    pub face_cut: Option<Length>,
    /// Whether answers about the face itself differ.
    pub in_question: bool,
    /// Its first photo.
    pub photo: Option<PhotoId>,
    /// How far its holes are.
    pub holes: StateCounts,
}

/// A casting.
#[derive(Debug, Clone, PartialEq)]
pub struct CastingView {
    /// Its id.
    pub id: CastingId,
    /// What stands about it; never empty.
    pub answers: Answers<CastingBody>,
    /// Its name; the first answer where several stand.
    pub name: String,
    /// Its faces.
    pub faces: Vec<FaceSummary>,
    /// Free words about it.
    pub notes: Vec<Said<Note>>,
}

impl Notebook {
    /// Every casting, by name.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn castings(&self) -> Result<Vec<CastingSummary>, NotebookError> {
        self.read(|conn| {
            let mut statement = conn.prepare_cached(
                "SELECT id, name, note, in_question FROM casting_now ORDER BY name, id",
            )?;
            let mut rows = statement.query([])?;
            let mut castings = Vec::new();
            while let Some(row) = rows.next()? {
                let id = CastingId(row.get(0)?);
                let faces: usize = conn
                    .prepare_cached("SELECT count(*) FROM face_now WHERE casting = ?1")?
                    .query_row([id.0], |row| row.get::<_, u32>(0))?
                    as usize;
                castings.push(CastingSummary {
                    id,
                    name: row.get(1)?,
                    note: row.get(2)?,
                    in_question: row.get(3)?,
                    faces,
                    holes: count(conn, OF_CASTING, id.0)?,
                });
            }
            Ok(castings)
        })
    }

    /// One casting with its faces.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] where there is none of that id, and where the notebook cannot be read.
    pub fn casting(&self, id: CastingId) -> Result<CastingView, NotebookError> {
        self.read(|conn| {
            let answers = gather::casting(conn, id)?;
            let first = answers
                .0
                .first()
                .ok_or_else(|| Fault::no_such("casting", id))?;
            let name = first.body.name.clone();
            let notes = gather::answers(conn, id.0, Kind::Note)?.0;
            Ok(CastingView {
                id,
                name,
                faces: faces_of(conn, id)?,
                answers,
                notes,
            })
        })
    }
}

/// A casting's faces, in the order in which they were added.
pub(super) fn faces_of(conn: &Connection, casting: CastingId) -> Result<Vec<FaceSummary>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT id, name, cut_nm, in_question FROM face_now WHERE casting = ?1 ORDER BY id",
    )?;
    let mut rows = statement.query([casting.0])?;
    let mut faces = Vec::new();
    while let Some(row) = rows.next()? {
        let id = FaceId(row.get(0)?);
        let photo = conn
            .prepare_cached("SELECT id FROM photo_now WHERE face = ?1 ORDER BY id LIMIT 1")?
            .query_row([id.0], |row| row.get(0).map(PhotoId))
            .optional()?;
        faces.push(FaceSummary {
            id,
            name: row.get(1)?,
            face_cut: row.get::<_, Option<i64>>(2)?.map(Length::from_nm),
            in_question: row.get(3)?,
            photo,
            holes: count(conn, OF_FACE, id.0)?,
        });
    }
    Ok(faces)
}

const OF_CASTING: &str =
    "SELECT h.state, count(*), sum(h.in_question) FROM face_now f JOIN hole_now h ON h.face = f.id
     WHERE f.casting = ?1 GROUP BY h.state";
const OF_FACE: &str =
    "SELECT state, count(*), sum(in_question) FROM hole_now WHERE face = ?1 GROUP BY state";

fn count(conn: &Connection, sql: &str, id: Uuid) -> Result<StateCounts, Fault> {
    let mut statement = conn.prepare_cached(sql)?;
    let mut rows = statement.query([id])?;
    let mut counts = StateCounts::default();
    while let Some(row) = rows.next()? {
        counts.holes.push((
            super::from_word(row.get(0)?)?,
            row.get::<_, u32>(1)? as usize,
        ));
        counts.in_question += row.get::<_, u32>(2)? as usize;
    }
    counts.holes.sort_unstable();
    Ok(counts)
}
