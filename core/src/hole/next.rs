//! The next thing to do on a hole.

use super::problem::Problem;
use super::record::{CutStep, HoleRecord, Quantity, Remedy};
use super::stage::{HoleStatus, Stage, is_cracked};
use super::steps::{StepKey, StepOutline};
use serde::{Deserialize, Serialize};
use std::fmt;

/// What to do next. `Display` gives it as a short instruction.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum NextAction {
    /// Resolve a conflict.
    ResolveConflict,
    /// Take readings.
    Measure,
    /// Describe the damage.
    DescribeDamage,
    /// Set the wanted thread.
    SetThread,
    /// Choose a remedy.
    ChooseRemedy,
    /// Stop: a crack was found, and the hole is not sent out yet.
    Crack,
    /// Review the remedies: the chosen one is no longer offered, or all its steps are done but the
    /// hole has not passed.
    ReviewRemedies,
    /// Do a step; with its title.
    Step {
        /// Which step.
        step: StepKey,
        /// What to do, in a few words.
        title: String,
    },
    /// Wait until the hole is back from the specialist, then do the final check.
    AtSpecialist,
    /// Nothing: the hole has passed.
    Done,
}

impl NextAction {
    /// Returns the next action; `steps` are those of the chosen remedy.
    pub fn of(status: &HoleStatus, record: &HoleRecord, steps: &[StepOutline]) -> NextAction {
        match NextAction::unless_cracked(status, record, steps) {
            first @ (NextAction::ResolveConflict | NextAction::SetThread) => first,
            _ if is_cracked(record) => NextAction::Crack,
            next => next,
        }
    }

    fn unless_cracked(
        status: &HoleStatus,
        record: &HoleRecord,
        steps: &[StepOutline],
    ) -> NextAction {
        if !status.conflicts.is_empty() {
            return NextAction::ResolveConflict;
        }
        if status.stage == Stage::Passed {
            return NextAction::Done;
        }
        if record.wanted.0.is_empty() {
            return NextAction::SetThread;
        }
        if let Some(clear) = clear_first(record, steps) {
            return clear;
        }
        let problem = status
            .problems
            .iter()
            .find(|problem| problem.step().is_none());
        match (problem, record.choice.agreed()) {
            (Some(Problem::DescribedBeforeClearing { .. } | Problem::PlacesChanged { .. }), _) => {
                NextAction::DescribeDamage
            }
            (Some(Problem::NotOffered), Some(_)) => NextAction::ReviewRemedies,
            (None, Some(choice)) => step(choice.spec.remedy, steps),
            _ => deciding(record),
        }
    }

    /// Returns its place in the order of the work, for sorting: what stops the work first, a hole
    /// that is done last.
    pub fn place(&self) -> usize {
        match self {
            NextAction::ResolveConflict => 0,
            NextAction::Crack => 1,
            NextAction::SetThread => 2,
            NextAction::DescribeDamage => 3,
            NextAction::Measure => 4,
            NextAction::ChooseRemedy => 5,
            NextAction::ReviewRemedies => 6,
            NextAction::Step { step, .. } => {
                let place = StepKey::ALL.iter().position(|key| key == step);
                7 + place.unwrap_or(StepKey::ALL.len())
            }
            NextAction::AtSpecialist => 7 + StepKey::ALL.len(),
            NextAction::Done => 8 + StepKey::ALL.len(),
        }
    }
}

/// Returns the step that takes out a broken piece that a first look saw: it comes out before anything
/// is measured.
fn clear_first(record: &HoleRecord, steps: &[StepOutline]) -> Option<NextAction> {
    record.piece_seen()?;
    let clear = StepKey::Cut(CutStep::ClearBroken);
    let clear = steps
        .iter()
        .find(|step| step.key == clear && !step.is_done)?;
    Some(NextAction::Step {
        step: clear.key,
        title: clear.title.clone(),
    })
}

/// Returns what is missing to choose a remedy: the damage, then the depth. What else decides is the
/// next question's matter (see [`super::next_question`]). A sound hole needs none of them.
fn deciding(record: &HoleRecord) -> NextAction {
    if record.is_sound() {
        return NextAction::ChooseRemedy;
    }
    if record.damage.0.is_empty() {
        return NextAction::DescribeDamage;
    }
    let mut readings = record.readings.iter();
    if readings.any(|reading| reading.body.quantity == Quantity::Depth) {
        NextAction::ChooseRemedy
    } else {
        NextAction::Measure
    }
}

/// Returns the first open step. An insert that is already installed went in before the face cut on
/// purpose, so an open face cut does not hold up the rest.
fn step(remedy: Remedy, steps: &[StepOutline]) -> NextAction {
    let installed = steps
        .iter()
        .any(|step| step.key == StepKey::Install && step.is_done);
    let open = steps
        .iter()
        .filter(|step| !step.is_done)
        .find(|step| !(installed && step.key == StepKey::FaceCut));
    match open {
        Some(step) if remedy == Remedy::Specialist && step.key != StepKey::FaceCut => {
            NextAction::AtSpecialist
        }
        Some(step) => NextAction::Step {
            step: step.key,
            title: step.title.clone(),
        },
        None => NextAction::ReviewRemedies,
    }
}

impl fmt::Display for NextAction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            NextAction::ResolveConflict => "Resolve conflict",
            NextAction::Measure => "Measure it",
            NextAction::DescribeDamage => "Describe the damage",
            NextAction::SetThread => "Set the thread",
            NextAction::Crack => "Crack found: stop here and send it out",
            NextAction::ChooseRemedy => "Choose a remedy",
            NextAction::ReviewRemedies => "Review the remedies",
            NextAction::Step { title, .. } => title,
            NextAction::AtSpecialist => "Final check when it is back from the specialist",
            NextAction::Done => "Done. Passed.",
        })
    }
}
