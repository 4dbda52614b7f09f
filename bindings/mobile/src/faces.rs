//! Faces: list, add, change, and the cut that is still to come off.

use crate::border::{In, Out, record, record_out};
use crate::castings::{State, StateCounts};
use crate::error::NotebookError;
use crate::ids::{CastingId, EntryId, FaceId, HoleId, PhotoId};
use crate::length::{Length, Point};
use crate::notebook::Notebook;
use crate::photos::PhotoView;
use crate::record::{FaceMilled, Note, Remedy};
use crate::said::{FaceAnswers, FaceCutAnswers, SaidFaceMilled, SaidNote};
use holebook_core::hole::record as hole;
use holebook_core::notebook as core;

record! {
    /// What a face is.
    FaceBody = core::FaceBody {
        /// The casting it is on.
        casting: CastingId,
        /// What people call it; not empty.
        name: String,
        /// Free words.
        #[uniffi(default = None)]
        note: Option<String>,
    }
}

record_out! {
    /// A face, in short.
    FaceSummary = core::FaceSummary {
        /// Its id.
        id: FaceId,
        /// Its name; the first answer where several stand.
        name: String,
        /// The cut still to come, where it is planned and not in question.
        face_cut: Option<Length>,
        /// Whether answers about the face itself differ.
        in_question: bool,
        /// Its first photo.
        photo: Option<PhotoId>,
        /// How far its holes are.
        holes: StateCounts,
    }
}

/// What stands recorded of a face that its holes depend on.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct FaceRecord {
    /// The cut still to come, as planned.
    pub planned_cut: FaceCutAnswers,
    /// Cuts that were made.
    pub milled: Vec<SaidFaceMilled>,
    /// The casting's metal, where it is known.
    pub metal: Option<String>,
    /// All that came off so far.
    pub taken_off: Length,
    /// What is still to come off: the deepest plan that stands, less what came off. None: nobody has said.
    pub cut_to_come: Option<Length>,
}

impl Out for hole::FaceRecord {
    type Face = FaceRecord;
    fn out(self) -> FaceRecord {
        let (taken_off, cut_to_come) = (self.taken_off().out(), self.cut_to_come().out());
        let Self {
            planned_cut,
            milled,
            metal,
        } = self;
        FaceRecord {
            planned_cut: planned_cut.out(),
            milled: milled.out(),
            metal: metal.out(),
            taken_off,
            cut_to_come,
        }
    }
}

record_out! {
    /// A hole, in short.
    HoleSummary = core::HoleSummary {
        /// Its id.
        id: HoleId,
        /// Its number; the first answer where several stand.
        number: u32,
        /// Whether another hole of the face has the same number: two devices may each have added one.
        shares_number: bool,
        /// The thread wanted, where it is said and not in question.
        thread: Option<String>,
        /// How far it is.
        state: State,
        /// Whether its entries disagree.
        in_question: bool,
        /// The remedy chosen, where one is and it is not in question.
        remedy: Option<Remedy>,
        /// Where it is on the face, where that was measured.
        at: Option<Point>,
    }
}

record_out! {
    /// A face.
    FaceView = core::FaceView {
        /// Its id.
        id: FaceId,
        /// What stands about what it is; never empty.
        answers: FaceAnswers,
        /// Its name; the first answer where several stand.
        name: String,
        /// The casting that it is on; the first answer where several stand.
        casting: CastingId,
        /// That casting's name; empty where the casting was struck or is not here yet.
        casting_name: String,
        /// What its holes depend on.
        record: FaceRecord,
        /// Free words about it.
        notes: Vec<SaidNote>,
        /// Its photos, in the order in which they were added.
        photos: Vec<PhotoView>,
        /// Its holes, by number.
        holes: Vec<HoleSummary>,
    }
}

#[uniffi::export]
impl Notebook {
    /// One face with its photos and holes. Blocks. Fails with `NoSuch`.
    pub fn face(&self, id: FaceId) -> Result<FaceView, NotebookError> {
        self.call("face", |open| Ok(open.face(id.inward()?)?.out()))
    }

    /// Adds a face to the casting that `body` names. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch` for another casting, with `Unfit` where its name is empty or too long.
    pub fn add_face(&self, body: FaceBody) -> Result<FaceId, NotebookError> {
        self.call("add_face", |open| Ok(open.add_face(&body.inward()?)?.out()))
    }

    /// Says anew what a face is, in place of the answers `over`. Blocks until it is on the disk. Fails as adding it.
    #[uniffi::method(default(over = []))]
    pub fn change_face(
        &self,
        id: FaceId,
        body: FaceBody,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("change_face", |open| {
            let over: Vec<_> = over.inward()?;
            Ok(open
                .change_face(id.inward()?, &body.inward()?, &over)?
                .out())
        })
    }

    /// Says how much is still to come off a face, in place of the answers `over`. Zero: nothing. Blocks until it is on
    /// the disk. Fails with `Unfit` below zero.
    #[uniffi::method(default(over = []))]
    pub fn plan_face_cut(
        &self,
        id: FaceId,
        planned: Length,
        over: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("plan_face_cut", |open| {
            let over: Vec<_> = over.inward()?;
            Ok(open
                .plan_face_cut(id.inward()?, planned.inward()?, &over)?
                .out())
        })
    }

    /// Records that a face was cut. Blocks until it is on the disk. Fails with `Unfit` where nothing came off.
    pub fn record_face_milled(
        &self,
        id: FaceId,
        milled: FaceMilled,
    ) -> Result<EntryId, NotebookError> {
        self.call("record_face_milled", |open| {
            Ok(open
                .record_face_milled(id.inward()?, &milled.inward()?)?
                .out())
        })
    }

    /// Writes free words about a face. Blocks until it is on the disk. Fails with `Unfit` without words.
    pub fn note_face(&self, id: FaceId, note: Note) -> Result<EntryId, NotebookError> {
        self.call("note_face", |open| {
            Ok(open.note_face(id.inward()?, &note.inward()?)?.out())
        })
    }
}
