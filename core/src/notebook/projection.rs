//! The projection tables: one row for each casting, face, photo, hole, mark and device, derived
//! from its active entries and updated whenever one of them changes.

use super::active_entries;
use super::body::{DeviceBody, PhotoBody};
use super::error::Fault;
use super::facts::HoleFacts;
use super::id::{CastingId, FaceId, HoleId, PhotoId};
use super::judge::Judge;
use super::load;
use super::projection_row::ProjectionRow;
use super::removed_photos;
use crate::hole::condition::Condition;
use crate::hole::inherit::inherit;
use crate::hole::next_task::Judgment;
use crate::length::Length;
use rusqlite::{Connection, Params, params};
use serde_json::json;
use std::collections::BTreeSet;
use uuid::Uuid;

/// The version of the projection. Raise it by one whenever the same entries give other rows than
/// before (a kind is added, a body reads differently, a stage is derived differently), so that the
/// tables of existing notebooks are rebuilt.
pub(crate) const PROJECTION_VERSION: i64 = 10;

/// Updates rows; deletes those whose subject has no active entry left.
pub(crate) fn update(conn: &Connection, rows: BTreeSet<ProjectionRow>) -> Result<(), Fault> {
    let mut holes: BTreeSet<(HoleId, Option<PhotoId>)> = BTreeSet::new();
    for row in rows {
        match row {
            ProjectionRow::Device(id) => device(conn, id)?,
            ProjectionRow::Casting(id) => casting(conn, id)?,
            ProjectionRow::Face(id) => face(conn, id)?,
            ProjectionRow::Photo(id) => photo(conn, id)?,
            ProjectionRow::HolesOfFace(id) => {
                holes.extend(hole_ids(
                    conn,
                    "SELECT id FROM hole WHERE face = ?1",
                    [id.0],
                )?);
            }
            ProjectionRow::HolesOfCasting(id) => {
                let sql = "SELECT h.id FROM face f JOIN hole h ON h.face = f.id
                     WHERE f.casting = ?1";
                holes.extend(hole_ids(conn, sql, [id.0])?);
            }
            ProjectionRow::ChosenHoles => {
                let sql = "SELECT id FROM hole WHERE remedy IS NOT NULL";
                holes.extend(hole_ids(conn, sql, [])?);
            }
            ProjectionRow::RestingOn(subject) => {
                let resting = active_entries::subjects_resting_on(conn, subject)?;
                holes.extend(resting.into_iter().map(|hole| (HoleId(hole), None)));
            }
            ProjectionRow::Hole(id, in_photo) => {
                holes.insert((id, in_photo));
            }
        }
    }
    update_holes(conn, holes)
}

fn hole_ids(
    conn: &Connection,
    sql: &str,
    of: impl Params,
) -> Result<Vec<(HoleId, Option<PhotoId>)>, Fault> {
    let mut statement = conn.prepare_cached(sql)?;
    let ids = statement.query_map(of, |row| Ok((HoleId(row.get(0)?), None)))?;
    Ok(ids.collect::<Result<_, _>>()?)
}

/// Updates holes (`None`) and their marks. A hole and its marks are neighbors in the set, so that
/// the hole's entries are loaded once for all of them.
fn update_holes(
    conn: &Connection,
    holes: BTreeSet<(HoleId, Option<PhotoId>)>,
) -> Result<(), Fault> {
    let mut judge = Judge::new(conn);
    let mut loaded: Option<(HoleId, HoleFacts)> = None;
    for (id, in_photo) in holes {
        let facts = match loaded.take() {
            Some((of, facts)) if of == id => facts,
            _ => load::hole(conn, id)?,
        };
        match in_photo {
            None => hole(conn, id, &facts, &mut judge)?,
            Some(photo) => mark(conn, id, photo, &facts)?,
        }
        loaded = Some((id, facts));
    }
    Ok(())
}

fn device(conn: &Connection, id: Uuid) -> Result<(), Fault> {
    let entries = load::entries::<DeviceBody>(conn, id)?;
    let Some(first) = entries.0.first() else {
        return delete(conn, "DELETE FROM device WHERE id = ?1", id);
    };
    conn.prepare_cached("INSERT OR REPLACE INTO device (id, name) VALUES (?1, ?2)")?
        .execute(params![id, first.body.name])?;
    Ok(())
}

fn casting(conn: &Connection, id: CastingId) -> Result<(), Fault> {
    let entries = load::casting(conn, id)?;
    let Some(first) = entries.0.first() else {
        return delete(conn, "DELETE FROM casting WHERE id = ?1", id.0);
    };
    let sql = "INSERT OR REPLACE INTO casting (id, name, note, conflict) VALUES (?1, ?2, ?3, ?4)";
    conn.prepare_cached(sql)?.execute(params![
        id.0,
        first.body.name,
        first.body.note,
        entries.differ()
    ])?;
    Ok(())
}

fn face(conn: &Connection, id: FaceId) -> Result<(), Fault> {
    let facts = load::face(conn, id)?;
    let Some(first) = facts.details.0.first() else {
        return delete(conn, "DELETE FROM face WHERE id = ?1", id.0);
    };
    let cut = &facts.record.planned_cut;
    let conflict = facts.details.differ() || cut.differ() || facts.record.setup.differs();
    let left = facts.record.left_to_remove().filter(|_| !cut.differ());
    let sql = "INSERT OR REPLACE INTO face (id, casting, name, planned_nm, left_nm, conflict)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6)";
    conn.prepare_cached(sql)?.execute(params![
        id.0,
        first.body.casting.0,
        first.body.name,
        cut.agreed().map(|cut| cut.planned.nm()),
        left.map(Length::nm),
        conflict
    ])?;
    Ok(())
}

fn photo(conn: &Connection, id: PhotoId) -> Result<(), Fault> {
    let entries = load::entries::<PhotoBody>(conn, id.0)?;
    delete(conn, "DELETE FROM removed_photo WHERE id = ?1", id.0)?;
    let Some(first) = entries.0.first() else {
        if let Some(removed) = removed_photos::removed(conn, id)? {
            conn.prepare_cached("INSERT INTO removed_photo (id, face) VALUES (?1, ?2)")?
                .execute([id.0, removed.body.face.0])?;
        }
        return delete(conn, "DELETE FROM photo WHERE id = ?1", id.0);
    };
    let body = &first.body;
    let sql = "INSERT OR REPLACE INTO photo (id, face, hash, width_px, height_px, taken_at, name)
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

fn hole(
    conn: &Connection,
    id: HoleId,
    facts: &HoleFacts,
    judge: &mut Judge<'_>,
) -> Result<(), Fault> {
    let Some(first) = facts.placement.0.first() else {
        return delete(conn, "DELETE FROM hole WHERE id = ?1", id.0);
    };
    let face = judge.face(first.body.face)?;
    let record = inherit(&facts.record, face);
    let Judgment { status, next } = judge.judgment(&facts.record, first.body.face)?;
    let (wanted, choice) = (record.wanted.agreed(), record.choice.agreed());
    let sql = "INSERT OR REPLACE INTO hole
         (id, face, number, x_nm, y_nm, thread, condition, remedy, stage, conflict, problems,
          next_task)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)";
    conn.prepare_cached(sql)?.execute(params![
        id.0,
        first.body.face.0,
        first.body.number,
        first.body.x.map(|x| x.nm()),
        first.body.y.map(|y| y.nm()),
        wanted.map(|wanted| wanted.thread.designation()),
        facts.record.condition_in_force().map(Condition::name),
        choice.map(|choice| json!(choice.spec.remedy).as_str().map(str::to_owned)),
        status.stage.label(),
        facts.has_conflict(&status),
        u32::try_from(status.problems.len()).unwrap_or(u32::MAX),
        serde_json::to_string(&next).map_err(Fault::unreadable)?
    ])?;
    Ok(())
}

fn mark(conn: &Connection, hole: HoleId, photo: PhotoId, facts: &HoleFacts) -> Result<(), Fault> {
    let entries = facts.marks.get(&photo);
    let Some((entries, first)) = entries.and_then(|entries| Some((entries, entries.0.first()?)))
    else {
        conn.prepare_cached("DELETE FROM mark WHERE photo = ?1 AND hole = ?2")?
            .execute([photo.0, hole.0])?;
        return Ok(());
    };
    let sql = "INSERT OR REPLACE INTO mark (photo, hole, x_px, y_px, conflict)
         VALUES (?1, ?2, ?3, ?4, ?5)";
    conn.prepare_cached(sql)?.execute(params![
        photo.0,
        hole.0,
        first.body.x_px,
        first.body.y_px,
        entries.differ()
    ])?;
    Ok(())
}

fn delete(conn: &Connection, sql: &str, id: Uuid) -> Result<(), Fault> {
    conn.prepare_cached(sql)?.execute([id])?;
    Ok(())
}
