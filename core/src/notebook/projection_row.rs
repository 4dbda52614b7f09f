//! Names the rows of the projection tables, so that a change can list the rows to update.

use super::id::{CastingId, FaceId, HoleId, PhotoId};
use uuid::Uuid;

/// A row of a projection table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum ProjectionRow {
    Device(Uuid),
    Casting(CastingId),
    Face(FaceId),
    Photo(PhotoId),
    /// All holes of a face: their stages depend on its cuts and its casting's metal.
    HolesOfFace(FaceId),
    /// All holes of a casting.
    HolesOfCasting(CastingId),
    /// All holes with a chosen remedy: the shop's inserts and limits decide about them.
    ChosenHoles,
    /// The holes whose damage was worked out from entries about a subject: a hole, a face or a photo.
    RestingOn(Uuid),
    /// A hole (`None`) or its mark in a photo. They sort next to each other, so that a hole's
    /// entries are loaded once for all of them.
    Hole(HoleId, Option<PhotoId>),
}

/// The rows that one entry affects.
pub(crate) type AffectedRows = [Option<ProjectionRow>; 3];

/// One function for each answer to "which rows does an entry of this kind affect?". `slot` is the
/// photo of a mark.
pub(super) mod affected {
    use super::{AffectedRows, CastingId, FaceId, HoleId, PhotoId, ProjectionRow, Uuid};

    pub fn none(_subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [None; 3]
    }

    pub fn device(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::Device(subject)), None, None]
    }

    pub fn casting_and_holes(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        let casting = CastingId(subject);
        [
            Some(ProjectionRow::Casting(casting)),
            Some(ProjectionRow::HolesOfCasting(casting)),
            None,
        ]
    }

    pub fn face_and_holes(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        let face = FaceId(subject);
        [
            Some(ProjectionRow::Face(face)),
            Some(ProjectionRow::HolesOfFace(face)),
            None,
        ]
    }

    /// A face and its holes, and those whose damage was worked out from it.
    pub fn place_on_face(subject: Uuid, slot: Option<Uuid>) -> AffectedRows {
        let [face, holes, _] = face_and_holes(subject, slot);
        [face, holes, Some(ProjectionRow::RestingOn(subject))]
    }

    pub fn chosen_holes(_subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::ChosenHoles), None, None]
    }

    pub fn photo(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        let photo = ProjectionRow::Photo(PhotoId(subject));
        [Some(photo), Some(ProjectionRow::RestingOn(subject)), None]
    }

    pub fn hole(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::Hole(HoleId(subject), None)), None, None]
    }

    /// A hole, and those whose damage was worked out from its place.
    pub fn place_of_hole(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        let hole = ProjectionRow::Hole(HoleId(subject), None);
        [Some(hole), Some(ProjectionRow::RestingOn(subject)), None]
    }

    pub fn resting_on(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::RestingOn(subject)), None, None]
    }

    pub fn hole_and_mark(subject: Uuid, slot: Option<Uuid>) -> AffectedRows {
        let mark = |photo| ProjectionRow::Hole(HoleId(subject), Some(PhotoId(photo)));
        [
            Some(ProjectionRow::Hole(HoleId(subject), None)),
            slot.map(mark),
            Some(ProjectionRow::RestingOn(subject)),
        ]
    }
}
