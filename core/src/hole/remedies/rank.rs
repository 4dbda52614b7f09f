//! Order of the remedies, and the specialist among them.

use super::candidate::Candidate;
use super::{Assessment, Check, Verdict, Weight};
use crate::hole::caution::Caution;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::Family;
use std::cmp::Ordering;

/// Sorts assessments, best first: by verdict, then those whose dimensions have a source, then those
/// on hand, then the least invasive, then the fewest failed preferences, then the best length.
///
/// One that only waits for a closer reading comes before shop-made parts that are marginal: measuring
/// again costs less than making a part.
pub(super) fn sort(all: &mut [Assessment]) {
    all.sort_by(|a, b| {
        let key = |x: &Assessment| {
            (
                order_of_verdict(x),
                has_no_source(x),
                !x.not_on_hand.is_empty(),
                invasiveness(x),
                failed_preferences(x),
            )
        };
        key(a).cmp(&key(b)).then_with(|| compare_length(a, b))
    });
}

/// Returns the order by verdict, with remedies that wait for a closer reading between marginal ones
/// and shop-made parts, and those without a source after them.
fn order_of_verdict(assessment: &Assessment) -> (Verdict, u8) {
    match assessment.verdict {
        Verdict::Marginal if has_no_source(assessment) => (Verdict::Marginal, 3),
        Verdict::Marginal if is_shop_made(assessment) => (Verdict::Marginal, 2),
        Verdict::Unknown if waits_for_closer_reading(assessment) => (Verdict::Marginal, 1),
        other => (other, 0),
    }
}

fn is_shop_made(assessment: &Assessment) -> bool {
    matches!(
        assessment.remedy,
        Remedy::Bushing | Remedy::SteppedStud | Remedy::LargerBolt | Remedy::ThreadedPlug
    )
}

/// Returns whether it fits as read and lacks nothing but a closer reading, needs no shop-made part,
/// and its dimensions have a source.
pub(super) fn waits_for_closer_reading(assessment: &Assessment) -> bool {
    let mut checks = assessment.checks.iter();
    !is_shop_made(assessment)
        && !has_no_source(assessment)
        && assessment.verdict == Verdict::Unknown
        && assessment.missing_readings.is_empty()
        && checks.all(|check| {
            check.passes == Some(true) || check.passes_as_read || check.weight == Weight::Preferred
        })
}

/// Returns whether the insert's dimensions are inferred or from memory.
fn has_no_source(assessment: &Assessment) -> bool {
    let insert = assessment.insert.as_ref();
    insert.is_some_and(|insert| insert.confidence.is_unconfirmed())
}

/// Returns how invasive a remedy is, 0 to 11: how much metal it takes and how hard it is to undo.
///
/// Leaving the thread, a longer bolt in it, and chasing it come first; a longer bolt, which is only
/// offered where it holds more, before a thread that is left and holds less than it should. Then remedies go by the metal
/// that they take: a wire thread insert the least; a deeper hole keeps its diameter but needs metal
/// below and a longer bolt; a thin-wall or miniature insert takes less than a heavy or extra heavy
/// one. A
/// bushing takes as much as a heavy insert, but is shop-made and held by adhesive only, so it comes
/// after all key-locking inserts. A stepped stud changes the fastener, a larger bolt also the
/// mating part. A plug takes the most metal and carries the load by two threads. The order is a
/// judgment.
pub(super) fn invasiveness(assessment: &Assessment) -> u8 {
    match (assessment.remedy, assessment.family()) {
        (Remedy::Leave, _) if assessment.verdict == Verdict::Fits => 0,
        (Remedy::LongerBolt, _) => 0,
        (Remedy::Leave, _) => 1,
        (Remedy::Chase, _) => 2,
        (Remedy::WireInsert, _) => 3,
        (Remedy::TapDeeper, _) => 4,
        (Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty)) => 6,
        (Remedy::KeyLockingInsert, Some(Family::KeyLockingExtraHeavyDuty)) => 7,
        (Remedy::KeyLockingInsert, _) => 5,
        (Remedy::Bushing, _) => 8,
        (Remedy::SteppedStud | Remedy::LargerBolt, _) => 9,
        (Remedy::ThreadedPlug, _) => 10,
        (Remedy::Specialist, _) => 11,
    }
}

fn failed_preferences(assessment: &Assessment) -> usize {
    let failed = |check: &&Check| check.weight == Weight::Preferred && check.passes == Some(false);
    assessment.checks.iter().filter(failed).count()
}

/// Compares by length: inserts of 1.5 to 2 diameters suit iron best; of two as close, the longer.
fn compare_length(a: &Assessment, b: &Assessment) -> Ordering {
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

/// Returns the insert family and the tap that a remedy needs and that are not on hand.
pub(super) fn not_on_hand(situation: &Situation, candidate: &Candidate) -> Vec<String> {
    let Some(on_hand) = &situation.on_hand else {
        return Vec::new();
    };
    let has = |wanted: &str| on_hand.iter().any(|item| matches_item(item, wanted));
    let family = candidate.insert.as_ref().map(|insert| insert.family.name());
    let tap = candidate.tap.as_deref();
    let wanted = family.into_iter().chain(tap);
    wanted
        .filter(|item| !has(item))
        .map(str::to_owned)
        .collect()
}

/// Returns whether an item on hand, as a person wrote it, is the wanted one.
///
/// `1/2-13` and `1/2-13 UNC plug tap` both match `1/2-13 UNC tap`, but not `1/2-13 STI tap`.
fn matches_item(item: &str, wanted: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        let kinds = ["tap", "plug", "bottoming", "taper"];
        let words = text.split_whitespace().map(str::to_ascii_lowercase);
        words
            .filter(|word| !kinds.contains(&word.as_str()))
            .collect()
    };
    let (item, wanted) = (words(item), words(wanted));
    let sti = |words: &[String]| words.iter().any(|word| word == "sti");
    let begins = !item.is_empty()
        && item.len() <= wanted.len()
        && item.iter().zip(&wanted).all(|(a, b)| a == b);
    begins && sti(&item) == sti(&wanted)
}

/// Adds the specialist: last, or first where nothing else fits or could fit once the missing
/// readings are there.
pub(super) fn add_specialist(situation: &Situation, mut all: Vec<Assessment>) -> Vec<Assessment> {
    let open = all
        .iter()
        .any(|assessment| assessment.verdict != Verdict::DoesNotFit);
    let verdict = if open {
        Verdict::Marginal
    } else {
        Verdict::Fits
    };
    let rationale = specialist_rationale(situation, &all);
    let specialist = specialist(situation, verdict, rationale);
    let at = if open { all.len() } else { 0 };
    all.insert(at, specialist);
    all
}

/// Why a crack is for a specialist, and what is done about it there (common practice, no source).
const CRACK: [&str; 3] = [
    "a crack was seen, however short: no thread repair holds in a cracked wall",
    "a thread wedges its hole open as the bolt is tightened, and an insert needs an even larger hole: the crack grows, at first out of sight, \
     and the casting can let go under load",
    "someone qualified to repair cast iron finds both ends of the crack, stops them, and closes it cold with a row of interlocking pins, or by brazing or welding \
     with the casting heated and cooled slowly; then measure the hole again and record that there is no crack",
];

/// Returns why a specialist is needed, or why not yet.
fn specialist_rationale(situation: &Situation, all: &[Assessment]) -> Vec<String> {
    if situation.damage.crack {
        return CRACK.map(str::to_owned).to_vec();
    }
    match all.first().map(|best| best.verdict) {
        Some(Verdict::Fits | Verdict::Marginal) => {
            return vec!["always possible; no reading calls for it".to_owned()];
        }
        Some(Verdict::Unknown) => {
            return vec![
                "take the readings named here first: they decide whether anything else fits"
                    .to_owned(),
            ];
        }
        _ => {}
    }
    let mut why = vec!["nothing else fits".to_owned()];
    why.extend(KINDS.iter().filter_map(|kind| nearest_miss(kind, all)));
    why.extend(kinds_without_size(situation, all));
    why
}

/// Kinds of remedy that the specialist's rationale covers.
const KINDS: [(Remedy, Option<Family>); 12] = [
    (Remedy::LongerBolt, None),
    (Remedy::Chase, None),
    (Remedy::TapDeeper, None),
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

/// Returns why a kind does not fit: the worst miss of its candidate that misses by least.
fn nearest_miss(kind: &(Remedy, Option<Family>), all: &[Assessment]) -> Option<String> {
    let of_kind = all.iter().filter(|a| (a.remedy, a.family()) == *kind);
    let missed = of_kind.filter_map(|a| worst_miss(a).map(|(check, by)| (a, check, by)));
    let (nearest, check, _) = missed.min_by(|a, b| a.2.total_cmp(&b.2))?;
    let name = nearest
        .family()
        .map_or(nearest.remedy.to_string(), |family| family.to_string());
    Some(format!("{name}: {}", check.reason()?))
}

/// Returns the required check that misses by most, with its miss as a fraction of the limit.
fn worst_miss(assessment: &Assessment) -> Option<(&Check, f64)> {
    let failed = assessment
        .checks
        .iter()
        .filter(|check| check.weight == Weight::Must && check.passes == Some(false));
    let miss = |check: &Check| {
        let (has, needs) = (check.has.unwrap_or(0.0), check.needs.unwrap_or(0.0));
        (needs - has).abs() / needs.abs().max(f64::MIN_POSITIVE)
    };
    failed
        .map(|check| (check, miss(check)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Returns the kinds that have no size for the wanted thread.
fn kinds_without_size<'a>(
    situation: &'a Situation,
    all: &'a [Assessment],
) -> impl Iterator<Item = String> + 'a {
    // Miniature inserts have no large sizes by design, and another bolt only comes into question
    // where it reaches more thread.
    let says_nothing = |(remedy, family): &(Remedy, Option<Family>)| {
        *family == Some(Family::KeyLockingMiniature)
            || matches!(remedy, Remedy::LongerBolt | Remedy::TapDeeper)
    };
    let missing = KINDS
        .iter()
        .filter(move |kind| !says_nothing(kind))
        .filter(|kind| !all.iter().any(|a| (a.remedy, a.family()) == **kind));
    missing.map(|(remedy, family)| {
        let name = family.map_or(remedy.to_string(), |family| family.to_string());
        let wanted = situation.thread.designation();
        format!("{name}: no size for {wanted} in the tables, so not assessed")
    })
}

pub(super) fn specialist(
    situation: &Situation,
    verdict: Verdict,
    rationale: Vec<String>,
) -> Assessment {
    let mut cautions = vec![Caution::ManualFirst];
    cautions.extend(situation.damage.crack.then_some(Caution::Crack));
    cautions.push(Caution::Heat);
    Assessment {
        rationale,
        cautions,
        ..Assessment::new(Remedy::Specialist, verdict, situation.thread)
    }
}
