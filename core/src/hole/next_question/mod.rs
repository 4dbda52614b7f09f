//! The next question about a hole: the one thing to measure or to say that would change what is done
//! to it.
//!
//! Nothing is asked that changes no decision. The first remedy of the list with its verdict is the
//! decision. Whether a reading matters is found by trying it: with a short and a long value, while
//! all else that is missing takes its most favorable value.

mod topic;
mod worlds;

pub use topic::Topic;

use super::condition::Condition;
use super::next::NextAction;
use super::plan::Plan;
use super::problem::Problem;
use super::record::{HoleRecord, Quantity, RemedySpec};
use super::remedies::{Assessment, MissingReading, Sensitivity, contenders};
use super::situation::{Situation, SituationUnavailable};
use crate::insert::Catalog;
use crate::length::Length;
use std::collections::BTreeSet;
use worlds::Worlds;

/// What to ask next about a hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct NextQuestion {
    /// What is asked.
    pub topic: Topic,
    /// The remedy whose verdict depends on the answer; `None` if every remedy does.
    pub remedy: Option<RemedySpec>,
    /// Why it is asked, as a part of a sentence with lengths in both units.
    pub because: String,
    /// The tolerance to measure to, if a reading is there and decides a verdict by its tolerance.
    pub measure_to: Option<Length>,
    /// The distance from which on no check of any remedy waits for a closer answer; `None` if that
    /// is not known.
    pub enough: Option<Length>,
}

impl NextQuestion {
    fn of_all(topic: Topic, because: &str) -> NextQuestion {
        NextQuestion {
            topic,
            remedy: None,
            because: because.to_owned(),
            measure_to: None,
            enough: None,
        }
    }
}

/// Returns the next question about a hole; `None` if no answer would change what is done to it, or
/// if the remedy is decided. Topics in `skipped` are not asked.
///
/// A sound hole asks nothing: it is judged by its final check.
pub fn next_question(
    plan: &Plan,
    record: &HoleRecord,
    catalog: &Catalog,
    skipped: &BTreeSet<Topic>,
) -> Option<NextQuestion> {
    let wanted = |question: &NextQuestion| !skipped.contains(&question.topic);
    let asked = match &plan.situation {
        _ if !is_deciding(&plan.next) => None,
        Err(SituationUnavailable::NoThread) => {
            let because = "no remedy can be worked out without it";
            Some(NextQuestion::of_all(Topic::Thread, because))
        }
        Err(_) => None,
        Ok(_) if record.is_sound() => None,
        Ok(situation) => about_depth(record, situation)
            .filter(wanted)
            .or_else(|| about_damage(plan, record).filter(wanted))
            .or_else(|| about_readings(plan, situation, catalog, skipped)),
    };
    asked.filter(wanted)
}

/// Returns the share of the likely depths of a hole at which a tool of this tolerance decides what
/// exact readings would, 0 to 1; all else that is missing takes its most favorable value.
pub fn share_decided_by_depth(situation: &Situation, catalog: &Catalog, tolerance: Length) -> f64 {
    let missing = Topic::ALL.map(|topic| match topic {
        Topic::FaceCut => situation.face_cut.is_none(),
        Topic::Measure(Quantity::NearestEdge) => situation.nearest_edge.is_none(),
        Topic::Measure(Quantity::NearestHole) => situation.nearest_hole.is_none(),
        Topic::Measure(Quantity::Floor) => situation.floor.is_none(),
        _ => false,
    });
    let topics = Topic::ALL.into_iter().zip(missing);
    let missing: Vec<Topic> = topics
        .filter_map(|(topic, is)| is.then_some(topic))
        .collect();
    Worlds::new(situation, catalog, &missing).share_decided_by_depth(tolerance)
}

/// Returns whether the remedy is still to be decided.
const fn is_deciding(next: &NextAction) -> bool {
    match next {
        NextAction::SetThread
        | NextAction::DescribeDamage
        | NextAction::Measure
        | NextAction::ChooseRemedy
        | NextAction::ReviewRemedies => true,
        NextAction::ResolveConflict
        | NextAction::Crack
        | NextAction::Step { .. }
        | NextAction::AtSpecialist
        | NextAction::Done => false,
    }
}

/// Returns whether a broken piece came out, and the hole was not described since.
fn piece_is_out(plan: &Plan) -> bool {
    let mut problems = plan.status.problems.iter();
    problems.any(|problem| matches!(problem, Problem::DescribedBeforeClearing { .. }))
}

/// Asks for the damage, also again after a broken piece came out.
fn about_damage(plan: &Plan, record: &HoleRecord) -> Option<NextQuestion> {
    let moved = |problem: &Problem| matches!(problem, Problem::PlacesChanged { .. });
    if plan.status.problems.iter().any(moved) {
        let because = "what its off-center amount was taken from changed";
        return Some(NextQuestion::of_all(Topic::Damage, because));
    }
    let because = match (record.damage.0.is_empty(), piece_is_out(plan)) {
        (_, true) => "the broken piece is out, and what it left decides the remedy",
        (true, _) => "it decides which remedies come into question",
        (false, false) => return None,
    };
    Some(NextQuestion::of_all(Topic::Damage, because))
}

/// Asks for the depth before the damage is described, if that mostly reaches down the whole hole: the
/// depth is the first number of both.
fn about_depth(record: &HoleRecord, situation: &Situation) -> Option<NextQuestion> {
    let condition = record.condition_in_force();
    let all_the_way = matches!(condition, Some(Condition::Loose | Condition::OffCenter));
    let because = "the damage may reach down the whole hole";
    let asked = all_the_way && record.damage.0.is_empty() && situation.bottom().is_none();
    asked.then(|| NextQuestion::of_all(Topic::Measure(Quantity::Depth), because))
}

/// Asks for the reading that decides: one that is missing, one that is too coarse, or the bolt's
/// grade.
fn about_readings(
    plan: &Plan,
    situation: &Situation,
    catalog: &Catalog,
    skipped: &BTreeSet<Topic>,
) -> Option<NextQuestion> {
    if !situation.damage_described {
        return None;
    }
    let contenders = contenders(&plan.assessments);
    let topics = missing_topics(&contenders, skipped);
    let mut worlds = Worlds::new(situation, catalog, &topics);
    let mut asked = topics.iter().copied();
    let asked = asked.find(|topic| *topic == Topic::FaceCut || worlds.decides(*topic));
    let asked = asked.or_else(|| topics.first().copied().filter(|_| worlds.settle()));
    if let Some(topic) = asked {
        return Some(NextQuestion {
            enough: worlds.enough(topic),
            ..missing_question(topic, &contenders)
        });
    }
    let closer = contenders
        .iter()
        .find_map(|waiting| closer(waiting, skipped));
    closer.or_else(|| about_grade(situation, &worlds, skipped))
}

/// Returns what the remedies miss and a person has not skipped, most important first.
fn missing_topics(contenders: &[&Assessment], skipped: &BTreeSet<Topic>) -> Vec<Topic> {
    let readings = contenders.iter().flat_map(|one| &one.missing_readings);
    let readings: BTreeSet<MissingReading> = readings.copied().collect();
    let topics = readings.into_iter().map(Topic::of);
    topics.filter(|topic| !skipped.contains(topic)).collect()
}

fn missing_question(topic: Topic, contenders: &[&Assessment]) -> NextQuestion {
    let waits = |one: &&&Assessment| {
        let mut readings = one.missing_readings.iter();
        readings.any(|reading| Topic::of(*reading) == topic)
    };
    let waiting = contenders.iter().find(waits);
    NextQuestion {
        topic,
        remedy: waiting.map(|one| one.spec()),
        because: waiting.map_or(String::new(), |one| because(topic, one)),
        measure_to: None,
        enough: None,
    }
}

/// Names the check that waits for the reading, with its limit.
fn because(topic: Topic, waiting: &Assessment) -> String {
    let mut checks = waiting.checks.iter();
    let check = checks.find(|check| check.missing.map(Topic::of) == Some(topic));
    let name = waiting.name();
    match (topic, check) {
        (Topic::FaceCut, _) => format!("every depth is counted from the finished face ({name})"),
        (_, Some(check)) => format!("{name}: {}", check.waits()),
        (_, None) => name,
    }
}

/// Asks to take a reading more closely. Where no instrument could be close enough, nothing is asked.
fn closer(waiting: &Assessment, skipped: &BTreeSet<Topic>) -> Option<NextQuestion> {
    if !waiting.missing_readings.is_empty() {
        return None;
    }
    let topic = |one: &Sensitivity| Topic::closer(one.reading);
    let useful = |one: &&Sensitivity| one.has_margin() && !skipped.contains(&topic(one));
    let mut readings = waiting.sensitivities.iter();
    let reading = readings.find(useful)?;
    Some(NextQuestion {
        topic: topic(reading),
        remedy: Some(waiting.spec()),
        because: format!("{} {}", waiting.name(), reading.advice),
        measure_to: Some(reading.margin),
        enough: None,
    })
}

fn about_grade(
    situation: &Situation,
    worlds: &Worlds<'_>,
    skipped: &BTreeSet<Topic>,
) -> Option<NextQuestion> {
    let asked = situation.bolt.is_none() && !skipped.contains(&Topic::BoltGrade);
    let because = "a thread needs to hold no more than its bolt";
    (asked && worlds.grade_decides()).then(|| NextQuestion::of_all(Topic::BoltGrade, because))
}

#[cfg(test)]
mod tests;
