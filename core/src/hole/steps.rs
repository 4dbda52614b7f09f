//! The steps that follow from a chosen remedy, in the order that survives the face cut, with their numbers.
//!
//! What is done is worked out from the entries. Nothing here forbids anything: a step out of order asks for a reason, and
//! [`out_of_order`] says why it asks.

mod cutting;
mod numbers;
mod order;
mod proving;
mod words;

pub use numbers::{Number, Value};
pub use order::out_of_order;

use super::caution::Caution;
use super::record::{CheckKind, CutStep, HoleRecord, Said, Work};
use super::remedies::Assessment;
use super::situation::Situation;
use crate::length::Length;
use chrono::{DateTime, FixedOffset};
use serde::{Serialize, Serializer};
use std::fmt;
use uuid::Uuid;

/// Which step; each is recorded by an entry of its own kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StepKey {
    /// A step of cutting.
    Cut(CutStep),
    /// The insert is tried and taken out again.
    DryFit,
    /// The face is cut; recorded for the whole face.
    FaceCut,
    /// The insert is set for good.
    Set,
    /// The keys are driven.
    Keys,
    /// A check.
    Check(CheckKind),
    /// The proof.
    Prove,
}

impl StepKey {
    /// All of them.
    pub const ALL: [StepKey; 17] = [
        StepKey::Cut(CutStep::ClearBroken),
        StepKey::Cut(CutStep::RelieveHard),
        StepKey::Cut(CutStep::Centre),
        StepKey::Cut(CutStep::Drill),
        StepKey::Cut(CutStep::Tap),
        StepKey::Cut(CutStep::Plug),
        StepKey::DryFit,
        StepKey::FaceCut,
        StepKey::Cut(CutStep::Countersink),
        StepKey::Cut(CutStep::DrillPlug),
        StepKey::Cut(CutStep::TapPlug),
        StepKey::Set,
        StepKey::Keys,
        StepKey::Check(CheckKind::RuleAcross),
        StepKey::Check(CheckKind::RunsIn),
        StepKey::Check(CheckKind::Square),
        StepKey::Prove,
    ];

    /// A short word for addresses and JSON.
    pub const fn word(self) -> &'static str {
        match self {
            StepKey::Cut(CutStep::ClearBroken) => "clear-broken",
            StepKey::Cut(CutStep::RelieveHard) => "relieve-hard",
            StepKey::Cut(CutStep::Centre) => "centre",
            StepKey::Cut(CutStep::Drill) => "drill",
            StepKey::Cut(CutStep::Countersink) => "countersink",
            StepKey::Cut(CutStep::Tap) => "tap",
            StepKey::Cut(CutStep::Plug) => "plug",
            StepKey::Cut(CutStep::DrillPlug) => "drill-plug",
            StepKey::Cut(CutStep::TapPlug) => "tap-plug",
            StepKey::DryFit => "dry-fit",
            StepKey::FaceCut => "face-cut",
            StepKey::Set => "set",
            StepKey::Keys => "keys",
            StepKey::Check(CheckKind::RuleAcross) => "rule-across",
            StepKey::Check(CheckKind::RunsIn) => "runs-in",
            StepKey::Check(CheckKind::Square) => "square",
            StepKey::Prove => "prove",
        }
    }

    /// The step that a word stands for.
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

/// That a step is done, and by which entry.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// The entry; `None` for the face cut, which is recorded for the face.
    pub entry: Option<Uuid>,
    /// Who did it.
    pub by: Option<String>,
    /// When, by that device's clock.
    pub at: Option<DateTime<FixedOffset>>,
    /// What is not as the plan says, in a sentence.
    pub but: Option<String>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Which.
    pub key: StepKey,
    /// What to do, in a few words.
    pub title: String,
    /// With which numbers.
    pub numbers: Vec<Number>,
    /// Why, and what to look at.
    pub why: String,
    /// What more there is to know, a sentence or two each: how to cut, what the numbers stand on. For who wants to read on.
    pub notes: Vec<String>,
    /// What to beware of.
    pub cautions: Vec<Caution>,
    /// Whether it is done.
    pub done: Option<Done>,
    /// Whether it belongs before a face cut that is still to come.
    pub before_face_cut: bool,
    /// The first step that should be done before it and is not.
    pub waits_for: Option<StepKey>,
}

/// The steps of a remedy for a hole, first to last.
pub fn steps(situation: &Situation, assessment: &Assessment, record: &HoleRecord) -> Vec<Step> {
    let plan = order::plan(situation, assessment);
    let cut_at = plan.iter().position(|key| *key == StepKey::FaceCut);
    let cut_to_come =
        cut_at.filter(|_| done(StepKey::FaceCut, situation, assessment, record).is_none());
    plan.iter()
        .enumerate()
        .map(|(i, &key)| Step {
            key,
            title: words::title(key, situation, assessment),
            numbers: numbers::numbers(key, situation, assessment),
            why: words::why(key, situation, assessment),
            notes: match key {
                StepKey::Prove => proving::notes(situation, assessment),
                key => cutting::notes(key, situation, assessment),
            },
            cautions: words::cautions(key, situation, assessment),
            done: done(key, situation, assessment, record),
            before_face_cut: cut_to_come.is_some_and(|at| i < at),
            waits_for: order::waits_for(key, &plan, situation, assessment, record),
        })
        .collect()
}

/// Whether a step is done, by the entries that serve this remedy.
fn done(
    key: StepKey,
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<Done> {
    let work = assessment.work();
    match key {
        StepKey::Cut(step) => done_cut(step, &work, situation, assessment, record),
        StepKey::DryFit => first(&record.dry_fits, |dry| dry.fits && dry.work.serves(&work)),
        StepKey::FaceCut => (situation.face_cut == Some(Length::ZERO)
            && situation.milled.is_positive())
        .then_some(Done {
            entry: None,
            by: None,
            at: None,
            but: None,
        }),
        StepKey::Set => {
            let set = record.sets.iter().find(|set| set.body.work.serves(&work))?;
            let early = !set.body.after_face_cut;
            let but = early.then(|| "set before the face cut that the plan counts on".to_owned());
            Some(Done {
                but,
                ..Done::by(set)
            })
        }
        StepKey::Keys => {
            let keys = record
                .keys
                .iter()
                .find(|keys| keys.body.work.serves(&work))?;
            let all = assessment.insert.as_ref().map_or(0, |insert| insert.keys);
            let driven = keys.body.driven;
            let but = (driven < all).then(|| format!("{driven} of {all} keys are driven"));
            Some(Done {
                but,
                ..Done::by(keys)
            })
        }
        StepKey::Check(kind) => first(&record.checks, |check| check.check == kind && check.passes),
        StepKey::Prove => first(&record.proofs, |proof| {
            proof.passes && proof.work.serves(&work)
        }),
    }
}

fn first<T>(said: &[Said<T>], is: impl Fn(&T) -> bool) -> Option<Done> {
    said.iter().find(|said| is(&said.body)).map(Done::by)
}

impl Done {
    fn by<T>(said: &Said<T>) -> Done {
        Done {
            entry: Some(said.entry),
            by: Some(said.by.clone()),
            at: Some(said.at),
            but: None,
        }
    }
}

fn done_cut(
    step: CutStep,
    work: &Work,
    situation: &Situation,
    assessment: &Assessment,
    record: &HoleRecord,
) -> Option<Done> {
    let for_any = matches!(
        step,
        CutStep::ClearBroken | CutStep::RelieveHard | CutStep::Centre
    );
    let serving = || {
        record
            .cuts
            .iter()
            .filter(|cut| cut.body.step == step && (for_any || cut.body.work.serves(work)))
    };
    // Of several, the deepest tells how far it is.
    let cut = serving().max_by_key(|cut| cut.body.depth)?;
    let but = too_shallow(step, cut.body.depth, situation, assessment);
    Some(Done {
        but,
        ..Done::by(cut)
    })
}

/// Before any milling, a recorded depth ran from today's face; after it, it may have run from either, and the finished face asks least.
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
        "recorded {} deep, and {} are needed",
        depth.both(),
        needed.both()
    ))
}

#[cfg(test)]
mod tests;
