//! The castings, faces and holes that were opened last on this device: a setting, not a part of the
//! journal.

use super::error::{Fault, NotebookError};
use super::id::{CastingId, FaceId, HoleId};
use super::settings::{self, SettingName};
use super::views::{HoleSummary, holes_of};
use super::{Notebook, load};
use rusqlite::{Connection, OptionalExtension};
use serde::{Deserialize, Serialize};
use serde_json::json;

/// How many are kept.
const MOST: usize = 6;

/// A casting, face or hole.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Opened {
    /// A casting.
    Casting(CastingId),
    /// A face.
    Face(FaceId),
    /// A hole.
    Hole(HoleId),
}

/// What was opened, with its name and the holes that it is about.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct RecentlyOpened {
    /// What it is.
    pub opened: Opened,
    /// Its casting's name.
    pub casting_name: String,
    /// Its face's name; `None` for a casting.
    pub face_name: Option<String>,
    /// The hole itself, or all holes of the face or casting, each face's sorted by number.
    pub holes: Vec<HoleSummary>,
}

impl Notebook {
    /// Keeps in mind that something was opened. Writes nothing if it was the last one already.
    ///
    /// # Errors
    /// If the notebook cannot be read or written.
    pub fn remember_opened(&self, opened: Opened) -> Result<(), NotebookError> {
        let before = self.read(kept)?;
        if before.first() == Some(&opened) {
            return Ok(());
        }
        self.write(|tx| {
            let mut kept = kept(tx.conn())?;
            kept.retain(|other| *other != opened);
            kept.insert(0, opened);
            kept.truncate(MOST);
            settings::write(tx.conn(), SettingName::Recent, &json!(kept).to_string())
        })
    }

    /// Returns what was opened last on this device, the last one first: six at most. What is no
    /// longer here is left out.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn recently_opened(&self) -> Result<Vec<RecentlyOpened>, NotebookError> {
        self.read(|conn| {
            let kept = kept(conn)?.into_iter();
            let found = kept.filter_map(|opened| found(conn, opened).transpose());
            found.collect()
        })
    }
}

fn kept(conn: &Connection) -> Result<Vec<Opened>, Fault> {
    settings::read_json(conn, SettingName::Recent)
}

fn found(conn: &Connection, opened: Opened) -> Result<Option<RecentlyOpened>, Fault> {
    match opened {
        Opened::Casting(id) => of_casting(conn, id),
        Opened::Face(id) => of_face(conn, id),
        Opened::Hole(id) => of_hole(conn, id),
    }
}

fn of_casting(conn: &Connection, id: CastingId) -> Result<Option<RecentlyOpened>, Fault> {
    let Some(details) = load::casting(conn, id)?.0.into_iter().next() else {
        return Ok(None);
    };
    let mut faces = conn.prepare_cached("SELECT id FROM face WHERE casting = ?1 ORDER BY id")?;
    let faces = faces.query_map([id.0], |row| row.get(0).map(FaceId))?;
    let mut holes = Vec::new();
    for face in faces {
        holes.extend(holes_of(conn, face?)?);
    }
    Ok(Some(RecentlyOpened {
        opened: Opened::Casting(id),
        casting_name: details.body.name,
        face_name: None,
        holes,
    }))
}

fn of_face(conn: &Connection, id: FaceId) -> Result<Option<RecentlyOpened>, Fault> {
    let facts = load::face_on_casting(conn, id)?;
    let Some(details) = facts.details.0.into_iter().next() else {
        return Ok(None);
    };
    Ok(Some(RecentlyOpened {
        opened: Opened::Face(id),
        casting_name: facts.casting_name.unwrap_or_default(),
        face_name: Some(details.body.name),
        holes: holes_of(conn, id)?,
    }))
}

fn of_hole(conn: &Connection, id: HoleId) -> Result<Option<RecentlyOpened>, Fault> {
    let mut statement = conn.prepare_cached("SELECT face FROM hole WHERE id = ?1")?;
    let face = statement.query_row([id.0], |row| row.get(0).map(FaceId));
    let Some(face) = face.optional()? else {
        return Ok(None);
    };
    let on = of_face(conn, face)?;
    Ok(on.map(|on| RecentlyOpened {
        opened: Opened::Hole(id),
        holes: on.holes.into_iter().filter(|hole| hole.id == id).collect(),
        ..on
    }))
}
