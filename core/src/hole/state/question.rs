//! What the entries of a hole disagree about, each in a sentence that says what a person has to settle.

use super::{chosen, serves_choice};
use crate::hole::record::{
    Answers, CheckKind, CutStep, HoleRecord, Quantity, Reading, Remedy, Said, Work,
};
use crate::insert::Family;
use crate::length::Length;
use uuid::Uuid;

/// Two readings without a stated error may differ by so much before anyone is asked: 0.25 mm each way, a judgement for depth rods and
/// rules.
pub const ERROR_WHERE_NONE_IS_SAID: Length = Length::from_nm(250_000);

/// A fact that is answered once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fact {
    /// What the hole shall hold.
    Wanted,
    /// What is missing round it.
    Damage,
    /// The chosen remedy.
    Choice,
}

/// Something that a person has to settle. The sentence for it is its `Display`.
#[derive(Debug, Clone, PartialEq)]
pub enum Question {
    /// Several answers that differ stand for one fact.
    SeveralAnswers {
        /// Which fact.
        fact: Fact,
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// Readings of one quantity differ by more than they may be off.
    ReadingsDiffer {
        /// Which quantity.
        quantity: Quantity,
        /// The least value.
        least: Length,
        /// The largest.
        most: Length,
        /// The entries with those two.
        entries: Vec<Uuid>,
    },
    /// Work was done for another remedy than the chosen one.
    OtherWork {
        /// What it was done for.
        done_for: Work,
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// Work was done, and no remedy is chosen.
    NothingChosen {
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// A dry fit that did not go in as it should stands.
    DryFitFailed {
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// A failed check stands.
    CheckFailed {
        /// What was looked at.
        check: CheckKind,
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// A failed proof stands.
    ProofFailed {
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// The insert was set before the face cut that the plan counts on, without a reason.
    SetBeforeFaceCut {
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// A proof stands, but nothing says that the insert was set or the plug fitted.
    ProvedNotSet {
        /// The entries.
        entries: Vec<Uuid>,
    },
    /// A proof stands, but nothing says that the keys were driven.
    ProvedWithoutKeys {
        /// The entries.
        entries: Vec<Uuid>,
    },
}

impl Question {
    /// The entries that it is about.
    pub fn entries(&self) -> &[Uuid] {
        match self {
            Question::SeveralAnswers { entries, .. }
            | Question::ReadingsDiffer { entries, .. }
            | Question::OtherWork { entries, .. }
            | Question::NothingChosen { entries }
            | Question::DryFitFailed { entries }
            | Question::CheckFailed { entries, .. }
            | Question::ProofFailed { entries }
            | Question::SetBeforeFaceCut { entries }
            | Question::ProvedNotSet { entries }
            | Question::ProvedWithoutKeys { entries } => entries,
        }
    }

    /// Whether the hole cannot count as proved while it is open.
    pub fn withholds_proof(&self) -> bool {
        matches!(
            self,
            Question::CheckFailed { .. }
                | Question::ProofFailed { .. }
                | Question::DryFitFailed { .. }
                | Question::SeveralAnswers {
                    fact: Fact::Choice | Fact::Wanted,
                    ..
                }
        )
    }
}

pub(super) fn questions(record: &HoleRecord) -> Vec<Question> {
    let mut found = Vec::new();
    answers(&mut found, Fact::Wanted, &record.wanted);
    answers(&mut found, Fact::Damage, &record.damage);
    answers(&mut found, Fact::Choice, &record.choice);
    readings(&mut found, record);
    works(&mut found, record);
    failures(&mut found, record);
    found.extend(set_early(record));
    found.extend(proved_too_soon(record));
    found
}

fn answers<T: PartialEq>(found: &mut Vec<Question>, fact: Fact, answers: &Answers<T>) {
    if answers.differ() {
        let entries = answers.0.iter().map(|said| said.entry).collect();
        found.push(Question::SeveralAnswers { fact, entries });
    }
}

fn readings(found: &mut Vec<Question>, record: &HoleRecord) {
    use Quantity::{Bore, Depth, Floor, MatingHole, NearestEdge, NearestHole};
    // Drilling changes the hole's own depth, floor and bore, so readings from before and after it may differ.
    let drilled = !record.cuts.is_empty();
    for quantity in [Depth, Floor, Bore, NearestEdge, NearestHole, MatingHole] {
        if !(drilled && matches!(quantity, Depth | Floor | Bore)) {
            found.extend(differing(&record.readings, quantity));
        }
    }
}

fn differing(readings: &[Said<Reading>], quantity: Quantity) -> Option<Question> {
    let error = |r: &Reading| r.error.unwrap_or(ERROR_WHERE_NONE_IS_SAID).abs();
    let of_it = || {
        readings
            .iter()
            .filter(|said| said.body.quantity == quantity)
    };
    // The two that leave the least room for each other.
    let low = of_it().min_by_key(|said| said.body.value + error(&said.body))?;
    let high = of_it().max_by_key(|said| said.body.value - error(&said.body))?;
    let apart = (high.body.value - error(&high.body)) - (low.body.value + error(&low.body));
    apart.is_positive().then(|| Question::ReadingsDiffer {
        quantity,
        least: low.body.value,
        most: high.body.value,
        entries: vec![low.entry, high.entry],
    })
}

/// Every piece of work with the entry that says it. Clearing out, relieving and centring serve any remedy.
fn done_for(record: &HoleRecord) -> Vec<(&Work, Uuid)> {
    let serves_any = |step| {
        matches!(
            step,
            CutStep::ClearBroken | CutStep::RelieveHard | CutStep::Centre
        )
    };
    let cuts = record.cuts.iter().filter(|cut| !serves_any(cut.body.step));
    let cuts = cuts.map(|said| (&said.body.work, said.entry));
    let dry_fits = record
        .dry_fits
        .iter()
        .map(|said| (&said.body.work, said.entry));
    let sets = record.sets.iter().map(|said| (&said.body.work, said.entry));
    let keys = record.keys.iter().map(|said| (&said.body.work, said.entry));
    let proofs = record
        .proofs
        .iter()
        .map(|said| (&said.body.work, said.entry));
    cuts.chain(dry_fits)
        .chain(sets)
        .chain(keys)
        .chain(proofs)
        .collect()
}

fn works(found: &mut Vec<Question>, record: &HoleRecord) {
    let astray: Vec<(&Work, Uuid)> = done_for(record)
        .into_iter()
        .filter(|(work, _)| !serves_choice(record, work))
        .collect();
    if astray.is_empty() {
        return;
    }
    if chosen(record).is_none() {
        let entries = astray.into_iter().map(|(_, entry)| entry).collect();
        found.push(Question::NothingChosen { entries });
        return;
    }
    let mut works: Vec<(&Work, Vec<Uuid>)> = Vec::new();
    for (work, entry) in astray {
        match works.iter_mut().find(|(known, _)| *known == work) {
            Some((_, entries)) => entries.push(entry),
            None => works.push((work, vec![entry])),
        }
    }
    found.extend(
        works
            .into_iter()
            .map(|(work, entries)| Question::OtherWork {
                done_for: work.clone(),
                entries,
            }),
    );
}

fn entries_where<T>(said: &[Said<T>], is: impl Fn(&T) -> bool) -> Option<Vec<Uuid>> {
    let entries: Vec<Uuid> = said
        .iter()
        .filter(|s| is(&s.body))
        .map(|s| s.entry)
        .collect();
    (!entries.is_empty()).then_some(entries)
}

fn failures(found: &mut Vec<Question>, record: &HoleRecord) {
    if let Some(entries) = entries_where(&record.dry_fits, |dry| {
        !dry.fits && serves_choice(record, &dry.work)
    }) {
        found.push(Question::DryFitFailed { entries });
    }
    for check in [CheckKind::RuleAcross, CheckKind::RunsIn, CheckKind::Square] {
        if let Some(entries) = entries_where(&record.checks, |c| c.check == check && !c.passes) {
            found.push(Question::CheckFailed { check, entries });
        }
    }
    if let Some(entries) = entries_where(&record.proofs, |proof| {
        !proof.passes && serves_choice(record, &proof.work)
    }) {
        found.push(Question::ProofFailed { entries });
    }
}

fn set_early(record: &HoleRecord) -> Option<Question> {
    let no_reason = |reason: &Option<String>| reason.as_deref().is_none_or(|r| r.trim().is_empty());
    entries_where(&record.sets, |set| {
        !set.after_face_cut && no_reason(&set.reason)
    })
    .map(|entries| Question::SetBeforeFaceCut { entries })
}

fn proved_too_soon(record: &HoleRecord) -> Option<Question> {
    let work = chosen(record)?;
    let entries = entries_where(&record.proofs, |p| p.passes && p.work.serves(work))?;
    let set = record.sets.iter().any(|set| set.body.work.serves(work));
    let plugged = record.cuts.iter().any(|cut| {
        matches!(cut.body.step, CutStep::Plug | CutStep::TapPlug) && cut.body.work.serves(work)
    });
    let keyed = record.keys.iter().any(|keys| keys.body.work.serves(work));
    match work.remedy {
        Remedy::WireInsert | Remedy::KeyLockingInsert | Remedy::Bushing | Remedy::SteppedStud
            if !set =>
        {
            Some(Question::ProvedNotSet { entries })
        }
        Remedy::ThreadedPlug if !set && !plugged => Some(Question::ProvedNotSet { entries }),
        Remedy::KeyLockingInsert if !keyed && work.family != Some(Family::WireThread) => {
            Some(Question::ProvedWithoutKeys { entries })
        }
        _ => None,
    }
}
