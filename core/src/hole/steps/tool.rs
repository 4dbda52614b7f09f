//! The tool of a step, and how deep it goes, as lists show them.

use super::{StepKey, Work, cutting};
use crate::drill::{Drill, tap_drill};
use crate::hole::record::{CutStep, FitCheck};
use crate::length::{Length, Unit, in_unit};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A tool that cuts. `Display` names it without a unit, the same for all holes that want it:
/// `29/64 drill`, `1/2-13 UNC tap, plug`.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum CuttingTool {
    /// A drill.
    Drill(Drill),
    /// Another tool by its name, lengths in both units (see [`in_unit`]).
    Named(String),
}

impl CuttingTool {
    /// Formats it in the reader's unit: `29/64 (.453) drill`.
    pub fn show(&self, unit: Unit) -> String {
        match self {
            CuttingTool::Drill(drill) => format!("{} drill", drill.show(unit)),
            CuttingTool::Named(name) => in_unit(name, unit),
        }
    }
}

impl fmt::Display for CuttingTool {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CuttingTool::Drill(drill) => write!(f, "{drill} drill"),
            CuttingTool::Named(name) => f.write_str(name),
        }
    }
}

impl Work<'_> {
    /// Returns the tool that cuts at a step; `None` if the step has none, or it is not known.
    pub(in crate::hole) fn tool(&self, key: StepKey) -> Option<CuttingTool> {
        let StepKey::Cut(step) = key else { return None };
        let (situation, assessment) = (self.situation, self.assessment);
        match step {
            CutStep::Center => {
                cutting::centering_tools(situation, assessment).map(CuttingTool::Named)
            }
            CutStep::Drill => assessment.drill.map(CuttingTool::Drill),
            CutStep::Tap => {
                let tap = assessment.tap.clone()?;
                let chamfer = assessment.tap_chamfer;
                let chamfer = chamfer.map_or(String::new(), |chamfer| format!(", {chamfer}"));
                Some(CuttingTool::Named(tap + &chamfer))
            }
            CutStep::DrillPlug => Some(CuttingTool::Drill(tap_drill(&situation.thread).drill)),
            CutStep::TapPlug => {
                let tap = format!("{} tap", situation.thread.designation());
                Some(CuttingTool::Named(tap))
            }
            _ => None,
        }
    }

    /// Returns the depth that a drill, a tap or a thread gauge must reach, from the face as is; `None`
    /// for other steps, and while the face cut is not planned.
    pub(in crate::hole) fn depth(&self, key: StepKey) -> Option<Length> {
        let depths = self.assessment.depths.as_ref()?;
        match key {
            StepKey::Cut(CutStep::Drill) => depths.drill,
            StepKey::Cut(CutStep::Tap) => depths.full_thread,
            StepKey::TrialFit if self.assessment.remedy.fit_check() == Some(FitCheck::Gauge) => {
                depths.full_thread
            }
            _ => None,
        }
    }
}
