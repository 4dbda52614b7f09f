//! Which remedy stands first.

use super::candidate::Candidate;
use super::{Assessment, Check, Verdict, Weight};
use crate::hole::caution::Caution;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::Family;
use std::cmp::{Ordering, Reverse};

/// The best first: by verdict, then what does not fail at the worst of the readings, then what is on hand, then what takes least from the casting, then what has fewest reservations, then
/// the length that suits best.
pub(super) fn sort(all: &mut [Assessment]) {
    all.sort_by(|a, b| {
        let key = |x: &Assessment| {
            (
                x.verdict,
                hangs(x),
                !x.not_on_hand.is_empty(),
                intrusion(x),
                reservations(x),
            )
        };
        key(a).cmp(&key(b)).then_with(|| by_length(a, b))
    });
}

/// A bolt straight in the iron was judged for several depths at which it may start to engage: the best of them stays; of equals, and
/// where none serves, the first.
pub(super) fn keep_best_start(all: &mut Vec<Assessment>) {
    all.dedup_by(|later, kept| {
        let same = later.remedy == kept.remedy
            && later.outside_thread == kept.outside_thread
            && later.insert.is_none();
        let key = |x: &Assessment| (x.verdict, reservations(x), Reverse(x.effective_engagement));
        let serves = later.verdict <= Verdict::FitsWithCare;
        if same && (later.verdict < kept.verdict || serves && key(later) < key(kept)) {
            std::mem::swap(later, kept);
        }
        same
    });
}

/// How much a remedy takes from the casting, and how hard it is to go back from it.
///
/// What leaves the thread alone comes first. Then by the metal that each takes: a wire thread insert least, a thin-wall or miniature
/// insert less than a heavy and an extra heavy one. A bushing takes as much as a heavy insert, but is made to measure and held by a bond
/// alone, so it stands behind all that keys lock. A stepped stud and a larger bolt change the joint itself: the one its fastener, the other
/// the part bolted on too. A plug takes most, and carries the load by two threads. The order among them is a judgement.
fn intrusion(assessment: &Assessment) -> u8 {
    match (assessment.remedy, assessment.family()) {
        (Remedy::Leave, _) => 0,
        (Remedy::Chase, _) => 1,
        (Remedy::WireInsert, _) => 2,
        (Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty)) => 4,
        (Remedy::KeyLockingInsert, Some(Family::KeyLockingExtraHeavyDuty)) => 5,
        (Remedy::KeyLockingInsert, _) => 3,
        (Remedy::Bushing, _) => 6,
        (Remedy::SteppedStud | Remedy::LargerBolt, _) => 7,
        (Remedy::ThreadedPlug, _) => 8,
        (Remedy::Specialist, _) => 9,
    }
}

/// Whether it serves only if the readings are less off than they may be.
fn hangs(assessment: &Assessment) -> bool {
    let mut checks = assessment.checks.iter();
    checks.any(|check| check.weight == Weight::Must && check.passes_as_read)
}

fn reservations(assessment: &Assessment) -> usize {
    let failed = |check: &&Check| check.weight == Weight::Preferred && check.passes == Some(false);
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

/// Why a crack is for a specialist, and what is done about it there (common practice, no source).
const CRACK: [&str; 3] = [
    "a crack was seen, and that is not for this notebook, however short it is: no thread repair holds in a cracked wall",
    "every thread wedges its hole open as the bolt is drawn tight, and an insert needs a still larger hole: the crack runs on, at first where nobody sees it, \
     and the casting can let go under load",
    "someone qualified in repairing cast iron finds both ends of the crack, stops them, and closes it cold with a row of interlocking pins, or by brazing or welding \
     with the casting heated and cooled slowly; the hole is measured anew after that, and its record can then say that no crack is there",
];

/// Why a specialist, or why not yet.
fn because(situation: &Situation, all: &[Assessment]) -> Vec<String> {
    if situation.damage.crack {
        return CRACK.map(str::to_owned).to_vec();
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
    why.extend(KINDS.iter().filter_map(|kind| nearest_miss(kind, all)));
    why.extend(not_kept(situation, all));
    why
}

/// What a specialist is told of, kind by kind.
const KINDS: [(Remedy, Option<Family>); 10] = [
    (Remedy::Chase, None),
    (Remedy::WireInsert, Some(Family::WireThread)),
    (Remedy::KeyLockingInsert, Some(Family::KeyLockingThinWall)),
    (Remedy::KeyLockingInsert, Some(Family::KeyLockingMiniature)),
    (Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty)),
    (
        Remedy::KeyLockingInsert,
        Some(Family::KeyLockingExtraHeavyDuty),
    ),
    (Remedy::Bushing, Some(Family::Bushing)),
    (Remedy::SteppedStud, None),
    (Remedy::LargerBolt, None),
    (Remedy::ThreadedPlug, None),
];

/// Why a kind does not fit: what is wrong with the one of it that lacks least.
fn nearest_miss(kind: &(Remedy, Option<Family>), all: &[Assessment]) -> Option<String> {
    let of_kind = all.iter().filter(|a| (a.remedy, a.family()) == *kind);
    let missed = of_kind.filter_map(|a| worst_miss(a).map(|(check, by)| (a, check, by)));
    let (nearest, check, _) = missed.min_by(|a, b| a.2.total_cmp(&b.2))?;
    let name = nearest
        .family()
        .map_or(nearest.remedy.to_string(), |family| family.to_string());
    Some(format!("{name}: {}", check.reason()?))
}

/// The check that must pass and misses by most, with how much of what is needed it misses.
fn worst_miss(assessment: &Assessment) -> Option<(&Check, f64)> {
    let failed = assessment
        .checks
        .iter()
        .filter(|check| check.weight == Weight::Must && check.passes == Some(false));
    let by = |check: &Check| {
        let (has, needs) = (check.has.unwrap_or(0.0), check.needs.unwrap_or(0.0));
        (needs - has).abs() / needs.abs().max(f64::MIN_POSITIVE)
    };
    failed
        .map(|check| (check, by(check)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The kinds that have no size here for the wanted thread.
fn not_kept<'a>(
    situation: &'a Situation,
    all: &'a [Assessment],
) -> impl Iterator<Item = String> + 'a {
    // That a small kind has no large sizes tells nobody anything.
    let missing = KINDS
        .iter()
        .filter(|(_, family)| *family != Some(Family::KeyLockingMiniature))
        .filter(|kind| !all.iter().any(|a| (a.remedy, a.family()) == **kind));
    missing.map(|(remedy, family)| {
        let name = family.map_or(remedy.to_string(), |family| family.to_string());
        let wanted = situation.thread.designation();
        format!("{name}: no size for {wanted} is kept here, so it was not judged")
    })
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
        bolt_thread: situation.thread,
        fails: None,
        bolt: None,
        depths: None,
        drill: None,
        tap: None,
        tap_chamfer: None,
        pins: None,
        not_on_hand: Vec::new(),
        depends_on: Vec::new(),
        because,
        cautions,
    }
}
