//! Castings and their faces, with the stages of their holes.

use super::counts::StageCounts;
use crate::hole::record::{FactEntries, Note, Recorded};
use crate::length::Length;
use crate::notebook::body::CastingBody;
use crate::notebook::error::{Fault, NotebookError};
use crate::notebook::{CastingId, FaceId, Notebook, PhotoId, load};
use rusqlite::Connection;
use uuid::Uuid;

/// A casting in a list.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct CastingSummary {
    /// Its id.
    pub id: CastingId,
    /// Its name; the first one if they are in conflict.
    pub name: String,
    /// A note in free text.
    pub note: Option<String>,
    /// Whether its details are in conflict.
    pub conflict: bool,
    /// Number of faces.
    pub faces: u32,
    /// Its holes, counted by stage.
    pub holes: StageCounts,
}

/// A face in a list.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq)]
pub struct FaceSummary {
    /// Its id.
    pub id: FaceId,
    /// Its name; the first one if they are in conflict.
    pub name: String,
    /// The planned face cut; `None` if there is none or it is in conflict.
    pub face_cut: Option<Length>,
    /// The stock left to remove; `None` if no cut is planned or the plan is in conflict.
    pub left_to_remove: Option<Length>,
    /// Whether its details or its planned face cut are in conflict.
    pub conflict: bool,
    /// Its first photo.
    pub photo: Option<PhotoId>,
    /// Its holes, counted by stage.
    pub holes: StageCounts,
}

/// A casting's page.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct CastingView {
    /// Its id.
    pub id: CastingId,
    /// The active entries with its details; never empty.
    pub details: FactEntries<CastingBody>,
    /// Its name; the first one if they are in conflict.
    pub name: String,
    /// Its faces.
    pub faces: Vec<FaceSummary>,
    /// Notes about it.
    pub notes: Vec<Recorded<Note>>,
}

impl Notebook {
    /// Returns all castings, sorted by name.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn castings(&self) -> Result<Vec<CastingSummary>, NotebookError> {
        self.read(|conn| {
            let mut statement = conn
                .prepare_cached("SELECT id, name, note, conflict FROM casting ORDER BY name, id")?;
            let mut rows = statement.query([])?;
            let mut castings = Vec::new();
            while let Some(row) = rows.next()? {
                let id = CastingId(row.get(0)?);
                let faces = conn
                    .prepare_cached("SELECT count(*) FROM face WHERE casting = ?1")?
                    .query_row([id.0], |row| row.get(0))?;
                castings.push(CastingSummary {
                    id,
                    name: row.get(1)?,
                    note: row.get(2)?,
                    conflict: row.get(3)?,
                    faces,
                    holes: count(conn, OF_CASTING, id.0)?,
                });
            }
            Ok(castings)
        })
    }

    /// Returns one casting with its faces.
    ///
    /// # Errors
    /// [`NotebookError::NoSuch`] if there is none with that id; also if the notebook cannot be
    /// read.
    pub fn casting(&self, id: CastingId) -> Result<CastingView, NotebookError> {
        self.read(|conn| {
            let details = load::casting(conn, id)?;
            let first = details
                .0
                .first()
                .ok_or_else(|| Fault::no_such("casting", id))?;
            let name = first.body.name.clone();
            let notes = load::entries(conn, id.0)?.0;
            Ok(CastingView {
                id,
                name,
                faces: faces_of(conn, id)?,
                details,
                notes,
            })
        })
    }
}

/// Returns a casting's faces in the order in which they were added.
pub(super) fn faces_of(conn: &Connection, casting: CastingId) -> Result<Vec<FaceSummary>, Fault> {
    let mut statement = conn.prepare_cached(
        "SELECT id, name, planned_nm, left_nm, conflict FROM face WHERE casting = ?1 ORDER BY id",
    )?;
    let mut rows = statement.query([casting.0])?;
    let mut faces = Vec::new();
    while let Some(row) = rows.next()? {
        let id = FaceId(row.get(0)?);
        let photo = super::faces::first_photo_of(conn, id)?;
        faces.push(FaceSummary {
            id,
            name: row.get(1)?,
            face_cut: row.get::<_, Option<i64>>(2)?.map(Length::from_nm),
            left_to_remove: row.get::<_, Option<i64>>(3)?.map(Length::from_nm),
            conflict: row.get(4)?,
            photo,
            holes: count(conn, OF_FACE, id.0)?,
        });
    }
    Ok(faces)
}

const OF_CASTING: &str =
    "SELECT h.stage, count(*), sum(h.conflict), sum(h.problems > 0) FROM face f JOIN hole h ON h.face = f.id
     WHERE f.casting = ?1 GROUP BY h.stage";
const OF_FACE: &str = "SELECT stage, count(*), sum(conflict), sum(problems > 0) FROM hole WHERE face = ?1 GROUP BY stage";

fn count(conn: &Connection, sql: &str, id: Uuid) -> Result<StageCounts, Fault> {
    let mut statement = conn.prepare_cached(sql)?;
    let mut rows = statement.query([id])?;
    let mut counts = StageCounts::default();
    while let Some(row) = rows.next()? {
        let stage = super::from_word(row.get(0)?)?;
        counts.holes.push((stage, row.get(1)?));
        counts.conflicts += row.get::<_, u32>(2)?;
        counts.problems += row.get::<_, u32>(3)?;
    }
    counts.holes.sort_unstable();
    Ok(counts)
}
