//! Conflicts: what a hole's entries disagree about, for a person to resolve.

use super::{chosen, counts_for_choice};
use crate::hole::record::{
    CheckKind, CutStep, FactEntries, HoleRecord, Quantity, Reading, Recorded, Remedy, RemedySpec,
};
use crate::id::EntryId;
use crate::insert::Family;
use crate::length::Length;
use std::collections::HashMap;

/// Tolerance of a reading that gives none, when readings are compared: ±0.25 mm.
///
/// A judgment for depth rods and rules.
pub const DEFAULT_TOLERANCE: Length = Length::from_nm(250_000);

/// A fact with one value at a time.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fact {
    /// The wanted thread.
    Wanted,
    /// The damage.
    Damage,
    /// The chosen remedy.
    Choice,
}

/// A conflict that a person has to resolve. `Display` writes what is wrong and what to do.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub enum Conflict {
    /// Entries give different values for one fact.
    EntriesDiffer {
        /// The fact.
        fact: Fact,
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// Readings of one quantity differ by more than their tolerances.
    ReadingsDiffer {
        /// The quantity.
        quantity: Quantity,
        /// The smallest value.
        least: Length,
        /// The largest value.
        most: Length,
        /// The entries with those two values.
        entries: Vec<EntryId>,
    },
    /// Work was done for a remedy other than the chosen one.
    OtherRemedy {
        /// The remedy that it was done for.
        done_for: RemedySpec,
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// Work was done, but no remedy is chosen.
    NoRemedyChosen {
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// A failed trial fit is active.
    TrialFitFailed {
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// A failed check is active.
    CheckFailed {
        /// What was checked.
        check: CheckKind,
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// A failed final check is active.
    FinalCheckFailed {
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// The insert was installed before the planned face cut, without a reason.
    InstalledBeforeFaceCut {
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// The final check passed, but no entry says that the insert or plug is in.
    PassedNotInstalled {
        /// The entries.
        entries: Vec<EntryId>,
    },
    /// The final check passed, but no entry says that the keys were driven.
    PassedWithoutKeys {
        /// The entries.
        entries: Vec<EntryId>,
    },
}

impl Conflict {
    /// Returns the entries involved.
    pub fn entries(&self) -> &[EntryId] {
        match self {
            Conflict::EntriesDiffer { entries, .. }
            | Conflict::ReadingsDiffer { entries, .. }
            | Conflict::OtherRemedy { entries, .. }
            | Conflict::NoRemedyChosen { entries }
            | Conflict::TrialFitFailed { entries }
            | Conflict::CheckFailed { entries, .. }
            | Conflict::FinalCheckFailed { entries }
            | Conflict::InstalledBeforeFaceCut { entries }
            | Conflict::PassedNotInstalled { entries }
            | Conflict::PassedWithoutKeys { entries } => entries,
        }
    }

    /// Returns whether the hole cannot count as passed until this is resolved.
    pub fn blocks_pass(&self) -> bool {
        matches!(
            self,
            Conflict::CheckFailed { .. }
                | Conflict::FinalCheckFailed { .. }
                | Conflict::TrialFitFailed { .. }
                | Conflict::EntriesDiffer {
                    fact: Fact::Choice | Fact::Wanted,
                    ..
                }
        )
    }
}

pub(super) fn conflicts(record: &HoleRecord) -> Vec<Conflict> {
    let mut found = Vec::new();
    facts(&mut found, Fact::Wanted, &record.wanted);
    facts(&mut found, Fact::Damage, &record.damage);
    facts(&mut found, Fact::Choice, &record.choice);
    readings(&mut found, record);
    other_remedies(&mut found, record);
    failures(&mut found, record);
    found.extend(installed_early(record));
    found.extend(passed_too_soon(record));
    found
}

fn facts<T: PartialEq>(found: &mut Vec<Conflict>, fact: Fact, recorded: &FactEntries<T>) {
    if recorded.differ() {
        let entries = recorded.0.iter().map(|entry| entry.entry).collect();
        found.push(Conflict::EntriesDiffer { fact, entries });
    }
}

fn readings(found: &mut Vec<Conflict>, record: &HoleRecord) {
    use Quantity::{Bore, Depth, Floor, MatingHole, NearestEdge, NearestHole};
    // Drilling changes depth, floor and bore, so readings from before and after may differ.
    let drilled = !record.cuts.is_empty();
    for quantity in [Depth, Floor, Bore, NearestEdge, NearestHole, MatingHole] {
        if !(drilled && matches!(quantity, Depth | Floor | Bore)) {
            found.extend(differing(&record.readings, quantity));
        }
    }
}

fn differing(readings: &[Recorded<Reading>], quantity: Quantity) -> Option<Conflict> {
    let tolerance = |r: &Reading| r.tolerance.unwrap_or(DEFAULT_TOLERANCE).abs();
    let of_quantity = || {
        readings
            .iter()
            .filter(|reading| reading.body.quantity == quantity)
    };
    // The pair whose tolerance bands are farthest apart.
    let low = of_quantity().min_by_key(|r| r.body.value + tolerance(&r.body))?;
    let high = of_quantity().max_by_key(|r| r.body.value - tolerance(&r.body))?;
    let gap = (high.body.value - tolerance(&high.body)) - (low.body.value + tolerance(&low.body));
    gap.is_positive().then(|| Conflict::ReadingsDiffer {
        quantity,
        least: low.body.value,
        most: high.body.value,
        entries: vec![low.entry, high.entry],
    })
}

/// Returns the remedy that each work entry was done for. Removing a broken piece, relieving hard
/// metal and centering count for any remedy and are left out.
fn done_for(record: &HoleRecord) -> Vec<(&RemedySpec, EntryId)> {
    let counts_for_any = |step| {
        matches!(
            step,
            CutStep::ClearBroken | CutStep::RelieveHard | CutStep::Center
        )
    };
    let cuts = record
        .cuts
        .iter()
        .filter(|cut| !counts_for_any(cut.body.step))
        .map(|cut| (&cut.body.spec, cut.entry));
    let trial_fits = record
        .trial_fits
        .iter()
        .map(|fit| (&fit.body.spec, fit.entry));
    let installs = record
        .installs
        .iter()
        .map(|install| (&install.body.spec, install.entry));
    let keys = record
        .stake_keys
        .iter()
        .map(|keys| (&keys.body.spec, keys.entry));
    let final_checks = record
        .final_checks
        .iter()
        .map(|check| (&check.body.spec, check.entry));
    cuts.chain(trial_fits)
        .chain(installs)
        .chain(keys)
        .chain(final_checks)
        .collect()
}

fn other_remedies(found: &mut Vec<Conflict>, record: &HoleRecord) {
    let chosen = chosen(record);
    let not_chosen: Vec<(&RemedySpec, EntryId)> = done_for(record)
        .into_iter()
        .filter(|(spec, _)| !counts_for_choice(chosen, spec))
        .collect();
    if not_chosen.is_empty() {
        return;
    }
    if chosen.is_none() {
        let entries = not_chosen.into_iter().map(|(_, entry)| entry).collect();
        found.push(Conflict::NoRemedyChosen { entries });
        return;
    }
    let mut by_spec: Vec<(&RemedySpec, Vec<EntryId>)> = Vec::new();
    let mut places: HashMap<&RemedySpec, usize> = HashMap::new();
    for (spec, entry) in not_chosen {
        let place = *places.entry(spec).or_insert(by_spec.len());
        match by_spec.get_mut(place) {
            Some((_, entries)) => entries.push(entry),
            None => by_spec.push((spec, vec![entry])),
        }
    }
    found.extend(
        by_spec
            .into_iter()
            .map(|(spec, entries)| Conflict::OtherRemedy {
                done_for: spec.clone(),
                entries,
            }),
    );
}

fn entries_where<T>(recorded: &[Recorded<T>], is: impl Fn(&T) -> bool) -> Option<Vec<EntryId>> {
    let entries: Vec<EntryId> = recorded
        .iter()
        .filter(|entry| is(&entry.body))
        .map(|entry| entry.entry)
        .collect();
    (!entries.is_empty()).then_some(entries)
}

fn failures(found: &mut Vec<Conflict>, record: &HoleRecord) {
    let chosen = chosen(record);
    if let Some(entries) = entries_where(&record.trial_fits, |fit| {
        !fit.fits && counts_for_choice(chosen, &fit.spec)
    }) {
        found.push(Conflict::TrialFitFailed { entries });
    }
    for check in [
        CheckKind::StakeCheck,
        CheckKind::RunsInByHand,
        CheckKind::Square,
    ] {
        if let Some(entries) = entries_where(&record.checks, |c| c.check == check && !c.passes) {
            found.push(Conflict::CheckFailed { check, entries });
        }
    }
    if let Some(entries) = entries_where(&record.final_checks, |check| {
        !check.passes && counts_for_choice(chosen, &check.spec)
    }) {
        found.push(Conflict::FinalCheckFailed { entries });
    }
}

fn installed_early(record: &HoleRecord) -> Option<Conflict> {
    let no_reason = |reason: &Option<String>| reason.as_deref().is_none_or(|r| r.trim().is_empty());
    entries_where(&record.installs, |install| {
        !install.after_face_cut && no_reason(&install.reason)
    })
    .map(|entries| Conflict::InstalledBeforeFaceCut { entries })
}

fn passed_too_soon(record: &HoleRecord) -> Option<Conflict> {
    let chosen = chosen(record)?;
    let entries = entries_where(&record.final_checks, |check| {
        check.passes && check.spec.counts_for(chosen)
    })?;
    let installed = record
        .installs
        .iter()
        .any(|install| install.body.spec.counts_for(chosen));
    let plugged = record.cuts.iter().any(|cut| {
        matches!(cut.body.step, CutStep::Plug | CutStep::TapPlug)
            && cut.body.spec.counts_for(chosen)
    });
    let keyed = record
        .stake_keys
        .iter()
        .any(|keys| keys.body.spec.counts_for(chosen));
    match chosen.remedy {
        Remedy::WireInsert | Remedy::KeyLockingInsert | Remedy::Bushing | Remedy::SteppedStud
            if !installed =>
        {
            Some(Conflict::PassedNotInstalled { entries })
        }
        Remedy::ThreadedPlug if !installed && !plugged => {
            Some(Conflict::PassedNotInstalled { entries })
        }
        Remedy::KeyLockingInsert if !keyed && chosen.family != Some(Family::WireThread) => {
            Some(Conflict::PassedWithoutKeys { entries })
        }
        _ => None,
    }
}
