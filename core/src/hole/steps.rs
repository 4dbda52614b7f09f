//! The steps of a chosen remedy with their numbers, in an order that still works after the face
//! cut.
//!
//! Which steps are done follows from the entries. No step is forbidden: one that is out of order
//! needs a reason, and [`out_of_order`] says why.
//!
//! Lengths in sentences are in both units (see [`crate::length::in_unit`]).

mod as_planned;
mod cutting;
mod final_check;
mod labels;
mod notes;
mod number;
mod numbers;
mod order;
mod progress;
mod ready;
mod run_tool;
mod tool;

pub(in crate::hole) use cutting::{centering_sequence, cuts_on_one_side};
pub(in crate::hole) use order::step_keys;

pub use as_planned::{
    NotAsPlanned, PlannedEntry, SOFT_ENOUGH, StepEntry, as_planned, clearing_first,
};
pub use number::{Number, Value};
pub use order::out_of_order;
pub use progress::{Progress, ReachedDepths, Work};
pub use ready::blocked_by;
pub use run_tool::StepTool;
pub use tool::CuttingTool;

use super::caution::Caution;
use super::problem::Problem;
use super::record::{CheckKind, CutStep, Recorded};
use crate::id::EntryId;
use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;

/// A step; each is recorded by its own kind of entry.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StepKey {
    /// A cutting step.
    Cut(CutStep),
    /// Trial-fit the insert, then remove it.
    TrialFit,
    /// Cut the face; recorded for the whole face.
    FaceCut,
    /// Install the insert for good.
    Install,
    /// Drive the locking keys.
    StakeKeys,
    /// A check.
    Check(CheckKind),
    /// The final check.
    FinalCheck,
}

impl StepKey {
    /// All steps.
    pub const ALL: [StepKey; 19] = [
        StepKey::Cut(CutStep::ClearBroken),
        StepKey::Cut(CutStep::RelieveHard),
        StepKey::Cut(CutStep::Center),
        StepKey::Cut(CutStep::Drill),
        StepKey::Cut(CutStep::Tap),
        StepKey::Cut(CutStep::Plug),
        StepKey::Cut(CutStep::MakeBushing),
        StepKey::TrialFit,
        StepKey::FaceCut,
        StepKey::Cut(CutStep::Countersink),
        StepKey::Cut(CutStep::DrillPlug),
        StepKey::Cut(CutStep::TapPlug),
        StepKey::Install,
        StepKey::Cut(CutStep::BroachSlots),
        StepKey::StakeKeys,
        StepKey::Check(CheckKind::StakeCheck),
        StepKey::Check(CheckKind::RunsInByHand),
        StepKey::Check(CheckKind::Square),
        StepKey::FinalCheck,
    ];

    /// Returns its short name for URLs and JSON.
    pub const fn word(self) -> &'static str {
        match self {
            StepKey::Cut(CutStep::ClearBroken) => "clear-broken",
            StepKey::Cut(CutStep::RelieveHard) => "relieve-hard",
            StepKey::Cut(CutStep::Center) => "center",
            StepKey::Cut(CutStep::Drill) => "drill",
            StepKey::Cut(CutStep::Countersink) => "countersink",
            StepKey::Cut(CutStep::Tap) => "tap",
            StepKey::Cut(CutStep::Plug) => "plug",
            StepKey::Cut(CutStep::DrillPlug) => "drill-plug",
            StepKey::Cut(CutStep::TapPlug) => "tap-plug",
            StepKey::Cut(CutStep::MakeBushing) => "make-bushing",
            StepKey::Cut(CutStep::BroachSlots) => "broach-slots",
            StepKey::TrialFit => "trial-fit",
            StepKey::FaceCut => "face-cut",
            StepKey::Install => "install",
            StepKey::StakeKeys => "stake-keys",
            StepKey::Check(CheckKind::StakeCheck) => "stake-check",
            StepKey::Check(CheckKind::RunsInByHand) => "runs-in-by-hand",
            StepKey::Check(CheckKind::Square) => "square",
            StepKey::FinalCheck => "final-check",
        }
    }

    /// Returns the step with a short name.
    pub fn from_word(word: &str) -> Option<StepKey> {
        StepKey::ALL.into_iter().find(|key| key.word() == word)
    }
}

impl fmt::Display for StepKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl Serialize for StepKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

impl<'de> Deserialize<'de> for StepKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let word = String::deserialize(deserializer)?;
        let unknown = || de::Error::custom(format!("there is no step {word}"));
        StepKey::from_word(&word).ok_or_else(unknown)
    }
}

/// How a step was done.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Done {
    /// The entry; `None` for the face cut, which is recorded for the face.
    pub entry: Option<EntryId>,
    /// The person.
    pub by: Option<String>,
    /// Time by the device's clock.
    pub at: Option<DateTime<FixedOffset>>,
    /// The reason that was given, if one was needed.
    pub reason: Option<String>,
}

/// One step.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Step {
    /// Which step.
    pub key: StepKey,
    /// What to do, in a few words.
    pub title: String,
    /// What it needs in the hand or in the chuck.
    pub tool: StepTool,
    /// The numbers to work to.
    pub numbers: Vec<Number>,
    /// Why it is done, and what to watch for.
    pub why: String,
    /// Details, a sentence or two each: how to cut, and what the numbers mean.
    pub notes: Vec<String>,
    /// Where the details and numbers come from, a sentence each.
    pub sources: Vec<String>,
    /// Cautions that no earlier open step has.
    pub cautions: Vec<Caution>,
    /// How it was done; `None` if it is open.
    pub done: Option<Done>,
    /// Why it is open again, or not done as recorded.
    pub problems: Vec<Problem>,
    /// Whether it belongs before a face cut that is not done yet.
    pub before_face_cut: bool,
    /// The first open step that should be done before it.
    pub waits_for: Option<StepKey>,
}

/// A step in short: all that tells which one is next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StepOutline {
    /// Which step.
    pub key: StepKey,
    /// What to do, in a few words.
    pub title: String,
    /// Whether it is done.
    pub is_done: bool,
}

impl From<&Step> for StepOutline {
    fn from(step: &Step) -> Self {
        Self {
            key: step.key,
            title: step.title.clone(),
            is_done: step.done.is_some(),
        }
    }
}

/// Returns the steps of a remedy for a hole in short, first to last: without the numbers, notes and
/// cautions of [`steps`].
pub fn outlines(work: &Work<'_>) -> Vec<StepOutline> {
    let keys = order::step_keys(work).into_iter();
    keys.map(|key| StepOutline {
        key,
        title: labels::title(key, work.situation, work.assessment),
        is_done: work.is_done(key),
    })
    .collect()
}

/// Returns the steps of a remedy for a hole, first to last.
pub fn steps(work: &Work<'_>) -> Vec<Step> {
    let (situation, assessment) = (work.situation, work.assessment);
    let plan = order::step_keys(work);
    let cuts_metal = |key: &StepKey| {
        matches!(
            key,
            StepKey::Cut(CutStep::Center | CutStep::Drill | CutStep::Tap)
        )
    };
    let first_cut = plan.iter().copied().find(cuts_metal);
    let cut_at = plan.iter().position(|key| *key == StepKey::FaceCut);
    let open_cut_at = cut_at.filter(|_| !work.is_done(StepKey::FaceCut));
    let mut listed: Vec<Step> = plan
        .iter()
        .enumerate()
        .map(|(i, &key)| {
            let notes = match key {
                StepKey::FinalCheck => final_check::notes(situation, assessment),
                key => cutting::notes(key, situation, assessment),
            };
            let mut notes = notes;
            let mut cautions = labels::cautions(key, situation, assessment);
            if Some(key) == first_cut {
                notes.add_all(work.aftermath().map(str::to_owned));
                if let Some(not_measured) = work.not_measured() {
                    notes.add(not_measured);
                    cautions.insert(0, Caution::NotMeasuredHere);
                }
            }
            let progress = work.progress(key);
            let numbers = numbers::numbers(key, work);
            Step {
                key,
                title: labels::title(key, situation, assessment),
                tool: run_tool::tool(key, work),
                numbers,
                why: labels::why(key, situation, assessment),
                notes: notes.lines,
                sources: notes.sources,
                cautions,
                done: progress.done,
                problems: progress.problems,
                before_face_cut: open_cut_at.is_some_and(|at| i < at),
                waits_for: order::waits_for(key, work),
            }
        })
        .collect();
    caution_once(&mut listed);
    listed
}

/// Returns the cautions of a step, also those that an earlier step has too.
pub fn cautions(key: StepKey, work: &Work<'_>) -> Vec<Caution> {
    labels::cautions(key, work.situation, work.assessment)
}

/// Leaves each caution at the first open step that it belongs to, or if none is open, at the first
/// that is done: people skip what they have read.
fn caution_once(steps: &mut [Step]) {
    let mut seen: Vec<Caution> = Vec::new();
    for done in [false, true] {
        for step in steps.iter_mut().filter(|step| step.done.is_some() == done) {
            step.cautions.retain(|caution| !seen.contains(caution));
            seen.extend_from_slice(&step.cautions);
        }
    }
}

impl Done {
    fn with_reason<T>(entry: &Recorded<T>, reason: &Option<String>) -> Done {
        Done {
            reason: reason.clone(),
            ..Done::by(entry)
        }
    }

    fn by<T>(entry: &Recorded<T>) -> Done {
        Done {
            entry: Some(entry.entry),
            by: Some(entry.by.clone()),
            at: Some(entry.at),
            reason: None,
        }
    }
}

#[cfg(test)]
mod tests;
