//! Which remedy stands first.

use super::candidate::Candidate;
use super::{Assessment, Verdict, Weight};
use crate::hole::caution::Caution;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::Family;
use std::cmp::Ordering;

/// The best first: by verdict, then what is on hand, then what takes least from the casting, then what has fewest reservations, then
/// the length that suits best.
pub(super) fn sort(all: &mut [Assessment]) {
    all.sort_by(|a, b| {
        let key = |x: &Assessment| {
            (
                x.verdict,
                !x.not_on_hand.is_empty(),
                intrusion(x),
                reservations(x),
            )
        };
        key(a).cmp(&key(b)).then_with(|| by_length(a, b))
    });
}

/// How much a remedy takes from the casting.
fn intrusion(assessment: &Assessment) -> u8 {
    match (assessment.remedy, assessment.family()) {
        (Remedy::Leave, _) => 0,
        (Remedy::Chase, _) => 1,
        (Remedy::WireInsert, _) => 2,
        (Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty)) => 4,
        (Remedy::KeyLockingInsert, _) => 3,
        (Remedy::LargerBolt, _) => 5,
        (Remedy::ThreadedPlug, _) => 6,
        (Remedy::Specialist, _) => 7,
    }
}

fn reservations(assessment: &Assessment) -> usize {
    let failed =
        |check: &&super::Check| check.weight == Weight::Preferred && check.passes == Some(false);
    assessment.checks.iter().filter(failed).count()
}

/// Inserts of 1.5 to 2 diameters suit iron best; of two as near, the longer.
fn by_length(a: &Assessment, b: &Assessment) -> Ordering {
    let diameters = |x: &Assessment| {
        let insert = x.insert.as_ref();
        insert.map_or(0.0, |insert| {
            insert.length.mm() / insert.internal.nominal().mm()
        })
    };
    let off = |x: &Assessment| (diameters(x) - 1.75).abs();
    let nearly = 1e-6;
    if (off(a) - off(b)).abs() < nearly {
        diameters(b).total_cmp(&diameters(a))
    } else {
        off(a).total_cmp(&off(b))
    }
}

/// What a remedy takes that is not in the drawer.
pub(super) fn not_on_hand(situation: &Situation, way: &Candidate) -> Vec<String> {
    let Some(drawer) = &situation.on_hand else {
        return Vec::new();
    };
    let has = |wanted: &str| drawer.iter().any(|thing| names(thing, wanted));
    let family = way.insert.as_ref().map(|insert| insert.family.name());
    let tap = way.tap.as_deref();
    let wanted = family.into_iter().chain(tap);
    wanted
        .filter(|thing| !has(thing))
        .map(str::to_owned)
        .collect()
}

/// Whether what a person wrote of a thing in the drawer names it: `1/2-13` names the `1/2-13 UNC tap`, and so does `1/2-13 UNC plug tap`, but not the
/// `1/2-13 STI tap`.
fn names(thing: &str, wanted: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        let kinds = ["tap", "plug", "bottoming", "taper"];
        let words = text.split_whitespace().map(str::to_ascii_lowercase);
        words
            .filter(|word| !kinds.contains(&word.as_str()))
            .collect()
    };
    let (thing, wanted) = (words(thing), words(wanted));
    let sti = |words: &[String]| words.iter().any(|word| word == "sti");
    let begins = !thing.is_empty()
        && thing.len() <= wanted.len()
        && thing.iter().zip(&wanted).all(|(a, b)| a == b);
    begins && sti(&thing) == sti(&wanted)
}

/// The specialist, last; or first, where nothing else fits or could fit once the missing readings are there.
pub(super) fn add_specialist(situation: &Situation, mut all: Vec<Assessment>) -> Vec<Assessment> {
    let open = all
        .iter()
        .any(|assessment| assessment.verdict != Verdict::DoesNotFit);
    let verdict = if open {
        Verdict::FitsWithCare
    } else {
        Verdict::Fits
    };
    let because = because(situation, &all);
    let specialist = specialist(situation, verdict, because);
    let at = if open { all.len() } else { 0 };
    all.insert(at, specialist);
    all
}

/// Why a specialist, or why not yet.
fn because(situation: &Situation, all: &[Assessment]) -> Vec<String> {
    if situation.damage.crack {
        return vec!["a crack was seen, and no thread repair holds in a cracked wall".to_owned()];
    }
    match all.first().map(|best| best.verdict) {
        Some(Verdict::Fits | Verdict::FitsWithCare) => {
            return vec!["always possible, and nothing read here asks for it".to_owned()];
        }
        Some(Verdict::NotKnown) => {
            return vec![
                "not before the missing readings are there: they decide whether anything else fits"
                    .to_owned(),
            ];
        }
        _ => {}
    }
    let mut why = vec!["nothing else fits".to_owned()];
    let mut said = Vec::new();
    for assessment in all
        .iter()
        .filter(|assessment| assessment.remedy != Remedy::Leave)
    {
        let kind = (assessment.remedy, assessment.family());
        let must =
            |check: &&super::Check| check.weight == Weight::Must && check.passes == Some(false);
        let failed = assessment
            .checks
            .iter()
            .find(must)
            .and_then(super::Check::reason);
        if let Some(failed) = failed.filter(|_| !said.contains(&kind)) {
            said.push(kind);
            let name = assessment
                .family()
                .map_or(assessment.remedy.to_string(), |family| family.to_string());
            why.push(format!("{name}: {failed}"));
        }
    }
    why
}

fn specialist(situation: &Situation, verdict: Verdict, because: Vec<String>) -> Assessment {
    let mut cautions = vec![Caution::ManualFirst];
    cautions.extend(situation.damage.crack.then_some(Caution::Crack));
    cautions.push(Caution::Heat);
    Assessment {
        remedy: Remedy::Specialist,
        insert: None,
        outside_thread: None,
        verdict,
        checks: Vec::new(),
        thread_left: Vec::new(),
        engaged: None,
        effective_engagement: None,
        parent_strength_n: None,
        bolt_strength_n: None,
        sound_strength_n: None,
        strength_ratio: None,
        depths: None,
        drill: None,
        tap: None,
        tap_chamfer: None,
        not_on_hand: Vec::new(),
        because,
        cautions,
    }
}
