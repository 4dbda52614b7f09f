//! Faces: list, add, change, and the cut that is still to come off.

use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::photos::*;
use crate::plan::NextTask;
use crate::record::*;
use crate::stage::*;
use chrono::{DateTime, FixedOffset};
use holebook_core::hole::problem::Problem;
use holebook_core::hole::record::{FaceRecord, FactEntries, Recorded};
use holebook_core::length::Length;
use holebook_core::thread::Thread;

lend! {
    holebook_core::hole::late_cut {
        EarlierEntry,
    }
}

lend! {
    holebook_core::notebook {
        FaceBody,
        FaceCutEffect,
        FaceSummary,
        FaceView,
        FaceWithSetup,
        HoleSummary,
        SetupChange,
    }
}

#[uniffi::export]
impl Notebook {
    /// One face with its photos and holes. Blocks. Fails with `NoSuch`.
    pub fn face(&self, id: FaceId) -> Result<FaceView, NotebookError> {
        self.call("face", |open| Ok(open.face(id)?))
    }

    /// Adds a face to the casting that `body` names. Blocks until it is on the disk.
    ///
    /// Fails with `NoSuch` for another casting, with `Invalid` if its name is empty or too long.
    pub fn add_face(&self, body: FaceBody) -> Result<FaceId, NotebookError> {
        self.call("add_face", |open| Ok(open.add_face(&body)?))
    }

    /// Changes what a face is; `replaces` names the entries that this replaces. Blocks until it is
    /// on the disk. Fails as adding it.
    #[uniffi::method(default(replaces = []))]
    pub fn change_face(
        &self,
        id: FaceId,
        body: FaceBody,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("change_face", |open| {
            Ok(open.change_face(id, &body, &replaces)?)
        })
    }

    /// Changes what the holes of a face have in common, all or nothing: the usual thread, usual values,
    /// the measuring tools. The holes that inherit what changes are judged again. Blocks until it is
    /// on the disk. Fails with `NoSuch` for another face or entry, with `Invalid` if a value is not
    /// valid.
    pub fn change_setup(
        &self,
        id: FaceId,
        changes: Vec<SetupChange>,
    ) -> Result<Vec<EntryId>, NotebookError> {
        self.call("change_setup", |open| Ok(open.change_setup(id, &changes)?))
    }

    /// Faces that have a setup to copy, the newest first. Blocks.
    pub fn faces_with_setup(&self) -> Result<Vec<FaceWithSetup>, NotebookError> {
        self.call("faces_with_setup", |open| Ok(open.faces_with_setup()?))
    }

    /// Takes over the setup of another face: all that is agreed there and that this face does not
    /// have yet. Blocks until it is on the disk. Fails with `NoSuch` for another face.
    pub fn copy_setup(&self, from: FaceId, to: FaceId) -> Result<Vec<EntryId>, NotebookError> {
        self.call("copy_setup", |open| Ok(open.copy_setup(from, to)?))
    }

    /// Plans how much is to come off a face; zero: nothing. `replaces` names the entries that this
    /// replaces. Blocks until it is on the disk. Fails with `Invalid` below zero.
    #[uniffi::method(default(replaces = []))]
    pub fn plan_face_cut(
        &self,
        id: FaceId,
        planned: Length,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("plan_face_cut", |open| {
            Ok(open.plan_face_cut(id, planned, &replaces)?)
        })
    }

    /// Records that a face was cut. `corrects` names the entry of a cut that was recorded wrong and
    /// that this one replaces. Blocks until it is on the disk. Fails with `Invalid` if nothing came
    /// off.
    #[uniffi::method(default(corrects = None))]
    pub fn record_face_milled(
        &self,
        id: FaceId,
        milled: FaceMilled,
        corrects: Option<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("record_face_milled", |open| {
            Ok(open.record_face_milled(id, &milled, corrects)?)
        })
    }

    /// Returns the holes whose recorded work would not hold any more if this cut were recorded for a
    /// face, in place of the cut `corrects` if that is given: ask before recording such a cut. Blocks.
    /// Fails with `NoSuch` if the face has no such cut.
    #[uniffi::method(default(corrects = None))]
    pub fn face_cut_effects(
        &self,
        id: FaceId,
        milled: FaceMilled,
        corrects: Option<EntryId>,
    ) -> Result<Vec<FaceCutEffect>, NotebookError> {
        self.call("face_cut_effects", |open| {
            Ok(open.face_cut_effects(id, &milled, corrects)?)
        })
    }

    /// What is recorded of a face and its holes that a cut recorded now would come after, unless it is
    /// recorded late: ask which of it was measured on the face as milled, and name it in
    /// `came_before` of the cut. What may have been comes first. `corrects` names a cut that is
    /// corrected. Blocks. Fails with `NoSuch` if the face has no such cut.
    #[uniffi::method(default(corrects = None))]
    pub fn recorded_before_cut(
        &self,
        id: FaceId,
        corrects: Option<EntryId>,
    ) -> Result<Vec<EarlierEntry>, NotebookError> {
        self.call("recorded_before_cut", |open| {
            Ok(open.recorded_before_cut(id, corrects)?)
        })
    }

    /// Adds a note to a face. Blocks until it is on the disk. Fails with `Invalid` without text.
    pub fn note_face(&self, id: FaceId, note: Note) -> Result<EntryId, NotebookError> {
        self.call("note_face", |open| Ok(open.note_face(id, &note)?))
    }
}
