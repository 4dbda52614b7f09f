//! A hole's plan: everything that follows from what stands recorded of it.

use crate::border::{In, Out};
use crate::error::NotebookError;
use crate::ids::HoleId;
use crate::notebook::Notebook;
use crate::situation::Situation;
use crate::steps::{Step, StepKey};
use crate::ways::Way;
use holebook_core::hole::steps::out_of_order;
use holebook_core::hole::{missing, next, plan as core};
use holebook_core::length::Length;

/// What to do next.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum Next {
    /// Settle what the entries disagree on.
    Settle,
    /// Take readings.
    Read,
    /// Say what is missing.
    Damage,
    /// Say which thread the hole shall have.
    Want,
    /// Choose a remedy.
    Choose,
    /// A crack was seen: stop, and choose the specialist.
    Crack,
    /// The chosen remedy is not among the ways any more, or all its steps are done and nothing proves the hole.
    LookAgain,
    /// A step of the work.
    TakeStep {
        /// Which.
        step: StepKey,
    },
    /// The hole is with a specialist, and is proved when it is back.
    Elsewhere,
    /// Nothing: the hole is proved.
    Nothing,
}

impl Out for next::Next {
    type Face = Next;
    fn out(self) -> Next {
        match self {
            Self::Settle => Next::Settle,
            Self::Read => Next::Read,
            Self::Damage => Next::Damage,
            Self::Want => Next::Want,
            Self::Choose => Next::Choose,
            Self::Crack => Next::Crack,
            Self::LookAgain => Next::LookAgain,
            Self::Step(step, _title) => Next::TakeStep { step: step.out() },
            Self::Elsewhere => Next::Elsewhere,
            Self::Nothing => Next::Nothing,
        }
    }
}

/// What follows from the entries of one hole.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Plan {
    /// What the remedies are reckoned from; none where something stands in the way.
    pub situation: Option<Situation>,
    /// What stands in the way, in a sentence.
    pub stands_in_the_way: Option<String>,
    /// What is still to be read or said before the plan stands, the most telling first, in plain words.
    pub missing: Vec<String>,
    /// Every remedy, judged, the least that fits first; none while there is no situation.
    pub ways: Vec<Way>,
    /// Which of the ways is the chosen one, from 0; none where none is chosen, or it is not among the ways.
    pub chosen: Option<u32>,
    /// Which of the ways to show numbers of, from 0: the chosen one; where none is, the first, unless too little is known.
    pub leading: Option<u32>,
    /// The chosen remedy's steps.
    pub steps: Vec<Step>,
    /// What to do next.
    pub next: Next,
    /// The same as a short instruction.
    pub next_words: String,
    /// Whether nothing is still to come off the face; an insert that is set says so in `after_face_cut`.
    pub face_is_finished: bool,
}

#[uniffi::export]
impl Notebook {
    /// What follows from all that stands recorded of a hole: the remedies with their reasons, the steps of the chosen one,
    /// and the next thing to do. Blocks for as long as reading the hole and reckoning takes. Fails with `NoSuch`.
    pub fn plan(&self, hole: HoleId) -> Result<Plan, NotebookError> {
        self.call("plan", |open| {
            let hole = open.hole(hole.inward()?)?;
            let catalogue = open.catalogue()?;
            let plan = core::Plan::of(&hole.record, &hole.face_record, &catalogue);
            let place = |way: Option<&_>| {
                let mut ways = plan.ways.iter();
                way.and_then(|way| ways.position(|other| std::ptr::eq(other, way)))
            };
            let (chosen, leading) = (place(plan.chosen()), place(plan.leading()));
            let reason = |key| {
                let situation = plan.situation.as_ref().ok();
                let (situation, chosen) = situation.zip(plan.chosen())?;
                out_of_order(situation, chosen, &hole.record, key)
            };
            let steps = plan.steps.iter();
            let steps = steps.map(|step| Step::of(step.clone(), reason(step.key)));
            Ok(Plan {
                steps: steps.collect(),
                stands_in_the_way: plan.situation.as_ref().err().map(ToString::to_string),
                missing: missing::missing(&hole.record, &hole.face_record, &catalogue),
                chosen: chosen.out(),
                leading: leading.out(),
                next_words: plan.next.to_string(),
                next: plan.next.clone().out(),
                face_is_finished: hole.face_record.cut_to_come() == Some(Length::ZERO),
                situation: plan.situation.clone().ok().out(),
                ways: plan.ways.clone().out(),
            })
        })
    }
}
