//! Where things are on a face, as a notebook keeps it: the wanted pattern, measured places, known
//! points of a photo, heights, and the mill; the centers, table moves and face cut that follow.

use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::places::*;
use crate::record::*;
use holebook_core::hole::record::{FactEntries, Recorded};
use holebook_core::length::Length;
use holebook_place::plane::Mark;

lend! {
    holebook_core::places::centers {
        Basis,
        Center,
        Centers,
        HoleCenter,
        InPhoto,
        Off,
        PhotosDiffer,
    }
}

lend! {
    holebook_core::places::plane {
        Bounds,
    }
}

lend! {
    holebook_core::places::outline {
        MeasuredOutline,
        OutlineCenter,
        OutlineScale,
    }
}

lend! {
    holebook_core::places::straight {
        StraightPicture,
    }
}

lend! {
    holebook_core::places::height {
        FaceState,
    }
}

#[uniffi::export]
impl Notebook {
    /// Records where the holes of a face belong; `replaces` names the entries that this replaces.
    /// Blocks until it is on the disk. Fails with `NoSuch` for another face, with `Invalid` if the
    /// pattern has fewer than two holes or a number twice.
    #[uniffi::method(default(replaces = []))]
    pub fn set_pattern(
        &self,
        face: FaceId,
        pattern: WantedPattern,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("set_pattern", |open| {
            Ok(open.set_pattern(face, &pattern, &replaces)?)
        })
    }

    /// Records which holes the places of a face rest on, in place of what was recorded before. Blocks
    /// until it is on the disk. Fails with `Invalid` for fewer than two holes or a number twice.
    pub fn set_good_holes(&self, face: FaceId, good: GoodHoles) -> Result<EntryId, NotebookError> {
        self.call("set_good_holes", |open| {
            Ok(open.set_good_holes(face, &good)?)
        })
    }

    /// Records where holes of a face were measured, all or none, in place of what was known of each.
    /// Blocks until it is on the disk. Fails with `Invalid` for a number that the face does not have,
    /// or has twice.
    #[uniffi::method(default(tolerance = None))]
    pub fn set_hole_places(
        &self,
        face: FaceId,
        places: Vec<PatternHole>,
        tolerance: Option<Length>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.call("set_hole_places", |open| {
            Ok(open.set_hole_places(face, &places, tolerance)?)
        })
    }

    /// Records a point of known place in a photo. Blocks until it is on the disk. Fails with `Invalid`
    /// outside the photo.
    pub fn add_known_place(
        &self,
        photo: PhotoId,
        known: KnownPlace,
    ) -> Result<EntryId, NotebookError> {
        self.call("add_known_place", |open| {
            Ok(open.add_known_place(photo, &known)?)
        })
    }

    /// The known points of a photo that are not struck out. Blocks.
    pub fn known_places(&self, photo: PhotoId) -> Result<Vec<Recorded<KnownPlace>>, NotebookError> {
        self.call("known_places", |open| Ok(open.known_places(photo)?))
    }

    /// Records heights that were read on a face. Blocks until it is on the disk. Fails with `Invalid`
    /// without a reading.
    pub fn record_heights(
        &self,
        face: FaceId,
        heights: FaceHeights,
    ) -> Result<EntryId, NotebookError> {
        self.call("record_heights", |open| {
            Ok(open.record_heights(face, &heights)?)
        })
    }

    /// The height entries of a face that are not struck out. Blocks.
    pub fn heights(&self, face: FaceId) -> Result<Vec<Recorded<FaceHeights>>, NotebookError> {
        self.call("heights", |open| Ok(open.heights(face)?))
    }

    /// Records the mill at hand, in place of what was recorded before. Blocks until it is on the disk.
    /// Fails with `Invalid` if a handwheel has no lead or divisions.
    pub fn set_mill(&self, mill: MillSetup) -> Result<EntryId, NotebookError> {
        self.call("set_mill", |open| Ok(open.set_mill(&mill)?))
    }

    /// The mill at hand. Blocks.
    pub fn mill(&self) -> Result<FactEntries<MillSetup>, NotebookError> {
        self.call("mill", |open| Ok(open.mill()?))
    }

    /// Where the holes of a face belong, and how far those that were found are off, mm. `good` names
    /// the holes that this may rest on; None: those chosen as good, else those graded sound. Blocks. Fails with `Invalid` if the
    /// face has no pattern, too few good holes were found, or they do not agree with it.
    #[uniffi::method(default(good = None))]
    pub fn centers(&self, face: FaceId, good: Option<Vec<u32>>) -> Result<Centers, NotebookError> {
        self.call("centers", |open| {
            let good = good.map(|good| good.into_iter().collect());
            Ok(open.centers(face, good.as_ref())?)
        })
    }

    /// Where a hole belongs by the pattern of its face, and the entries that this rests on; None if it
    /// cannot be told. Blocks. Fails with `NoSuch`.
    pub fn center(&self, hole: HoleId) -> Result<Option<HoleCenter>, NotebookError> {
        self.call("center", |open| Ok(open.center(hole)?))
    }

    /// A photo of a face as seen from straight above, in true scale. Blocks while it is made: some
    /// tenths of a second on a desktop, more on a phone. Fails with `Invalid` if fewer than two places
    /// in it are known.
    pub fn straightened_photo(&self, photo: PhotoId) -> Result<StraightPicture, NotebookError> {
        self.call("straightened_photo", |open| Ok(open.straightened(photo)?))
    }

    /// Measures the edge of a crater that somebody traced in a photo, `edge` in pixels of the upright
    /// photo. Nothing is recorded. Blocks. Fails with `Invalid` if nothing gives the photo a scale, or
    /// the points make no circle.
    pub fn measure_outline(
        &self,
        hole: HoleId,
        photo: PhotoId,
        edge: Vec<Mark>,
    ) -> Result<MeasuredOutline, NotebookError> {
        self.call("measure_outline", |open| {
            let edge: Vec<(f64, f64)> = edge.iter().map(|at| (at.px, at.py)).collect();
            Ok(open.measure_outline(hole, photo, &edge)?)
        })
    }

    /// Table moves from a picked-up hole to centers of a face, with the mill at hand; `visit` names
    /// the holes, empty: all that are lost, or all if none is. Blocks. Fails with `Invalid` as
    /// `centers` does, and for a hole that is not in the pattern.
    pub fn moves_to_centers(
        &self,
        face: FaceId,
        reference: u32,
        visit: Vec<u32>,
        alignment: Alignment,
    ) -> Result<TableMoves, NotebookError> {
        self.call("moves_to_centers", |open| {
            Ok(open.moves_to_centers(face, reference, &visit, alignment)?)
        })
    }

    /// How flat a face is by its heights, the least cut that cleans it up, and what each hole loses.
    /// Blocks. Fails with `Invalid` if no reading counts.
    pub fn face_state(&self, face: FaceId) -> Result<FaceState, NotebookError> {
        self.call("face_state", |open| Ok(open.face_state(face)?))
    }

    /// How to level a face on jacks, by its heights. Blocks. Fails with `Invalid` for fewer than three
    /// jacks, or jacks in one line.
    pub fn level_face_on_jacks(
        &self,
        face: FaceId,
        jacks: Vec<Jack>,
    ) -> Result<Leveling, NotebookError> {
        self.call("level_face_on_jacks", |open| {
            Ok(open.level_face(face, &jacks)?)
        })
    }
}
