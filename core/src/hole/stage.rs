//! A hole's stage and its conflicts, derived from its entries.
//!
//! Entries come from several devices whose clocks are not trusted, so nothing here depends on which
//! entry is newer. A failed check keeps counting beside a passed one until a person strikes it out.

mod conflict;
mod labels;

pub use conflict::{Conflict, Fact};

use super::record::{CutStep, FitCheck, HoleRecord, Remedy, RemedySpec};
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

/// A hole's stage and its conflicts.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct HoleStatus {
    /// Its stage.
    pub stage: Stage,
    /// Its conflicts; empty if its entries agree.
    pub conflicts: Vec<Conflict>,
}

impl HoleStatus {
    /// Returns whether it has a conflict.
    pub fn has_conflict(&self) -> bool {
        !self.conflicts.is_empty()
    }
}

/// Derives a hole's stage and conflicts from its active entries.
///
/// The stage is the last one that the entries show, even if an earlier one was never recorded. A
/// gap is a conflict only if it matters to whether the hole holds. A hole with an active failed
/// check, trial fit or final check has never passed. Work done for a remedy other than the chosen
/// one does not count.
pub fn hole_status(record: &HoleRecord) -> HoleStatus {
    let conflicts = conflict::conflicts(record);
    let passed = passed(record) && !conflicts.iter().any(Conflict::blocks_pass);
    let stage = if passed {
        Stage::Passed
    } else {
        stage_before_pass(record)
    };
    HoleStatus { stage, conflicts }
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

fn passed(record: &HoleRecord) -> bool {
    let chosen = chosen(record);
    record
        .final_checks
        .iter()
        .any(|check| check.body.passes && counts_for_choice(chosen, &check.body.spec))
}

/// Returns whether work counts for the choice. Without a choice only a sound hole can pass.
fn counts_for_choice(chosen: Option<&RemedySpec>, spec: &RemedySpec) -> bool {
    chosen.map_or(spec.remedy == Remedy::Leave, |chosen| {
        spec.counts_for(chosen)
    })
}

fn stage_before_pass(record: &HoleRecord) -> Stage {
    let Some(chosen) = chosen(record) else {
        return if was_measured(record) {
            Stage::Measured
        } else {
            Stage::NotMeasured
        };
    };
    let cut = |step: CutStep| {
        let mut cuts = record.cuts.iter();
        cuts.any(|cut| cut.body.step == step && cut.body.spec.counts_for(chosen))
    };
    let installed = record
        .installs
        .iter()
        .any(|install| install.body.spec.counts_for(chosen));
    let trial_fitted = record
        .trial_fits
        .iter()
        .any(|fit| fit.body.fits && fit.body.spec.counts_for(chosen));
    match chosen.remedy {
        Remedy::Leave => Stage::Measured,
        Remedy::ThreadedPlug if cut(CutStep::Plug) || cut(CutStep::TapPlug) => Stage::Installed,
        _ if installed => Stage::Installed,
        _ if trial_fitted => Stage::TrialFitted,
        _ if cut(CutStep::Tap) => Stage::Cut,
        _ => Stage::Planned,
    }
}

fn was_measured(record: &HoleRecord) -> bool {
    !record.readings.is_empty() || !record.damage.0.is_empty() || !record.checks.is_empty()
}

#[cfg(test)]
mod tests;
