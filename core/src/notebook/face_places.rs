//! Records where things are on a face, and works out what follows: the centers of its holes, the table
//! moves to them, and the face cut.

use super::body::{HoleBody, MarkBody};
use super::edits::check_mark;
use super::error::{Fault, NotebookError};
use super::id::{EntryId, FaceId, HoleId, PhotoId};
use super::place_basis::PlaceBasis;
use super::views::{FaceView, HoleSummary, PhotoView};
use super::write::NewEntry;
use super::{EntryKind, Notebook, load};
use crate::hole::record::{FaceCut, FactEntries, Recorded};
use crate::length::Length;
use crate::places::centers::{
    Centers, CentersError, FacePlaces, HoleCenter, HolePlace, centers, is_graded_off,
};
use crate::places::height::{FaceState, judge, level};
use crate::places::moves::moves;
use crate::places::outline::{
    IntendedCenter, MeasuredOutline, OutlineCenter, OutlineError, by_plane, by_rims,
};
use crate::places::photos::{PhotoMark, PhotoPlaces};
use crate::places::plane::PhotoPlane;
use crate::places::record::{
    FaceHeights, GoodHoles, KnownPlace, MillSetup, PatternHole, WantedPattern,
};
use crate::places::straight::{StraightPicture, Straightener};
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

    /// Records which holes the places of a face rest on, in place of all active entries.
    ///
    /// # Errors
    /// If there are fewer than two or a number is given twice, if there is no such face, or if the
    /// notebook cannot be written.
    pub fn set_good_holes(&self, face: FaceId, good: &GoodHoles) -> Result<EntryId, NotebookError> {
        self.write(|tx| {
            tx.require_face(face)?;
            let replaces = tx.active_entries(face.0, EntryKind::GoodHoles)?;
            tx.insert(NewEntry::new(face, good)?.replacing(replaces))
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
    /// names the holes that this may rest on; `None`: those that were chosen as good, else those
    /// graded sound, and if those are few, all that are not graded off center or a crater.
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
        let chosen = face.record.good.agreed();
        let chosen = chosen.map(|chosen| chosen.holes.iter().copied().collect());
        centers(pattern, &places, good.or(chosen.as_ref())).map_err(|error| invalid(&error))
    }

    /// Returns where a hole belongs by the pattern of its face; `None` if that cannot be told.
    ///
    /// # Errors
    /// If there is no such hole, or the notebook cannot be read.
    pub fn center(&self, hole: HoleId) -> Result<Option<HoleCenter>, NotebookError> {
        let view = self.hole(hole)?;
        if view.face_record.pattern.0.is_empty() {
            return Ok(None);
        }
        let face = self.face(view.face)?;
        let centers = match self.centers_of(&face, None) {
            Ok(centers) => centers,
            Err(NotebookError::Invalid(_)) => return Ok(None),
            Err(error) => return Err(error),
        };
        let mut holes = centers.holes.iter();
        let Some(center) = holes.find(|center| center.number == view.number) else {
            return Ok(None);
        };
        let rests_on = self.read(|conn| {
            let mut basis = PlaceBasis::new(conn, &face);
            basis.center(&centers, view.number)?;
            Ok(basis.finish())
        })?;
        Ok(Some(HoleCenter {
            center: center.clone(),
            rests_on,
        }))
    }

    /// Returns a photo as a map of its face: by the marked holes whose places are known, as measured
    /// or by the pattern, else by its known points.
    ///
    /// # Errors
    /// [`NotebookError::Invalid`] if the photo cannot be measured yet, or no flat face looks like that;
    /// also if there is no such photo, or the notebook cannot be read.
    pub fn photo_plane(&self, photo: PhotoId) -> Result<PhotoPlane, NotebookError> {
        let view = self.photo(photo)?;
        let face = self.face(view.face)?;
        self.plane_of(&face, photo)
    }

    /// The same for a face that is loaded.
    ///
    /// # Errors
    /// As for [`Notebook::photo_plane`].
    pub fn plane_of(&self, face: &FaceView, photo: PhotoId) -> Result<PhotoPlane, NotebookError> {
        let places = self.read(|conn| places_of(conn, face))?;
        let mut photos = places.photos.into_iter();
        let own = photos.find(|own| own.photo == photo);
        let own = own.ok_or_else(|| NotebookError::NoSuch {
            what: "photo",
            id: photo.to_string(),
        })?;
        PhotoPlane::of(own, &sound_points(face)).map_err(|error| invalid(&error))
    }

    /// Returns a photo of a face as seen from straight above, in true scale.
    ///
    /// Blocks while it is made: some tenths of a second of processor.
    ///
    /// # Errors
    /// As for [`Notebook::photo_plane`]; and if the photo's file cannot be read.
    pub fn straightened(&self, photo: PhotoId) -> Result<StraightPicture, NotebookError> {
        let plane = self.photo_plane(photo)?;
        let hash = self.photo(photo)?.hash;
        let straightener = Straightener::open(&self.photos, &hash, &plane)?;
        Ok(straightener.picture(plane.bounds(), 0.0)?)
    }

    /// Measures the edge of a crater that somebody traced in a photo: points in pixels of the upright
    /// photo. Its scale comes from the places known in the photo, else from the rims of holes whose
    /// thread is set. Nothing is recorded.
    ///
    /// # Errors
    /// [`NotebookError::Invalid`] if nothing gives the photo a scale, the hole's center is neither
    /// marked nor in the pattern, or the points make no circle; also if there is no such hole or photo,
    /// or the notebook cannot be read.
    pub fn measure_outline(
        &self,
        hole: HoleId,
        photo: PhotoId,
        edge: &[(f64, f64)],
    ) -> Result<MeasuredOutline, NotebookError> {
        let number = self.hole(hole)?.number;
        let view = self.photo(photo)?;
        let face = self.face(view.face)?;
        let places = self.read(|conn| places_of(conn, &face))?;
        let own = places.photos.iter().find(|own| own.photo == photo);
        let own = own.ok_or_else(|| NotebookError::NoSuch {
            what: "photo",
            id: photo.to_string(),
        })?;
        let centers = match self.centers_of(&face, None) {
            Ok(centers) => Some(centers).filter(|it| it.photo == Some(photo)),
            Err(NotebookError::Invalid(_)) => None,
            Err(error) => return Err(error),
        };
        let center = intended_center(centers.as_ref(), own, number);
        let center = center.ok_or_else(|| invalid(&OutlineError::NoCenter))?;
        let plane = PhotoPlane::of(own.clone(), &sound_points(&face)).ok();
        let measured = match &plane {
            Some(plane) => by_plane(plane, edge, &center),
            None => by_rims(own, &rims(&face, own), edge, &center),
        };
        let measured = measured.map_err(|error| invalid(&error))?;
        let rests_on = self.read(|conn| {
            let mut basis = PlaceBasis::new(conn, &face);
            let by = (measured.scale, measured.center);
            basis.outline(photo, plane.as_ref(), by, (number, centers.as_ref()))?;
            Ok(basis.finish())
        })?;
        Ok(MeasuredOutline {
            rests_on,
            ..measured
        })
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

    /// Plans the least cut that cleans up a face by its heights, which the plan then rests on. `replaces`
    /// names the entries that the plan supersedes.
    ///
    /// # Errors
    /// As for [`Notebook::face_state`]; and if the notebook cannot be written.
    pub fn plan_least_cut(
        &self,
        face: FaceId,
        replaces: &[EntryId],
    ) -> Result<EntryId, NotebookError> {
        let heights = self.heights(face)?;
        let cut = FaceCut {
            planned: self.face_state(face)?.planned,
            rests_on: heights.iter().map(|entry| entry.entry).collect(),
        };
        self.write(|tx| tx.insert(NewEntry::new(face, &cut)?.replacing(replaces.iter().copied())))
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

/// Where a hole belongs in a photo: by the pattern of its face, else where it is marked.
fn intended_center(
    centers: Option<&Centers>,
    photo: &PhotoPlaces,
    number: u32,
) -> Option<IntendedCenter> {
    let predicted = centers.and_then(|centers| {
        let mut holes = centers.holes.iter();
        let there = holes.find(|center| center.number == number)?.in_photo?;
        Some(IntendedCenter {
            x_px: there.x_px,
            y_px: there.y_px,
            // The 95 % circle of two equal errors.
            error_px: Some(there.radius_px / 2.448),
            from: OutlineCenter::Pattern,
        })
    });
    predicted.or_else(|| {
        let mark = photo.marks.iter().find(|mark| mark.number == number)?;
        Some(IntendedCenter {
            x_px: mark.x_px,
            y_px: mark.y_px,
            error_px: None,
            from: OutlineCenter::Mark,
        })
    })
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

/// The same of the holes that a photo may be measured by: where measured, all of them, else those
/// that are not graded as away from their place in the pattern.
fn sound_points(face: &FaceView) -> Vec<HolePoint> {
    let is_off = |number: u32| {
        let mut holes = face.holes.iter().filter(|hole| hole.number == number);
        holes.any(|hole| hole.at.is_none() && is_graded_off(hole.condition))
    };
    let points = hole_points(face).into_iter();
    points.filter(|point| !is_off(point.hole)).collect()
}

/// The rims in a photo of holes whose thread is set and whose mouth is not gone: radius in pixels, and
/// nominal diameter, mm.
fn rims(face: &FaceView, photo: &PhotoPlaces) -> Vec<(f64, f64)> {
    let rims = photo.marks.iter().filter_map(|mark| {
        let mut holes = face.holes.iter();
        let hole =
            holes.find(|hole| hole.number == mark.number && !is_graded_off(hole.condition))?;
        Some((mark.rim_radius_px?, hole.thread.as_ref()?.nominal().mm()))
    });
    rims.collect()
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
fn marks_of(face: &FaceView, photo: &PhotoView) -> Vec<PhotoMark> {
    let marks = photo.marks.iter().filter_map(|mark| {
        let hole = face.holes.iter().find(|hole| hole.id == mark.hole)?;
        let body: &MarkBody = mark.entries.agreed()?;
        (!hole.shares_number).then_some(PhotoMark {
            number: mark.number,
            x_px: body.x_px,
            y_px: body.y_px,
            rim_radius_px: body.rim_radius_px,
        })
    });
    marks.collect()
}
