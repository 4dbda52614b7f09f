//! Steps recorded as planned, and tool runs: the holes that want the tool in hand.

use crate::entries::HoleEntry;
use crate::error::NotebookError;
use crate::ids::*;
use crate::lend::lend;
use crate::length::LengthUnit;
use crate::notebook::Notebook;
use crate::steps::{Step, StepKey, StepTool};
use holebook_core::hole::caution::Caution;

lend! {
    holebook_core::notebook {
        PlannedRecord,
        RunHole,
        ReadyHole,
        WaitingHole,
        ToolRun,
        ToolRuns,
    }
}

#[uniffi::export]
impl Notebook {
    /// What one tap records of a step done as planned: an entry for each way in which it may have
    /// been done, the usual one first. Lengths are those shown in `unit`; what was not measured is
    /// none. Blocks.
    ///
    /// Fails with `NoSuch`, and with `Invalid` if the step is not an open one of the hole, is out of
    /// order, or needs a measured value.
    pub fn as_planned(
        &self,
        hole: HoleId,
        step: StepKey,
        unit: LengthUnit,
    ) -> Result<Vec<PlannedRecord>, NotebookError> {
        self.call("as_planned", |open| Ok(open.as_planned(hole, step, unit)?))
    }

    /// Records a step as planned: the entry of `as_planned` that has this key. Blocks until it is on
    /// the disk. Fails as `as_planned`, and with `Invalid` if the plan has changed since it was
    /// shown.
    pub fn record_as_planned(
        &self,
        hole: HoleId,
        step: StepKey,
        unit: LengthUnit,
        key: String,
    ) -> Result<EntryId, NotebookError> {
        self.call("record_as_planned", |open| {
            Ok(open.record_as_planned(hole, step, unit, &key)?)
        })
    }

    /// The tools that the holes of a face need next, in the order of the work, each with the holes
    /// that want it. Blocks while it reads and judges the holes of the face. Fails with `NoSuch`.
    pub fn tool_runs(&self, face: FaceId, unit: LengthUnit) -> Result<ToolRuns, NotebookError> {
        self.call("tool_runs", |open| Ok(open.tool_runs(face, unit)?))
    }

    /// The same for all faces of a casting. Blocks. Fails with `NoSuch`.
    pub fn tool_runs_of_casting(
        &self,
        casting: CastingId,
        unit: LengthUnit,
    ) -> Result<ToolRuns, NotebookError> {
        self.call("tool_runs_of_casting", |open| {
            Ok(open.tool_runs_of_casting(casting, unit)?)
        })
    }
}
