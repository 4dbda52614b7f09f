//! Conflicts: what a hole's entries disagree about, for a person to resolve.

use super::{chosen, counts_for_choice};
use crate::hole::face_setup::USUAL_QUANTITIES;
use crate::hole::record::{
    FaceRecord, FactEntries, HoleRecord, Quantity, Reading, Recorded, RemedySpec,
};
use crate::id::EntryId;
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
    /// The condition by a first look.
    Condition,
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
    /// Entries about the setup of the face give different values, and the hole inherits them.
    SetupDiffers {
        /// The entries, which are about the face.
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
}

impl Conflict {
    /// Returns the entries involved.
    pub fn entries(&self) -> &[EntryId] {
        match self {
            Conflict::EntriesDiffer { entries, .. }
            | Conflict::ReadingsDiffer { entries, .. }
            | Conflict::SetupDiffers { entries }
            | Conflict::OtherRemedy { entries, .. }
            | Conflict::NoRemedyChosen { entries } => entries,
        }
    }
}

/// Returns the conflicts of a hole; `record` is with what it inherits.
pub(super) fn conflicts(record: &HoleRecord, face: &FaceRecord) -> Vec<Conflict> {
    let mut found = Vec::new();
    if !inherits_thread(record, face) {
        facts(&mut found, Fact::Wanted, &record.wanted);
    }
    facts(&mut found, Fact::Condition, &record.condition);
    facts(&mut found, Fact::Damage, &record.damage);
    facts(&mut found, Fact::Choice, &record.choice);
    readings(&mut found, record, face);
    found.extend(setup_differs(record, face));
    other_remedies(&mut found, record);
    found
}

fn facts<T: PartialEq>(found: &mut Vec<Conflict>, fact: Fact, recorded: &FactEntries<T>) {
    if recorded.differ() {
        let entries = recorded.0.iter().map(|entry| entry.entry).collect();
        found.push(Conflict::EntriesDiffer { fact, entries });
    }
}

fn readings(found: &mut Vec<Conflict>, record: &HoleRecord, face: &FaceRecord) {
    use Quantity::{Bore, Depth, Floor, MatingHole, NearestEdge, NearestHole};
    // Drilling changes depth, floor and bore, so readings from before and after may differ.
    let drilled = !record.cuts.is_empty();
    for quantity in [Depth, Floor, Bore, NearestEdge, NearestHole, MatingHole] {
        let changed = drilled && matches!(quantity, Depth | Floor | Bore);
        if !changed && !is_inherited(record, face, quantity) {
            found.extend(differing(record, quantity, face));
        }
    }
}

fn inherits_thread(record: &HoleRecord, face: &FaceRecord) -> bool {
    let mut wanted = record.wanted.0.iter();
    wanted.any(|wanted| face.setup.gave(wanted.entry))
}

/// Returns whether the readings of a quantity are the face's usual ones: a hole never has both.
fn is_inherited(record: &HoleRecord, face: &FaceRecord, quantity: Quantity) -> bool {
    let mut readings = record.readings.iter();
    readings.any(|reading| reading.body.quantity == quantity && face.setup.gave(reading.entry))
}

/// Returns the conflict in what a hole inherits.
fn setup_differs(record: &HoleRecord, face: &FaceRecord) -> Option<Conflict> {
    let mut entries: Vec<EntryId> = Vec::new();
    if inherits_thread(record, face) && record.wanted.differ() {
        entries.extend(record.wanted.0.iter().map(|wanted| wanted.entry));
    }
    let inherited = USUAL_QUANTITIES
        .into_iter()
        .filter(|quantity| is_inherited(record, face, *quantity));
    let differ = inherited.filter_map(|quantity| differing(record, quantity, face));
    for conflict in differ {
        entries.extend_from_slice(conflict.entries());
    }
    (!entries.is_empty()).then_some(Conflict::SetupDiffers { entries })
}

/// Returns the two readings of a quantity whose tolerance bands are farthest apart, if they do not
/// meet. Depths are compared from the face as is.
fn differing(record: &HoleRecord, quantity: Quantity, face: &FaceRecord) -> Option<Conflict> {
    let of_quantity = || {
        let readings = record.readings_of(quantity);
        readings.map(|reading| (reading.value_as_is(face), reading))
    };
    let tolerance =
        |reading: &Recorded<Reading>| reading.body.tolerance.unwrap_or(DEFAULT_TOLERANCE).abs();
    let (least, low) = of_quantity().min_by_key(|(value, reading)| *value + tolerance(reading))?;
    let (most, high) = of_quantity().max_by_key(|(value, reading)| *value - tolerance(reading))?;
    let gap = (most - tolerance(high)) - (least + tolerance(low));
    gap.is_positive().then(|| Conflict::ReadingsDiffer {
        quantity,
        least,
        most,
        entries: vec![low.entry, high.entry],
    })
}

/// Returns the remedy that each work entry was done for. Removing a broken piece, relieving hard
/// metal and centering count for any remedy and are left out.
fn done_for(record: &HoleRecord) -> Vec<(&RemedySpec, EntryId)> {
    let cuts = record
        .cuts
        .iter()
        .filter(|cut| !cut.body.step.counts_for_any_remedy())
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
