//! Why the first remedy is first, in one sentence.

use super::rank::{invasiveness, waits_for_closer_reading};
use super::{Assessment, Verdict};
use crate::hole::record::Remedy;
use crate::insert::Family;

/// Returns why the first remedy comes before the next one, with lengths in both units; `None` if
/// there is none.
pub(super) fn first_because(all: &[Assessment]) -> Option<String> {
    let first = all.first()?;
    if first.remedy == Remedy::Specialist {
        return Some("nothing else fits".to_owned());
    }
    let next = all[1..]
        .iter()
        .find(|other| other.remedy != Remedy::Specialist);
    Some(match next {
        Some(next) => before(first, next),
        None => "it is the only remedy for this thread".to_owned(),
    })
}

fn before(first: &Assessment, next: &Assessment) -> String {
    let other = name(next);
    if first.verdict == Verdict::Unknown && waits_for_closer_reading(first) {
        let reading = &first.sensitivities[0].name;
        return format!("it fits as read; take {reading} more closely before a shop-made part");
    }
    if first.verdict != next.verdict {
        let why = next
            .each_reason()
            .next()
            .map_or(String::new(), |why| format!(": {why}"));
        return format!(
            "it {}; the next, {other}, {}{why}",
            verb(first.verdict),
            verb(next.verdict)
        );
    }
    let inferred = |x: &Assessment| {
        x.insert
            .as_ref()
            .is_some_and(|i| i.confidence.is_unconfirmed())
    };
    if inferred(next) && !inferred(first) {
        return format!("its dimensions have a source, those of the next, {other}, have none");
    }
    if let Some(missing) = next
        .not_on_hand
        .first()
        .filter(|_| first.not_on_hand.is_empty())
    {
        return format!("it is on hand; the next, {other}, needs {missing}");
    }
    if invasiveness(first) < invasiveness(next) {
        return format!("of those that {}, {}", verbs(first.verdict), gains(first));
    }
    if first.insert.is_some() && first.family() == next.family() {
        return format!("{}; of its lengths, this one suits best", gains(first));
    }
    format!("it fails fewer preferences than the next, {other}")
}

/// Returns a remedy's name in a sentence, with its length in both units or its thread.
pub(super) fn name(assessment: &Assessment) -> String {
    match (&assessment.insert, &assessment.outside_thread) {
        (Some(insert), _) => format!("{}, {} long", insert.family, insert.length.both()),
        (None, Some(thread)) => format!("{}, {thread}", assessment.remedy),
        (None, None) => assessment.remedy.to_string(),
    }
}

const fn verb(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "fits",
        Verdict::Marginal => "is marginal",
        Verdict::Unknown => "is unknown",
        Verdict::DoesNotFit => "does not fit",
    }
}

const fn verbs(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "fit",
        Verdict::Marginal => "are marginal",
        Verdict::Unknown => "are unknown",
        Verdict::DoesNotFit => "do not fit",
    }
}

/// Returns what a remedy spares, compared with those after it.
fn gains(assessment: &Assessment) -> &'static str {
    match (assessment.remedy, assessment.family()) {
        (Remedy::Leave, _) => "it changes nothing",
        (Remedy::LongerBolt, _) => "it cuts nothing and only needs another bolt",
        (Remedy::Chase, _) => "it only cleans the thread that is there",
        (Remedy::WireInsert, _) => "it takes the least metal and keeps the bolt",
        (Remedy::TapDeeper, _) => "it keeps the hole's diameter",
        (Remedy::KeyLockingInsert, Some(Family::KeyLockingHeavyDuty)) => {
            "it takes less metal than an extra heavy insert and needs no shop-made part"
        }
        (Remedy::KeyLockingInsert, _) => "it takes less metal than the heavier ones",
        (Remedy::Bushing, _) => "it keeps the bolt and takes less metal than a plug",
        (Remedy::SteppedStud, _) => "it leaves the mating part as it is",
        (Remedy::LargerBolt, _) => "it needs no shop-made part",
        (Remedy::ThreadedPlug | Remedy::Specialist, _) => "nothing else does",
    }
}
