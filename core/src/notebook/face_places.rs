//! Records where things are on a face, and works out what follows: the centers of its holes, the table
//! moves to them, and the face cut.

use super::body::{HoleBody, MarkBody};
use super::edits::check_mark;
use super::error::{Fault, NotebookError};
use super::id::{EntryId, FaceId, HoleId, PhotoId};
use super::views::{FaceView, HoleSummary, PhotoView};
use super::write::NewEntry;
use super::{EntryKind, Notebook, load};
use crate::hole::record::{FactEntries, Recorded};
use crate::length::Length;
use crate::places::centers::{
    Center, Centers, CentersError, FacePlaces, HolePlace, PhotoPlaces, centers,
};
use crate::places::height::{FaceState, judge, level};
use crate::places::moves::moves;
use crate::places::record::{FaceHeights, KnownPlace, MillSetup, PatternHole, WantedPattern};
use holebook_place::HolePoint;
use holebook_place::flatness::{Jack, Leveling};
use holebook_place::moves::{Alignment, Moves};
use rusqlite::Connection;
use std::collections::BTreeSet;
use uuid::Uuid;

/// The mill: the subject of its setup.
const MILL: Uuid = Uuid::from_u128(0x8e14_77d2_5b0c_4f61_a3c9_0d62_9f1e_b758);

impl Notebook {
    /// Records where the holes of a face belong. `replaces` names the entries that it supersedes.
    ///
    /// # Errors
    /// If the pattern is not valid, if there is no such face or entry, or if the notebook cannot be
    /// written.
    pub fn set_pattern(
        &self,
        face: FaceId,
        pattern: &WantedPattern,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            tx.insert(NewEntry::new(face, pattern)?.replacing(replaces.iter().copied()))
        })
    }

    /// Records where holes of a face were measured, all or none, in place of what was known of each.
    ///
    /// # Errors
    /// If the face has no hole or two of a number, or a number is given twice; if the tolerance is
    /// below zero, or the notebook cannot be written.
    pub fn set_hole_places(
        &self,
        face: FaceId,
        places: &[PatternHole],
        tolerance: Option<Length>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        let holes = self.face(face)?.holes;
        let mut seen = BTreeSet::new();
        self.write(|tx| {
            let mut entries = Vec::with_capacity(places.len());
            for place in places {
                let hole = numbered(&holes, place.hole)?;
                if !seen.insert(hole) {
                    let number = place.hole;
                    return Err(Fault::invalid(format!("hole {number} is given twice")));
                }
                let before = load::entries::<HoleBody>(tx.conn(), hole.0)?.0;
                let body = HoleBody {
                    face,
                    number: place.hole,
                    x: Some(place.x),
                    y: Some(place.y),
                    tolerance,
                };
                let replaces = before.iter().map(|entry| entry.entry);
                entries.push(tx.insert(NewEntry::new(hole, &body)?.replacing(replaces))?);
            }
            Ok(entries)
        })
    }

    /// Records heights that were read on a face. All entries count together until they are struck
    /// out, or the face is cut.
    ///
    /// # Errors
    /// If there is no reading or too many, if there is no such face, or if the notebook cannot be
    /// written.
    pub fn record_heights(
        &self,
        face: FaceId,
        heights: &FaceHeights,
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            tx.insert(NewEntry::new(face, heights)?)
        })
    }

    /// Returns the height entries of a face that are not struck out.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn heights(&self, face: FaceId) -> Result<Vec<Recorded<FaceHeights>>, NotebookError> {
        Ok(self.read(|conn| load::entries(conn, face.0))?.0)
    }

    /// Records a point of known place in a photo.
    ///
    /// # Errors
    /// If it is outside the photo, if there is no such photo, or if the notebook cannot be written.
    pub fn add_known_place(
        &self,
        photo: PhotoId,
        known: &KnownPlace,
    ) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            check_mark(tx, photo, known.x_px, known.y_px)?;
            tx.insert(NewEntry::new(photo, known)?)
        })
    }

    /// Returns the known points of a photo that are not struck out.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn known_places(&self, photo: PhotoId) -> Result<Vec<Recorded<KnownPlace>>, NotebookError> {
        Ok(self.read(|conn| load::entries(conn, photo.0))?.0)
    }

    /// Records the mill at hand, in place of all active entries.
    ///
    /// # Errors
    /// If a number is not valid, or if the notebook cannot be written.
    pub fn set_mill(&self, mill: &MillSetup) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            let replaces = tx.active_entries(MILL, EntryKind::MillSetup)?;
            tx.insert(NewEntry::new(MILL, mill)?.replacing(replaces))
        })
    }

    /// Returns the active entries of the mill at hand; several if devices recorded different ones.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn mill(&self) -> Result<FactEntries<MillSetup>, NotebookError> {
        self.read(|conn| load::entries(conn, MILL))
    }

    /// Returns where the holes of a face belong, and how far those that were found are off. `good`
    /// names the holes that this may rest on; `None`: those graded sound, and if those are few, all
    /// that are not graded off center or a crater.
    ///
    /// # Errors
    /// [`NotebookError::Invalid`] if the face has no pattern, too few good holes were found, or they do
    /// not agree with it; also if there is no such face, or the notebook cannot be read.
    pub fn centers(
        &self,
        face: FaceId,
        good: Option<&BTreeSet<u32>>,
    ) -> Result<Centers, NotebookError> {
        let view = self.face(face)?;
        self.centers_of(&view, good)
    }

    /// The same for a face that is loaded.
    ///
    /// # Errors
    /// As for [`Notebook::centers`].
    pub fn centers_of(
        &self,
        face: &FaceView,
        good: Option<&BTreeSet<u32>>,
    ) -> Result<Centers, NotebookError> {
        let pattern = match (&face.record.pattern.0[..], face.record.pattern.agreed()) {
            ([], _) => return Err(invalid(&CentersError::NoPattern)),
            (_, None) => return Err(invalid(&CentersError::PatternsDiffer)),
            (_, Some(pattern)) => pattern,
        };
        let places = self.read(|conn| places_of(conn, face))?;
        centers(pattern, &places, good).map_err(|error| invalid(&error))
    }

    /// Returns where a hole belongs by the pattern of its face; `None` if that cannot be told.
    ///
    /// # Errors
    /// If there is no such hole, or the notebook cannot be read.
    pub fn center(&self, hole: HoleId) -> Result<Option<Center>, NotebookError> {
        let view = self.hole(hole)?;
        if view.face_record.pattern.0.is_empty() {
            return Ok(None);
        }
        let centers = match self.centers(view.face, None) {
            Ok(centers) => centers,
            Err(NotebookError::Invalid(_)) => return Ok(None),
            Err(error) => return Err(error),
        };
        let mut holes = centers.holes.into_iter();
        Ok(holes.find(|center| center.number == view.number))
    }

    /// Returns the table moves to centers of a face, with the mill at hand, in an order that travels
    /// least. `visit` names the holes; empty: all that are lost, or all if none is.
    ///
    /// # Errors
    /// As for [`Notebook::centers`]; and if a hole is not in the pattern, or a number not usable.
    pub fn moves_to_centers(
        &self,
        face: FaceId,
        reference: u32,
        visit: &[u32],
        alignment: Alignment,
    ) -> Result<Moves, NotebookError> {
        let centers = self.centers(face, None)?;
        let mill = self.mill()?;
        let moves = moves(&centers, reference, visit, alignment, mill.agreed());
        moves.map_err(|error| invalid(&error))
    }

    /// Judges a face by its heights: how flat it is, the least cut that cleans it up, and what each
    /// hole of known place loses.
    ///
    /// # Errors
    /// [`NotebookError::Invalid`] if no reading counts, or they cannot be judged; also if there is no
    /// such face, or the notebook cannot be read.
    pub fn face_state(&self, face: FaceId) -> Result<FaceState, NotebookError> {
        let view = self.face(face)?;
        let heights = self.heights(face)?;
        let state = judge(&heights, &view.record, hole_points(&view));
        state.map_err(|error| invalid(&error))
    }

    /// Returns how to level a face on jacks, by its heights.
    ///
    /// # Errors
    /// As for [`Notebook::face_state`]; and if there are fewer than three jacks, they stand in one
    /// line, or a number is not usable.
    pub fn level_face(&self, face: FaceId, jacks: &[Jack]) -> Result<Leveling, NotebookError> {
        let state = self.face_state(face)?;
        level(&state, jacks).map_err(|error| invalid(&error))
    }
}

fn invalid(error: &impl ToString) -> NotebookError {
    NotebookError::Invalid(error.to_string())
}

/// The only hole of a number.
fn numbered(holes: &[HoleSummary], number: u32) -> Result<HoleId, Fault> {
    let mut found = holes.iter().filter(|hole| hole.number == number);
    match (found.next(), found.next()) {
        (Some(hole), None) => Ok(hole.id),
        (None, _) => Err(Fault::invalid(format!(
            "this face has no hole {number}; mark or add it first"
        ))),
        (Some(_), Some(_)) => Err(Fault::invalid(format!(
            "this face has two holes {number}; renumber one first"
        ))),
    }
}

/// Where holes are, for what a cut takes there.
fn hole_points(face: &FaceView) -> Vec<HolePoint> {
    let places = face.hole_places().into_iter();
    let points = places.map(|place| HolePoint {
        hole: place.hole,
        x_mm: place.x.mm(),
        y_mm: place.y.mm(),
    });
    points.collect()
}

/// What is recorded about the places of a face.
fn places_of(conn: &Connection, face: &FaceView) -> Result<FacePlaces, Fault> {
    let alone = face.holes.iter().filter(|hole| !hole.shares_number);
    let holes = alone.map(|hole| {
        let bodies = match hole.at {
            Some(_) => load::entries::<HoleBody>(conn, hole.id.0)?.0,
            None => Vec::new(),
        };
        Ok(HolePlace {
            number: hole.number,
            condition: hole.condition,
            at: hole.at,
            tolerance: bodies.first().and_then(|entry| entry.body.tolerance),
        })
    });
    let photos = face.photos.iter().map(|photo| {
        let known = load::entries::<KnownPlace>(conn, photo.id.0)?.0;
        Ok(PhotoPlaces {
            photo: photo.id,
            width_px: photo.width_px,
            height_px: photo.height_px,
            marks: marks_of(face, photo),
            known: known.into_iter().map(|entry| entry.body).collect(),
        })
    });
    Ok(FacePlaces {
        holes: holes.collect::<Result<_, Fault>>()?,
        photos: photos.collect::<Result<_, Fault>>()?,
    })
}

/// The marks in a photo that are not in conflict, of holes that share no number.
fn marks_of(face: &FaceView, photo: &PhotoView) -> Vec<(u32, f64, f64)> {
    let marks = photo.marks.iter().filter_map(|mark| {
        let hole = face.holes.iter().find(|hole| hole.id == mark.hole)?;
        let body: &MarkBody = mark.entries.agreed()?;
        (!hole.shares_number).then_some((mark.number, body.x_px, body.y_px))
    });
    marks.collect()
}
