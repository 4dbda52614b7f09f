//! The holes of several castings with their plans, for what is worked out of many holes at once.

use super::castings::faces_of;
use super::faces::{photos_of, where_marked};
use crate::hole::kit::{HoleName, PlannedHole};
use crate::hole::plan::Plan;
use crate::insert::Catalog;
use crate::notebook::error::Fault;
use crate::notebook::{CastingId, FaceId, load};
use rusqlite::Connection;

/// The holes that a kit or an order of the work is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WorkScope {
    /// All castings of the notebook.
    All,
    /// Some castings.
    Castings(Vec<CastingId>),
    /// One face.
    Face(FaceId),
}

/// A hole with its plan, and where it is in the photo with the most marks, in pixels.
pub(super) struct LoadedHole {
    pub planned: PlannedHole,
    pub position: Option<(f64, f64)>,
}

/// Loads the holes of a scope with the plans of their chosen remedies, by casting, face and number.
pub(super) fn load_holes(
    conn: &Connection,
    scope: &WorkScope,
    catalog: &Catalog,
) -> Result<Vec<LoadedHole>, Fault> {
    let mut holes = Vec::new();
    match scope {
        WorkScope::Face(face) => {
            crate::notebook::require::face(conn, *face)?;
            add_face(conn, *face, catalog, &mut holes)?;
        }
        WorkScope::Castings(castings) => {
            for casting in castings {
                if load::casting(conn, *casting)?.0.is_empty() {
                    return Err(Fault::no_such("casting", casting));
                }
                add_casting(conn, *casting, catalog, &mut holes)?;
            }
        }
        WorkScope::All => {
            let sql = "SELECT id FROM casting ORDER BY name, id";
            let mut statement = conn.prepare_cached(sql)?;
            let castings = statement.query_map([], |row| row.get(0).map(CastingId))?;
            for casting in castings.collect::<Result<Vec<_>, _>>()? {
                add_casting(conn, casting, catalog, &mut holes)?;
            }
        }
    }
    Ok(holes)
}

fn add_casting(
    conn: &Connection,
    casting: CastingId,
    catalog: &Catalog,
    holes: &mut Vec<LoadedHole>,
) -> Result<(), Fault> {
    for face in faces_of(conn, casting)? {
        add_face(conn, face.id, catalog, holes)?;
    }
    Ok(())
}

fn add_face(
    conn: &Connection,
    face: FaceId,
    catalog: &Catalog,
    holes: &mut Vec<LoadedHole>,
) -> Result<(), Fault> {
    let facts = load::face_on_casting(conn, face)?;
    let Some(details) = facts.details.0.first().map(|details| &details.body) else {
        return Ok(());
    };
    let marked = where_marked(&photos_of(conn, face)?);
    for hole in super::holes_of(conn, face)? {
        let record = load::hole(conn, hole.id)?.record;
        let at = HoleName {
            casting: details.casting,
            casting_name: facts.casting_name.clone().unwrap_or_default(),
            face,
            face_name: details.name.clone(),
            hole: hole.id,
            number: hole.number,
        };
        holes.push(LoadedHole {
            planned: PlannedHole {
                at,
                plan: Plan::of_chosen(&record, &facts.record, catalog),
                bolt_is_in: record.bolt_is_in(&facts.record),
            },
            position: marked.get(&hole.id).copied(),
        });
    }
    Ok(())
}
