//! A hole's plan: everything that follows from what is recorded of it.

use crate::error::NotebookError;
use crate::ids::HoleId;
use crate::lend::lend;
use crate::notebook::Notebook;
use crate::record::Quantity;
use crate::remedies::{AssessedRemedy, MissingReading};
use crate::situation::Situation;
use crate::steps::{CuttingTool, Step, StepKey};
use holebook_core::hole::remedies::Assessment;
use holebook_core::hole::steps::out_of_order;
use holebook_core::hole::{missing, plan};
use holebook_core::length::Length;

lend! {
    holebook_core::hole::next {
        NextAction,
    }
}

lend! {
    holebook_core::hole::inherit {
        Inherited,
        UnmeasuredBasis,
    }
}

lend! {
    holebook_core::hole::next_task {
        NextTask,
    }
}

/// A step of the plan.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct PlannedStep {
    /// The step.
    pub step: Step,
    /// Why doing it now needs a reason: it is out of the planned order. None if it is next or done.
    /// The notebook accepts the step without a reason too; if the order matters, the hole then has a
    /// conflict.
    pub asks_reason: Option<String>,
}

/// The plan for one hole, computed from its entries.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Plan {
    /// What the remedies are computed from; none if something is missing or in conflict.
    pub situation: Option<Situation>,
    /// Why there is no situation, in a sentence.
    pub no_situation: Option<String>,
    /// What is still to be measured or decided, the most important first, in plain words.
    pub missing: Vec<String>,
    /// The remedies, those that fit first, and among them the least invasive; none without a
    /// situation.
    pub remedies: Vec<AssessedRemedy>,
    /// Index of the chosen remedy, from 0; none if none is chosen, or it is no longer offered.
    pub chosen: Option<u32>,
    /// Index of the remedy whose numbers to show, from 0: the chosen one, else the first, unless too
    /// little is known.
    pub leading: Option<u32>,
    /// What the hole inherits from the setup of its face.
    pub inherited: Inherited,
    /// The usual values of the face that required checks of the chosen remedy rest on, if it cuts
    /// metal: to be measured at the hole first.
    pub unmeasured: Vec<UnmeasuredBasis>,
    /// The chosen remedy's steps.
    pub steps: Vec<PlannedStep>,
    /// What to do next.
    pub next: NextAction,
    /// The same as a short instruction.
    pub next_sentence: String,
    /// Whether nothing is left to remove from the face; an insert that is installed says so in
    /// `after_face_cut`.
    pub face_is_finished: bool,
}

#[uniffi::export]
impl Notebook {
    /// Computes the plan for a hole from its entries: the remedies with their reasons, the steps of
    /// the chosen one, and what to do next. Blocks while it reads the hole and computes. Fails with
    /// `NoSuch`.
    pub fn plan(&self, hole: HoleId) -> Result<Plan, NotebookError> {
        self.call("plan", |open| {
            let hole = open.hole(hole)?;
            let (record, face) = (&hole.record, &hole.face_record);
            let catalog = open.catalog()?;
            let plan = plan::Plan::of(record, face, &catalog);
            let unmeasured = plan
                .chosen()
                .map(|chosen| plan.unmeasured_bases(chosen, &catalog));
            let asks_reason = |key: StepKey| out_of_order(&plan.work(face)?, key);
            let steps = plan.steps.iter().map(|step| PlannedStep {
                asks_reason: asks_reason(step.key).filter(|_| step.done.is_none()),
                step: step.clone(),
            });
            Ok(Plan {
                steps: steps.collect(),
                unmeasured: unmeasured.unwrap_or_default(),
                missing: missing::missing(&plan, record, &catalog),
                chosen: index_of(&plan.assessments, plan.chosen()),
                leading: index_of(&plan.assessments, plan.leading()),
                next_sentence: plan.next.to_string(),
                face_is_finished: face.left_to_remove() == Some(Length::ZERO),
                no_situation: plan.situation.as_ref().err().map(ToString::to_string),
                remedies: plan.assessments.into_iter().map(Into::into).collect(),
                situation: plan.situation.ok(),
                next: plan.next,
                inherited: plan.inherited,
            })
        })
    }
}

/// The index of one of the assessments.
fn index_of(all: &[Assessment], one: Option<&Assessment>) -> Option<u32> {
    let one = one?;
    let index = all.iter().position(|other| std::ptr::eq(other, one))?;
    u32::try_from(index).ok()
}
