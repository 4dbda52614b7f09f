//! A hole's stage, its conflicts and its open problems, derived from all its active entries and
//! those of its face.
//!
//! Entries come from several devices whose clocks are not trusted. Which one came after the other is
//! known only from what its writer had seen; two that did not know of each other both count.

mod conflict;
mod labels;

pub use conflict::{Conflict, Fact};

use super::damage::Damage;
use super::inherit::inherit;
use super::place_change::{PlaceChange, PlaceFact};
use super::problem::Problem;
use super::record::{
    Choice, CutStep, FaceRecord, FitCheck, HoleRecord, Recorded, Remedy, RemedySpec, is_blank,
};
use super::remedies::{Assessment, assess_chosen};
use super::situation::{Situation, situation_of};
use super::steps::{StepKey, Work};
use super::verdict::Verdict;
use crate::insert::Catalog;
use crate::length::Length;
use serde::{Deserialize, Serialize};
use std::fmt;

/// How far the work on a hole has come.
#[derive(
    holebook_shape::Shape,
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Only its place is known.
    #[serde(rename = "not measured")]
    NotMeasured,
    /// It has a reading, damage or check.
    Measured,
    /// A remedy is chosen.
    Planned,
    /// Its thread is tapped for the remedy.
    Cut,
    /// The insert passed its trial fit and was removed.
    TrialFitted,
    /// The insert is in for good.
    Installed,
    /// It passed the final check.
    Passed,
}

impl Stage {
    /// All stages, in order.
    pub const ALL: [Stage; 7] = [
        Stage::NotMeasured,
        Stage::Measured,
        Stage::Planned,
        Stage::Cut,
        Stage::TrialFitted,
        Stage::Installed,
        Stage::Passed,
    ];

    /// Returns its name, as screens and JSON write it.
    pub const fn label(self) -> &'static str {
        match self {
            Stage::NotMeasured => "not measured",
            Stage::Measured => "measured",
            Stage::Planned => "planned",
            Stage::Cut => "cut",
            Stage::TrialFitted => "trial-fitted",
            Stage::Installed => "installed",
            Stage::Passed => "passed",
        }
    }

    /// Returns its name for a hole with a remedy: a hole that is gauged is not trial-fitted.
    pub fn label_for(self, remedy: Option<Remedy>) -> &'static str {
        let gauged = remedy.and_then(Remedy::fit_check) == Some(FitCheck::Gauge);
        match self {
            Stage::TrialFitted if gauged => "gauged",
            other => other.label(),
        }
    }

    /// Returns the stages that apply to a remedy, first to last; all of them without a remedy.
    pub const fn path(remedy: Option<Remedy>) -> &'static [Stage] {
        use Stage::{Cut, Installed, Measured, NotMeasured, Passed, Planned};
        match remedy {
            Some(Remedy::Leave | Remedy::LongerBolt) => &[NotMeasured, Measured, Passed],
            Some(Remedy::Chase | Remedy::TapDeeper | Remedy::LargerBolt) => {
                &[NotMeasured, Measured, Planned, Cut, Passed]
            }
            Some(Remedy::ThreadedPlug) => &[NotMeasured, Measured, Planned, Cut, Installed, Passed],
            Some(Remedy::Specialist) => &[NotMeasured, Measured, Planned, Passed],
            Some(
                Remedy::WireInsert
                | Remedy::KeyLockingInsert
                | Remedy::Bushing
                | Remedy::SteppedStud,
            )
            | None => &Stage::ALL,
        }
    }
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.label())
    }
}

/// A hole's stage, its conflicts and its open problems.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct HoleStatus {
    /// Its stage.
    pub stage: Stage,
    /// Its conflicts; empty if its entries agree.
    pub conflicts: Vec<Conflict>,
    /// Recorded work that does not hold, or no longer holds, in the order of the work.
    pub problems: Vec<Problem>,
}

impl HoleStatus {
    /// Returns whether it has a conflict.
    pub fn has_conflict(&self) -> bool {
        !self.conflicts.is_empty()
    }
}

/// Derives a hole's status from all active entries about it and its face.
///
/// The stage is the last one that still holds: a deeper face cut, a corrected reading or another
/// remedy takes a hole back. It is passed only while its final check knows everything that it rests
/// on, and nothing is in conflict or open.
pub fn hole_status(record: &HoleRecord, face: &FaceRecord, catalog: &Catalog) -> HoleStatus {
    let whole = inherit(record, face);
    let (situation, assessment) = assess_in_force(&whole, face, catalog);
    status_of(
        record,
        &whole,
        face,
        situation.as_ref(),
        assessment.as_ref(),
    )
}

/// Assesses the remedy that the work is judged by.
pub(super) fn assess_in_force(
    record: &HoleRecord,
    face: &FaceRecord,
    catalog: &Catalog,
) -> (Option<Situation>, Option<Assessment>) {
    let spec = spec_in_force(record);
    let situation = spec.as_ref().and_then(|_| situation_of(record, face).ok());
    let assessment = situation
        .as_ref()
        .zip(spec)
        .and_then(|(situation, spec)| assess_chosen(situation, catalog, &spec));
    (situation, assessment)
}

/// Derives the status if the situation and the assessment of the remedy in force are known already.
/// `whole` is the record with what it inherits.
pub(super) fn status_of(
    own: &HoleRecord,
    whole: &HoleRecord,
    face: &FaceRecord,
    situation: Option<&Situation>,
    assessment: Option<&Assessment>,
) -> HoleStatus {
    let work = situation
        .zip(assessment)
        .map(|(situation, assessment)| Work {
            situation,
            assessment,
            record: whole,
            face,
        });
    let conflicts = conflict::conflicts(whole, face);
    let mut problems = choice_problems(own, situation, assessment);
    problems.extend(places_changed(own, face));
    problems.extend(cut_changed(own, face));
    problems.extend(work.iter().flat_map(Work::problems));
    let passed = conflicts.is_empty()
        && problems.is_empty()
        && work.is_some_and(|work| work.is_done(StepKey::FinalCheck));
    let stage = match work {
        _ if passed => Stage::Passed,
        Some(work) if !own.choice.0.is_empty() => stage_of_work(&work),
        _ => stage_unjudged(own),
    };
    HoleStatus {
        stage,
        conflicts,
        problems,
    }
}

/// Returns the remedy that the work is judged by: the chosen one, or leaving the hole as is if its
/// final check was recorded without a choice.
pub(super) fn spec_in_force(record: &HoleRecord) -> Option<RemedySpec> {
    let left = || {
        let mut checks = record.final_checks.iter();
        checks
            .find(|check| check.body.spec.remedy == Remedy::Leave)
            .map(|check| check.body.spec.clone())
    };
    chosen(record).cloned().or_else(left)
}

/// Returns the problems of the choice itself.
fn choice_problems(
    record: &HoleRecord,
    situation: Option<&Situation>,
    assessment: Option<&Assessment>,
) -> Vec<Problem> {
    let mut problems = clearing_problems(record);
    problems.extend(record.tries_since_described());
    problems.extend(is_cracked(record).then_some(Problem::Cracked));
    problems.extend(left_unsound(record));
    let Some(choice) = record.choice.agreed() else {
        return problems;
    };
    match assessment {
        None => problems.extend(situation.map(|_| Problem::NotOffered)),
        Some(now) => {
            problems.extend(basis_changed(choice, now));
            let does_not_fit = now.verdict == Verdict::DoesNotFit && is_blank(&choice.reason);
            problems.extend(does_not_fit.then_some(Problem::DoesNotFit));
        }
    }
    problems
}

/// An amount that was taken from the places on the face counts only while all that it rests on is in
/// force, and if its writer knew the pattern in force and the good holes that were chosen.
fn places_changed(record: &HoleRecord, face: &FaceRecord) -> Option<Problem> {
    let mut changes = record.place_changes.clone();
    changes.extend(
        record
            .damage
            .0
            .iter()
            .filter_map(|damage| pattern_changed(damage, face)),
    );
    let mut seen: Vec<PlaceChange> = Vec::new();
    for change in changes {
        if !seen.iter().any(|other| other.is_same(&change)) {
            seen.push(change);
        }
    }
    let change = *seen.first()?;
    let more = u32::try_from(seen.len() - 1).unwrap_or(u32::MAX);
    Some(Problem::PlacesChanged { change, more })
}

/// Work is planned for a face cut that is still to be made: it counts only while the heights that the
/// cut was taken from do.
fn cut_changed(record: &HoleRecord, face: &FaceRecord) -> Option<Problem> {
    let is_planned = spec_in_force(record).is_some();
    let is_left = face.left_to_remove().is_some_and(Length::is_positive);
    let change = face.cut_changes.first().filter(|_| is_planned && is_left)?;
    Some(Problem::FaceCutChanged { change: *change })
}

fn pattern_changed(damage: &Recorded<Damage>, face: &FaceRecord) -> Option<PlaceChange> {
    let mut stations = damage.body.stations.iter();
    let by_pattern = stations.any(|station| station.offset_source.is_some());
    let mut patterns = face.pattern.0.iter();
    let mut good = face.good.0.iter();
    let fact = if face.pattern.0.is_empty() || !patterns.all(|it| damage.knows(it.place())) {
        PlaceFact::Pattern
    } else if !good.all(|it| damage.knows(it.place())) {
        PlaceFact::GoodHoles
    } else {
        return None;
    };
    by_pattern.then(|| PlaceChange::of(damage.entry, fact))
}

/// A hole that a first look found bad is not left as is before somebody has looked closer.
fn left_unsound(record: &HoleRecord) -> Option<Problem> {
    let leave = spec_in_force(record).is_some_and(|spec| spec.remedy == Remedy::Leave);
    let condition = record.condition_against_leaving().filter(|_| leave)?;
    Some(Problem::NotSound { condition })
}

/// Returns whether a crack was found and the hole is not sent out.
pub(super) fn is_cracked(record: &HoleRecord) -> bool {
    let found = record.damage.0.iter().any(|damage| damage.body.crack);
    let chosen = record.choice.agreed().map(|choice| choice.spec.remedy);
    found && chosen != Some(Remedy::Specialist)
}

/// A broken piece that is out changes the hole: it is measured, described and planned again.
fn clearing_problems(record: &HoleRecord) -> Vec<Problem> {
    let cuts = record.cuts.iter();
    let cleared = cuts.filter(|cut| cut.body.step == CutStep::ClearBroken);
    let mut problems = Vec::new();
    for cut in cleared {
        let described = record
            .damage
            .0
            .iter()
            .all(|damage| damage.knows(cut.position()) || damage.body.broken_tool.is_none());
        let chosen = record
            .choice
            .0
            .iter()
            .all(|choice| choice.knows(cut.position()));
        let again = Problem::DescribedBeforeClearing {
            removal: cut.body.removal,
        };
        if !described && !problems.contains(&again) {
            problems.push(again);
        }
        if !chosen && !problems.contains(&Problem::ChosenBeforeClearing) {
            problems.push(Problem::ChosenBeforeClearing);
        }
    }
    problems
}

/// How much the strength of a chosen remedy may drop before it is asked again: a twentieth
/// (judgment: less than readings by rule and caliper scatter).
const BASIS_DROP: f64 = 0.95;

fn basis_changed(choice: &Choice, now: &Assessment) -> Option<Problem> {
    let then = choice.basis?;
    let weaker = match (then.strength_ratio, now.strength_ratio) {
        (Some(then), Some(now)) => now < then * BASIS_DROP,
        (then, now) => then.is_some() && now.is_none(),
    };
    let changed = now.verdict > then.verdict || weaker;
    changed.then_some(Problem::BasisChanged {
        verdict_then: then.verdict,
        verdict_now: now.verdict,
        ratio_then: then.strength_ratio,
        ratio_now: now.strength_ratio,
    })
}

/// Returns the chosen remedy; the first one if several are in conflict.
pub(super) fn chosen(record: &HoleRecord) -> Option<&RemedySpec> {
    let first = record.choice.0.first()?;
    Some(&record.choice.agreed().unwrap_or(&first.body).spec)
}

impl RemedySpec {
    /// Returns whether work done for `self` counts for the chosen remedy: the remedies are the
    /// same, and so are all details that both give.
    pub fn counts_for(&self, chosen: &RemedySpec) -> bool {
        fn agree<T: PartialEq>(a: &Option<T>, b: &Option<T>) -> bool {
            a.is_none() || b.is_none() || a == b
        }
        self.remedy == chosen.remedy
            && agree(&self.family, &chosen.family)
            && agree(&self.length, &chosen.length)
            && agree(&self.outside_thread, &chosen.outside_thread)
    }
}

/// Returns whether work counts for the choice. Without a choice only a sound hole can pass.
fn counts_for_choice(chosen: Option<&RemedySpec>, spec: &RemedySpec) -> bool {
    chosen.map_or(spec.remedy == Remedy::Leave, |chosen| {
        spec.counts_for(chosen)
    })
}

/// Returns the last stage of the work that holds.
fn stage_of_work(work: &Work<'_>) -> Stage {
    let done = |key| work.is_done(key);
    match work.assessment.remedy {
        Remedy::Leave | Remedy::LongerBolt if !was_measured(work.record) => Stage::NotMeasured,
        Remedy::Leave | Remedy::LongerBolt => Stage::Measured,
        _ if work.is_plugged() || done(StepKey::Install) => Stage::Installed,
        _ if done(StepKey::TrialFit) => Stage::TrialFitted,
        _ if done(StepKey::Cut(CutStep::Tap)) => Stage::Cut,
        _ => Stage::Planned,
    }
}

/// Returns the stage that the entries show if the work cannot be judged: the thread is not set, or
/// the remedy is not offered. Such a hole has never passed.
fn stage_unjudged(record: &HoleRecord) -> Stage {
    let Some(chosen) = chosen(record) else {
        return if was_measured(record) {
            Stage::Measured
        } else {
            Stage::NotMeasured
        };
    };
    let mut cuts = record.cuts.iter();
    let mut fits = record.trial_fits.iter();
    let mut installs = record.installs.iter();
    if installs.any(|install| install.body.spec.counts_for(chosen)) {
        Stage::Installed
    } else if fits.any(|fit| fit.body.fits && fit.body.spec.counts_for(chosen)) {
        Stage::TrialFitted
    } else if cuts.any(|cut| cut.body.step == CutStep::Tap && cut.body.spec.counts_for(chosen)) {
        Stage::Cut
    } else {
        Stage::Planned
    }
}

/// Returns whether somebody looked at the hole itself: what it inherits was not measured there.
fn was_measured(record: &HoleRecord) -> bool {
    !record.readings.is_empty() || !record.damage.0.is_empty() || !record.checks.is_empty()
}

#[cfg(test)]
mod tests;
