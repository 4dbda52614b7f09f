//! The steps of a chosen remedy with their numbers, in an order that still works after the face
//! cut.
//!
//! Which steps are done follows from the entries. No step is forbidden: one that is out of order
//! needs a reason, and [`out_of_order`] says why.
//!
//! Lengths in sentences are in both units (see [`crate::length::in_unit`]).

mod cutting;
mod final_check;
mod labels;
mod notes;
mod number;
mod numbers;
mod order;

pub use number::{Number, Value};
pub use order::out_of_order;

use super::caution::Caution;
use super::record::{CheckKind, CutStep, HoleRecord, Recorded, RemedySpec};
use super::remedies::Assessment;
use super::situation::Situation;
use crate::id::EntryId;
use crate::length::{Length, Rounding};
use chrono::{DateTime, FixedOffset};
use serde::{Serialize, Serializer};
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

/// How a step was done.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Done {
    /// The entry; `None` for the face cut, which is recorded for the face.
    pub entry: Option<EntryId>,
    /// The person.
    pub by: Option<String>,
    /// Time by the device's clock.
    pub at: Option<DateTime<FixedOffset>>,
    /// How it deviates from the plan.
    pub deviation: Option<String>,
}

/// One step.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct Step {
    /// Which step.
    pub key: StepKey,
    /// What to do, in a few words.
    pub title: String,
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
    /// Whether it belongs before a face cut that is not done yet.
    pub before_face_cut: bool,
    /// The first open step that should be done before it.
    pub waits_for: Option<StepKey>,
}

/// Returns the steps of a remedy for a hole, first to last.
pub fn steps(situation: &Situation, assessment: &Assessment, record: &HoleRecord) -> Vec<Step> {
    let plan = order::step_keys(situation, assessment);
    let cut_at = plan.iter().position(|key| *key == StepKey::FaceCut);
    let open_cut_at =
        cut_at.filter(|_| done(StepKey::FaceCut, situation, assessment, record).is_none());
    let mut listed: Vec<Step> = plan
        .iter()
        .enumerate()
        .map(|(i, &key)| {
            let notes = match key {
                StepKey::FinalCheck => final_check::notes(situation, assessment),
                key => cutting::notes(key, situation, assessment),
            };
            Step {
                key,
                title: labels::title(key, situation, assessment),
                numbers: numbers::numbers(key, situation, assessment),
                why: labels::why(key, situation, assessment),
                notes: notes.lines,
                sources: notes.sources,
                cautions: labels::cautions(key, situation, assessment),
                done: done(key, situation, assessment, record),
                before_face_cut: open_cut_at.is_some_and(|at| i < at),
                waits_for: order::waits_for(key, &plan, situation, assessment, record),
            }
        })
        .collect();
    caution_once(&mut listed);
    listed
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

/// Returns how a step was done, by the entries that count for this remedy.
fn done(
    key: StepKey,
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<Done> {
    let spec = assessment.spec();
    match key {
        StepKey::Cut(step) => done_cut(step, &spec, situation, assessment, record),
        StepKey::TrialFit => first(&record.trial_fits, |fit| {
            fit.fits && fit.spec.counts_for(&spec)
        }),
        StepKey::FaceCut => (situation.face_cut == Some(Length::ZERO)
            && situation.milled.is_positive())
        .then_some(Done {
            entry: None,
            by: None,
            at: None,
            deviation: None,
        }),
        StepKey::Install => {
            let install = record
                .installs
                .iter()
                .find(|install| install.body.spec.counts_for(&spec))?;
            let early = !install.body.after_face_cut;
            Some(Done {
                deviation: early.then(|| "installed before the planned face cut".to_owned()),
                ..Done::by(install)
            })
        }
        StepKey::StakeKeys => {
            let keys = record
                .stake_keys
                .iter()
                .find(|keys| keys.body.spec.counts_for(&spec))?;
            let all = assessment.insert.as_ref().map_or(0, |insert| insert.keys);
            let driven = keys.body.driven;
            Some(Done {
                deviation: (driven < all).then(|| format!("{driven} of {all} keys driven")),
                ..Done::by(keys)
            })
        }
        StepKey::Check(kind) => first(&record.checks, |check| check.check == kind && check.passes),
        StepKey::FinalCheck => first(&record.final_checks, |check| {
            check.passes && check.spec.counts_for(&spec)
        }),
    }
}

fn first<T>(recorded: &[Recorded<T>], is: impl Fn(&T) -> bool) -> Option<Done> {
    recorded.iter().find(|entry| is(&entry.body)).map(Done::by)
}

impl Done {
    fn by<T>(entry: &Recorded<T>) -> Done {
        Done {
            entry: Some(entry.entry),
            by: Some(entry.by.clone()),
            at: Some(entry.at),
            deviation: None,
        }
    }
}

fn done_cut(
    step: CutStep,
    spec: &RemedySpec,
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<Done> {
    let for_any = matches!(
        step,
        CutStep::ClearBroken | CutStep::RelieveHard | CutStep::Center
    );
    // What could only follow the step shows that it was done, or was not needed.
    let follows = match step {
        CutStep::MakeBushing => {
            let tried = first(&record.trial_fits, |fit| fit.spec.counts_for(spec));
            tried.or_else(|| first(&record.installs, |install| install.spec.counts_for(spec)))
        }
        CutStep::BroachSlots => first(&record.stake_keys, |keys| keys.spec.counts_for(spec)),
        _ => None,
    };
    // Of several cuts, the deepest counts.
    let cut = record
        .cuts
        .iter()
        .filter(|cut| cut.body.step == step && (for_any || cut.body.spec.counts_for(spec)))
        .max_by_key(|cut| cut.body.depth);
    let Some(cut) = cut else { return follows };
    Some(Done {
        deviation: match step {
            CutStep::BroachSlots => cut.body.reason.clone(),
            _ => too_shallow(step, cut.body.depth, situation, assessment),
        },
        ..Done::by(cut)
    })
}

/// Says that a recorded depth is less than needed.
///
/// Before any milling, depths were measured from the face as is. After milling, a depth may have
/// been measured from either face, so it only has to reach the depth from the finished face.
fn too_shallow(
    step: CutStep,
    depth: Option<Length>,
    situation: &Situation,
    assessment: &Assessment,
) -> Option<String> {
    let depths = assessment.depths.as_ref()?;
    let (now, after) = match step {
        CutStep::Drill => (depths.drill, depths.drill_after_cut),
        CutStep::Tap => (depths.full_thread, depths.full_thread_after_cut),
        _ => return None,
    };
    let needed = now
        .filter(|_| !situation.milled.is_positive())
        .unwrap_or(after);
    let depth = depth.filter(|depth| *depth < needed)?;
    Some(format!(
        "recorded {} deep, {} needed",
        depth.both(),
        needed.both_rounded(Rounding::Up)
    ))
}

#[cfg(test)]
mod tests;
