//! What one tap records of a step that was done as planned.
//!
//! A length is recorded as the page shows it, rounded to the safe side in the reader's unit. What
//! the plan gives as a range is recorded as not measured, because no one value of it is known.

use super::number::{Number, Value};
use super::{StepKey, Work, numbers, order};
use crate::hole::record::{
    CheckKind, CheckResult, Cut, CutStep, FinalCheck, FitCheck, HoleRecord, Install, Recorded,
    Remedy, RemedySpec, StakeKeys, TrialFit,
};
use crate::hole::removal::{self, Removal};
use crate::hole::situation::Situation;
use crate::id::{DeviceId, EntryId, Seen};
use crate::length::{Length, Unit, in_unit};
use chrono::DateTime;
use uuid::Uuid;

/// What is recorded of a step.
#[derive(Debug, Clone, PartialEq)]
pub enum StepEntry {
    /// A cutting step.
    Cut(Cut),
    /// A trial fit, or a gauge check.
    TrialFit(TrialFit),
    /// An install.
    Install(Install),
    /// Keys driven.
    StakeKeys(StakeKeys),
    /// A check.
    Check(CheckResult),
    /// A final check.
    FinalCheck(FinalCheck),
}

/// A way in which a step is done as planned, and what is recorded of it.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedEntry {
    /// What a person says by recording it, for a button.
    pub label: String,
    /// What is recorded.
    pub entry: StepEntry,
}

/// Why a step cannot be recorded as planned. Each message is one sentence: what, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotAsPlanned {
    /// The face cut is recorded for the whole face.
    #[error("the face cut is measured; record it on the face's page")]
    FaceCut,
    /// It is out of the planned order.
    #[error("{0}; to do it now, enter a reason")]
    OutOfOrder(String),
    /// It is none of the hole's steps.
    #[error("{} is none of this hole's steps; choose its remedy first", .0.noun())]
    NotAStep(StepKey),
    /// It is done.
    #[error("{} is recorded already; nothing more is needed", .0.noun())]
    Done(StepKey),
    /// What is recorded is out of its limits, or not known, so a value has to be measured.
    #[error("{} is open because of a value; measure it, and enter what you measured", .0.noun())]
    Measure(StepKey),
}

/// Returns what one tap records of a step done as planned: one entry for each way in which it may
/// have been done, the usual one first. Depths and diameters are those that the step shows in
/// `unit`.
///
/// # Errors
/// If the step is done, out of order, recorded for the whole face, or needs a measured value.
pub fn as_planned(
    work: &Work<'_>,
    key: StepKey,
    unit: Unit,
) -> Result<Vec<PlannedEntry>, NotAsPlanned> {
    if key == StepKey::FaceCut {
        return Err(NotAsPlanned::FaceCut);
    }
    if work.is_done(key) {
        return Err(NotAsPlanned::Done(key));
    }
    if let Some(why) = order::out_of_order(work, key) {
        return Err(NotAsPlanned::OutOfOrder(why));
    }
    let mut entries = Planner { work, key, unit }.entries();
    entries.retain(|planned| makes_done(work, key, &planned.entry));
    if entries.is_empty() || needs_value(work, key) {
        return Err(NotAsPlanned::Measure(key));
    }
    Ok(entries)
}

/// Returns whether the step is open because of a value that the plan gives as a range, or gives no
/// number for.
fn needs_value(work: &Work<'_>, key: StepKey) -> bool {
    let measured = matches!(
        key,
        StepKey::Install | StepKey::Check(_) | StepKey::FinalCheck
    );
    let problems = work.progress(key).problems;
    measured
        && problems
            .iter()
            .any(|problem| problem.is_about_value() || problem.is_about_depth())
}

/// Returns whether a step would be done if an entry were recorded now.
fn makes_done(work: &Work<'_>, key: StepKey, entry: &StepEntry) -> bool {
    let mut record = work.record.clone();
    add_now(&mut record, work, entry);
    let after = Work {
        record: &record,
        ..*work
    };
    after.is_done(key)
}

/// Adds an entry to a record as if it were recorded now, by someone who knows all that the record
/// and its face hold.
fn add_now(record: &mut HoleRecord, work: &Work<'_>, entry: &StepEntry) {
    let seen = work.everything_seen();
    match entry.clone() {
        StepEntry::Cut(body) => record.cuts.push(now(body, seen)),
        StepEntry::TrialFit(body) => record.trial_fits.push(now(body, seen)),
        StepEntry::Install(body) => record.installs.push(now(body, seen)),
        StepEntry::StakeKeys(body) => record.stake_keys.push(now(body, seen)),
        StepEntry::Check(body) => record.checks.push(now(body, seen)),
        StepEntry::FinalCheck(body) => record.final_checks.push(now(body, seen)),
    }
}

fn now<T>(body: T, seen: Vec<Seen>) -> Recorded<T> {
    Recorded {
        entry: EntryId(Uuid::max()),
        device: DeviceId(Uuid::max()),
        seq: u64::MAX,
        seen,
        corrects: None,
        by: String::new(),
        at: DateTime::UNIX_EPOCH.fixed_offset(),
        body,
    }
}

/// Builds the entries of one step.
struct Planner<'a> {
    work: &'a Work<'a>,
    key: StepKey,
    unit: Unit,
}

impl Planner<'_> {
    fn entries(&self) -> Vec<PlannedEntry> {
        let remedy = self.work.assessment.remedy;
        match self.key {
            StepKey::FaceCut => Vec::new(),
            StepKey::Cut(CutStep::ClearBroken) => self.clearing(),
            StepKey::Cut(CutStep::BroachSlots) => vec![
                planned("Broached", self.cut(CutStep::BroachSlots)),
                planned(
                    "Not needed: 150 Brinell or softer",
                    Cut {
                        reason: Some(SOFT_ENOUGH.to_owned()),
                        ..self.cut(CutStep::BroachSlots)
                    },
                ),
            ],
            StepKey::Cut(step) => vec![planned("Done as planned", self.cut(step))],
            StepKey::TrialFit if remedy.fit_check() == Some(FitCheck::Gauge) => {
                vec![planned("Gauge goes in", self.trial_fit())]
            }
            StepKey::TrialFit => vec![planned("Goes in freely", self.trial_fit())],
            StepKey::Install => vec![planned("Installed as planned", self.install())],
            StepKey::StakeKeys => {
                let keys = self.keys().map(|keys| planned("All keys staked", keys));
                keys.into_iter().collect()
            }
            StepKey::Check(kind) => self.checks(kind),
            StepKey::FinalCheck => self.final_checks(),
        }
    }

    /// The numbers that the step shows.
    fn numbers(&self) -> Vec<Number> {
        numbers::numbers(self.key, self.work)
    }

    /// A length as the step shows it; `None` if it shows none of this name.
    fn length(&self, name: &str) -> Option<Length> {
        let numbers = self.numbers();
        let number = numbers.iter().find(|number| number.name == name)?;
        match number.value {
            Value::Computed { length, rounding } => Some(length.round_to(self.unit, rounding)),
            Value::Length(length) => Some(length),
            _ => None,
        }
    }

    /// The tool or material that the step shows, if its name is not too long to be recorded.
    fn tool(&self) -> Option<String> {
        let numbers = self.numbers();
        let named = numbers
            .iter()
            .find(|number| numbers::TOOLS.contains(&number.name))?;
        let tool = match &named.value {
            Value::Drill(drill) => format!("drill {drill}"),
            Value::Text(text) => in_unit(text, self.unit),
            _ => return None,
        };
        (tool.chars().count() <= LONGEST_TOOL).then_some(tool)
    }

    fn cut(&self, step: CutStep) -> Cut {
        let depth = match step {
            CutStep::Drill => self.length(numbers::DRILL_AS_IS),
            CutStep::Tap => self.length(numbers::THREAD_AS_IS),
            _ => None,
        };
        Cut {
            spec: self.work.assessment.spec(),
            step,
            depth,
            diameter: self
                .length(numbers::GRIND_TO)
                .filter(|_| step == CutStep::RelieveHard),
            tool: self.tool(),
            removal: None,
            reason: None,
        }
    }

    fn clearing(&self) -> Vec<PlannedEntry> {
        clearing(self.work.situation, &self.work.assessment.spec())
    }

    fn trial_fit(&self) -> TrialFit {
        TrialFit {
            spec: self.work.assessment.spec(),
            fits: true,
            below_face: None,
            note: None,
        }
    }

    fn install(&self) -> Install {
        Install {
            spec: self.work.assessment.spec(),
            below_face: None,
            after_face_cut: self.work.face.left_to_remove() == Some(Length::ZERO),
            reason: None,
        }
    }

    fn keys(&self) -> Option<StakeKeys> {
        let insert = self.work.assessment.insert.as_ref()?;
        Some(StakeKeys {
            spec: self.work.assessment.spec(),
            driven: insert.keys,
            reason: None,
        })
    }

    fn checks(&self, kind: CheckKind) -> Vec<PlannedEntry> {
        let check = |locking| CheckResult {
            check: kind,
            passes: true,
            reading: None,
            instrument: None,
            locking,
            reason: None,
        };
        match kind {
            CheckKind::StakeCheck => vec![planned("Passes: nothing catches", check(false))],
            CheckKind::Square => vec![planned("Passes: square", check(false))],
            CheckKind::RunsInByHand => {
                let mut ways = vec![planned("Passes: runs in by hand", check(false))];
                if self.work.assessment.remedy.may_be_locking() {
                    let label = "Passes: locking insert, with a wrench";
                    ways.push(planned(label, check(true)));
                }
                ways
            }
        }
    }

    /// The torque that a bolt held is a measurement, so none is recorded.
    fn final_checks(&self) -> Vec<PlannedEntry> {
        let ways = match self.work.assessment.remedy {
            Remedy::SteppedStud => ["thread ring gauge", "new nut, tightened in steps"],
            _ => ["thread plug gauge", "new bolt, tightened in steps"],
        };
        let ways = ways.into_iter().map(|how| {
            let check = FinalCheck {
                spec: self.work.assessment.spec(),
                passes: true,
                how: how.to_owned(),
                torque_nm: None,
                engaged: None,
                reason: None,
            };
            planned(&format!("Passes: {how}"), check)
        });
        ways.collect()
    }
}

/// Returns what is recorded of removing a broken piece before a remedy is chosen: it counts for any.
pub fn clearing_first(situation: &Situation) -> Vec<PlannedEntry> {
    clearing(situation, &RemedySpec::BEFORE_CHOICE)
}

/// How the piece came out decides what to look out for, so each way is its own entry.
fn clearing(situation: &Situation, spec: &RemedySpec) -> Vec<PlannedEntry> {
    let piece = situation.damage.broken_tool.as_ref();
    let ways = piece.map(removal::ways).unwrap_or_default();
    let out = |way: Removal| {
        let cut = Cut {
            spec: spec.clone(),
            step: CutStep::ClearBroken,
            depth: None,
            diameter: None,
            tool: None,
            removal: Some(way),
            reason: None,
        };
        planned(&format!("Out: {}", way.name()), cut)
    };
    ways.into_iter().map(out).collect()
}

/// Why key slots were not broached.
pub const SOFT_ENOUGH: &str = "not needed, 150 Brinell or softer";

/// The longest name of a tool that can be recorded, in characters.
const LONGEST_TOOL: usize = 200;

fn planned(label: &str, entry: impl Into<StepEntry>) -> PlannedEntry {
    PlannedEntry {
        label: label.to_owned(),
        entry: entry.into(),
    }
}

macro_rules! step_entries {
    ($($body:ident => $kind:ident),+) => {
        $(
            impl From<$body> for StepEntry {
                fn from(body: $body) -> StepEntry {
                    StepEntry::$kind(body)
                }
            }
        )+
    };
}

step_entries! {
    Cut => Cut, TrialFit => TrialFit, Install => Install, StakeKeys => StakeKeys,
    CheckResult => Check, FinalCheck => FinalCheck
}

#[cfg(test)]
mod tests;
