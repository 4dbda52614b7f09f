//! Holes: list, add, change, and all that is recorded of one.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::ids::*;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::photos::MarkBody;
use crate::record::Removal;
use crate::record::*;
use crate::remedies::Verdict;
use crate::stage::Stage;
use crate::steps::StepKey;
use crate::values::*;
use holebook_core::hole::problem::{Cause, Problem};
use holebook_core::hole::record::{FaceRecord, FactEntries};
use holebook_core::length::Length;

lend! {
    holebook_core::hole::stage {
        Conflict,
        Fact,
        HoleStatus,
    }
}

lend! {
    holebook_core::hole::problem {
        Cause as ReopenCause,
        Problem as OpenProblem,
    }
}

/// An open problem in a sentence that says what to do.
#[uniffi::export]
pub fn open_problem_sentence(problem: OpenProblem) -> Result<String, NotebookError> {
    guard("open_problem_sentence", || Ok(problem.to_string()))
}

lend! {
    holebook_core::notebook {
        HoleBody,
        HoleMark,
        HoleView,
    }
}

/// A conflict in a sentence that says what to do.
#[uniffi::export]
pub fn conflict_sentence(conflict: Conflict) -> Result<String, NotebookError> {
    guard("conflict_sentence", || Ok(conflict.to_string()))
}

#[uniffi::export]
impl Notebook {
    /// One hole with all that is recorded of it. Blocks. Fails with `NoSuch`.
    pub fn hole(&self, id: HoleId) -> Result<HoleView, NotebookError> {
        self.call("hole", |open| Ok(open.hole(id)?))
    }

    /// Adds a hole to a face. Without a number it gets the one after the face's highest. Blocks
    /// until it is on the disk.
    ///
    /// Fails with `NoSuch` for another face, with `Invalid` if the number is 0.
    #[uniffi::method(default(number = None, at = None))]
    pub fn add_hole(
        &self,
        face: FaceId,
        number: Option<u32>,
        at: Option<Position>,
    ) -> Result<HoleId, NotebookError> {
        self.call("add_hole", |open| Ok(open.add_hole(face, number, at)?))
    }

    /// Changes a hole's number and position; `replaces` names the entries that this replaces.
    /// Blocks until it is on the disk. Fails as adding it.
    #[uniffi::method(default(replaces = []))]
    pub fn change_hole(
        &self,
        id: HoleId,
        body: HoleBody,
        replaces: Vec<EntryId>,
    ) -> Result<EntryId, NotebookError> {
        self.call("change_hole", |open| {
            Ok(open.change_hole(id, &body, &replaces)?)
        })
    }
}
