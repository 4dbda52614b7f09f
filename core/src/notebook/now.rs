//! The tables of what the notebook says now: one row a thing, worked out anew whenever an entry about it lands.

use super::body::{DeviceBody, PhotoBody};
use super::error::Fault;
use super::gather::{self, HoleFacts};
use super::id::{CastingId, FaceId, HoleId, PhotoId};
use super::kind::Kind;
use crate::hole::state::standing;
use rusqlite::{Connection, params};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use uuid::Uuid;

/// A row of one of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Row {
    Device(Uuid),
    Casting(CastingId),
    Face(FaceId),
    Photo(PhotoId),
    /// Where the hole is in a photo, or without a photo the hole itself. They follow each other, so that a hole's entries
    /// are gathered once for all of them.
    Hole(HoleId, Option<PhotoId>),
}

impl Row {
    /// The rows that an entry has a part in.
    pub(crate) fn of(kind: &str, subject: Uuid, slot: Option<Uuid>) -> impl Iterator<Item = Self> {
        let hole = Self::Hole(HoleId(subject), None);
        let mark = |photo| Self::Hole(HoleId(subject), Some(PhotoId(photo)));
        let (first, second) = match Kind::of(kind) {
            Some(Kind::Device) => (Some(Self::Device(subject)), None),
            Some(Kind::Casting) => (Some(Self::Casting(CastingId(subject))), None),
            Some(Kind::Face | Kind::FaceCut) => (Some(Self::Face(FaceId(subject))), None),
            Some(Kind::Photo) => (Some(Self::Photo(PhotoId(subject))), None),
            Some(Kind::Mark) => (Some(hole), slot.map(mark)),
            Some(Kind::FaceMilled | Kind::Note | Kind::Inserts | Kind::Strike) | None => {
                (None, None)
            }
            Some(_) => (Some(hole), None),
        };
        first.into_iter().chain(second)
    }
}

/// Works rows out anew; where nothing stands any more, takes them away.
pub(crate) fn work_out(conn: &Connection, rows: BTreeSet<Row>) -> Result<(), Fault> {
    let mut gathered: Option<(HoleId, HoleFacts)> = None;
    for row in rows {
        match row {
            Row::Device(id) => device(conn, id)?,
            Row::Casting(id) => casting(conn, id)?,
            Row::Face(id) => face(conn, id)?,
            Row::Photo(id) => photo(conn, id)?,
            Row::Hole(id, in_photo) => {
                let facts = match gathered.take() {
                    Some((of, facts)) if of == id => facts,
                    _ => gather::hole(conn, id)?,
                };
                match in_photo {
                    None => hole(conn, id, &facts)?,
                    Some(photo) => mark(conn, id, photo, &facts)?,
                }
                gathered = Some((id, facts));
            }
        }
    }
    Ok(())
}

fn device(conn: &Connection, id: Uuid) -> Result<(), Fault> {
    let answers = gather::answers::<DeviceBody>(conn, id, Kind::Device)?;
    let Some(first) = answers.0.first() else {
        return drop_row(conn, "DELETE FROM device_now WHERE id = ?1", id);
    };
    conn.prepare_cached("INSERT OR REPLACE INTO device_now (id, name) VALUES (?1, ?2)")?
        .execute(params![id, first.body.name])?;
    Ok(())
}

fn casting(conn: &Connection, id: CastingId) -> Result<(), Fault> {
    let answers = gather::casting(conn, id)?;
    let Some(first) = answers.0.first() else {
        return drop_row(conn, "DELETE FROM casting_now WHERE id = ?1", id.0);
    };
    conn.prepare_cached(
        "INSERT OR REPLACE INTO casting_now (id, name, note, in_question) VALUES (?1, ?2, ?3, ?4)",
    )?
    .execute(params![
        id.0,
        first.body.name,
        first.body.note,
        answers.differ()
    ])?;
    Ok(())
}

fn face(conn: &Connection, id: FaceId) -> Result<(), Fault> {
    let facts = gather::face(conn, id)?;
    let Some(first) = facts.named.0.first() else {
        return drop_row(conn, "DELETE FROM face_now WHERE id = ?1", id.0);
    };
    let cut = &facts.record.planned_cut;
    let in_question = facts.named.differ() || cut.differ();
    let sql = "INSERT OR REPLACE INTO face_now (id, casting, name, cut_nm, in_question) VALUES (?1, ?2, ?3, ?4, ?5)";
    conn.prepare_cached(sql)?.execute(params![
        id.0,
        first.body.casting.0,
        first.body.name,
        cut.settled().map(|cut| cut.planned.nm()),
        in_question
    ])?;
    Ok(())
}

fn photo(conn: &Connection, id: PhotoId) -> Result<(), Fault> {
    let answers = gather::answers::<PhotoBody>(conn, id.0, Kind::Photo)?;
    let Some(first) = answers.0.first() else {
        return drop_row(conn, "DELETE FROM photo_now WHERE id = ?1", id.0);
    };
    let body = &first.body;
    let sql =
        "INSERT OR REPLACE INTO photo_now (id, face, hash, width_px, height_px, taken_at, name)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)";
    conn.prepare_cached(sql)?.execute(params![
        id.0,
        body.face.0,
        body.hash.to_string(),
        body.width_px,
        body.height_px,
        body.taken_at.map(|taken| taken.to_string()),
        body.name
    ])?;
    Ok(())
}

fn hole(conn: &Connection, id: HoleId, facts: &HoleFacts) -> Result<(), Fault> {
    let Some(first) = facts.placed.0.first() else {
        return drop_row(conn, "DELETE FROM hole_now WHERE id = ?1", id.0);
    };
    let standing = standing(&facts.record);
    let sql = "INSERT OR REPLACE INTO hole_now (id, face, number, x_nm, y_nm, thread, remedy, state, in_question)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)";
    conn.prepare_cached(sql)?.execute(params![
        id.0,
        first.body.face.0,
        first.body.number,
        first.body.x.map(|x| x.nm()),
        first.body.y.map(|y| y.nm()),
        facts
            .record
            .wanted
            .settled()
            .map(|wanted| wanted.thread.designation()),
        facts
            .record
            .choice
            .settled()
            .map(|choice| word(&json!(choice.work.remedy)).map(str::to_owned)),
        standing.state.word(),
        facts.is_in_question(&standing)
    ])?;
    Ok(())
}

fn mark(conn: &Connection, hole: HoleId, photo: PhotoId, facts: &HoleFacts) -> Result<(), Fault> {
    let answers = facts.marks.get(&photo);
    let Some((answers, first)) = answers.and_then(|answers| Some((answers, answers.0.first()?)))
    else {
        conn.prepare_cached("DELETE FROM mark_now WHERE photo = ?1 AND hole = ?2")?
            .execute([photo.0, hole.0])?;
        return Ok(());
    };
    let sql = "INSERT OR REPLACE INTO mark_now (photo, hole, x_px, y_px, in_question) VALUES (?1, ?2, ?3, ?4, ?5)";
    conn.prepare_cached(sql)?.execute(params![
        photo.0,
        hole.0,
        first.body.x_px,
        first.body.y_px,
        answers.differ()
    ])?;
    Ok(())
}

fn drop_row(conn: &Connection, sql: &str, id: Uuid) -> Result<(), Fault> {
    conn.prepare_cached(sql)?.execute([id])?;
    Ok(())
}

/// The word that an enum has in JSON.
fn word(value: &Value) -> Option<&str> {
    value.as_str()
}
