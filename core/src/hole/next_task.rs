//! The next task on a hole: what lists of holes show of its plan.
//!
//! It needs the chosen remedy only, not all that could be chosen, so it is worked out with the
//! hole's stage and kept in the hole's row.

use super::inherit::inherit;
use super::next::NextAction;
use super::plan::{clear_first, clearing};
use super::record::{FaceRecord, HoleRecord, Quantity};
use super::remedies::{MissingReading, assessments};
use super::situation::situation_of;
use super::stage::{HoleStatus, assess_in_force, status_of};
use super::steps::{CuttingTool, StepOutline, Work, outlines};
use crate::insert::Catalog;
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// What to do next on a hole, with what it takes.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NextTask {
    /// What to do.
    pub action: NextAction,
    /// The tool to cut with; `None` if nothing is cut.
    pub tool: Option<CuttingTool>,
    /// The depth that a drill, a tap or a thread gauge must reach, from the face as is; `None` for
    /// other tasks, and while the face cut is not planned.
    #[serde(rename = "depth_mm")]
    pub depth: Option<Length>,
    /// Readings that are missing: those of the chosen remedy, and before one is chosen those that
    /// every remedy needs.
    pub missing: Vec<MissingReading>,
}

/// A hole's status and its next task, worked out together.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgment {
    /// The stage, the conflicts and the open problems.
    pub status: HoleStatus,
    /// What to do next.
    pub next: NextTask,
}

impl Judgment {
    /// Judges a hole by all active entries about it and its face.
    pub fn of(record: &HoleRecord, face: &FaceRecord, catalog: &Catalog) -> Judgment {
        let whole = inherit(record, face);
        let (situation, assessment) = assess_in_force(&whole, face, catalog);
        let status = status_of(
            record,
            &whole,
            face,
            situation.as_ref(),
            assessment.as_ref(),
        );
        // A hole that passed without a choice was left as is; there is no work to plan.
        let chosen = assessment.filter(|_| record.choice.agreed().is_some());
        let work = situation
            .as_ref()
            .zip(chosen.as_ref())
            .map(|(situation, assessment)| Work {
                situation,
                assessment,
                record: &whole,
                face,
            });
        let steps = match &work {
            Some(work) => outlines(work),
            None => clearing_step(&whole, face, catalog),
        };
        let action = NextAction::of(&status, &whole, &steps);
        let next = next_task(action, work, &whole, face);
        Judgment { status, next }
    }
}

/// Returns the step that removes a broken piece before a remedy is chosen, if a first look saw one.
/// It takes all remedies to know, but few holes are at that point.
fn clearing_step(record: &HoleRecord, face: &FaceRecord, catalog: &Catalog) -> Vec<StepOutline> {
    if !record.choice.0.is_empty() || record.piece_seen().is_none() {
        return Vec::new();
    }
    let Ok(situation) = situation_of(record, face) else {
        return Vec::new();
    };
    let all = assessments(&situation, catalog);
    let work = clear_first(record, face, &situation, &all);
    work.map_or(Vec::new(), |work| {
        clearing(outlines(&work), |step| step.key)
    })
}

fn next_task(
    action: NextAction,
    work: Option<Work<'_>>,
    record: &HoleRecord,
    face: &FaceRecord,
) -> NextTask {
    let (mut tool, mut depth) = (None, None);
    if let (Some(work), NextAction::Step { step, .. }) = (work, &action) {
        (tool, depth) = (work.tool(*step), work.depth(*step));
    }
    let missing = match work {
        _ if action == NextAction::Done => Vec::new(),
        Some(work) => work.assessment.missing_readings.clone(),
        None => missing_for_any(record, face),
    };
    NextTask {
        action,
        tool,
        depth,
        missing,
    }
}

/// Returns the readings without which no remedy can be judged. A hole graded sound needs none.
fn missing_for_any(record: &HoleRecord, face: &FaceRecord) -> Vec<MissingReading> {
    if record.is_graded_sound() {
        return Vec::new();
    }
    let mut readings = record.readings.iter();
    let depth = readings.any(|reading| reading.body.quantity == Quantity::Depth);
    let described = !record.damage.0.is_empty();
    let planned = !face.planned_cut.0.is_empty();
    [
        (described, MissingReading::Damage),
        (planned, MissingReading::FaceCut),
        (depth, MissingReading::Depth),
    ]
    .into_iter()
    .filter_map(|(known, reading)| (!known).then_some(reading))
    .collect()
}
