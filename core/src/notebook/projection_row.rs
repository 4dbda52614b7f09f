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
    /// A hole (`None`) or its mark in a photo. They sort next to each other, so that a hole's
    /// entries are loaded once for all of them.
    Hole(HoleId, Option<PhotoId>),
}

/// The rows that one entry affects.
pub(crate) type AffectedRows = [Option<ProjectionRow>; 2];

/// One function for each answer to "which rows does an entry of this kind affect?". `slot` is the
/// photo of a mark.
pub(super) mod affected {
    use super::{AffectedRows, CastingId, FaceId, HoleId, PhotoId, ProjectionRow, Uuid};

    pub fn none(_subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [None, None]
    }

    pub fn device(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::Device(subject)), None]
    }

    pub fn casting_and_holes(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        let casting = CastingId(subject);
        [
            Some(ProjectionRow::Casting(casting)),
            Some(ProjectionRow::HolesOfCasting(casting)),
        ]
    }

    pub fn face_and_holes(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        let face = FaceId(subject);
        [
            Some(ProjectionRow::Face(face)),
            Some(ProjectionRow::HolesOfFace(face)),
        ]
    }

    pub fn chosen_holes(_subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::ChosenHoles), None]
    }

    pub fn photo(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::Photo(PhotoId(subject))), None]
    }

    pub fn hole(subject: Uuid, _slot: Option<Uuid>) -> AffectedRows {
        [Some(ProjectionRow::Hole(HoleId(subject), None)), None]
    }

    pub fn hole_and_mark(subject: Uuid, slot: Option<Uuid>) -> AffectedRows {
        let mark = |photo| ProjectionRow::Hole(HoleId(subject), Some(PhotoId(photo)));
        [
            Some(ProjectionRow::Hole(HoleId(subject), None)),
            slot.map(mark),
        ]
    }
}
