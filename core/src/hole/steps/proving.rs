//! The proof: what holds how much, how tight the bolt may go, and which bolt it is.

use super::numbers::{List, Value};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::length::Length;
use crate::strength::bolt::Reach;
use crate::strength::{
    Comparison, Condition, Engagements, POUND_FOOT_NM_TORQUE, POUND_FORCE_N, Torque,
};

/// Numbers of the proof. A torque is given only where the bolt's grade is known and covers its size.
pub(super) fn numbers(list: &mut List, situation: &Situation, assessment: &Assessment) {
    list.push(
        "the metal strips at",
        assessment.parent_strength_n.map(Value::Newtons),
    );
    let weakest = assessment.fails.as_ref().and_then(|fails| fails.weakest);
    list.push(
        "fails first",
        weakest.map(|part| Value::Words(part.to_string())),
    );
    let names = ["torque, dry, not above", "torque, oiled, not above"];
    for (name, condition) in names.into_iter().zip([Condition::Dry, Condition::Oiled]) {
        let range = assessment.torque(situation.bolt, condition);
        list.push(
            name,
            range.map(|range| Value::NewtonMetres(range.low_nm_torque)),
        );
    }
    if let Some(bolt) = &assessment.bolt {
        list.push("bolt", bolt.name.clone().map(Value::Words));
        list.push("bolt's length", Some(lengths(bolt)));
    }
}

fn lengths(bolt: &Reach) -> Value {
    match bolt.most {
        Some(most) if bolt.least <= most => Value::Between(bolt.least, most),
        _ => Value::Length(bolt.least),
    }
}

/// What stands behind those numbers.
pub(super) fn notes(situation: &Situation, assessment: &Assessment) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(fails) = &assessment.fails {
        notes.extend(loads(fails));
        notes.extend(fails.engagement.as_ref().map(engagement));
    }
    for (name, condition) in [("Dry", Condition::Dry), ("Oiled", Condition::Oiled)] {
        let range = assessment.torque(situation.bolt, condition);
        notes.extend(range.map(|range| spread(name, condition, &range)));
    }
    notes.extend(assessment.bolt.as_ref().map(bolt_words));
    notes
}

fn loads(fails: &Comparison) -> Option<String> {
    let each = fails
        .loads
        .iter()
        .map(|load| format!("{} at {}", load.part, force(load.load_n)));
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| format!("Loads, the weakest first: {}.", each.join("; ")))
}

fn engagement(found: &Engagements) -> String {
    let iso = match found.iso16224_mm {
        Some(mm) => format!("{} by ISO/TR 16224", length(mm)),
        None => "none by ISO/TR 16224".to_owned(),
    };
    format!(
        "For the bolt to break first it takes {} of thread by FED-STD-H28/2B, {}, and {iso}. {}.",
        length(found.h28_mm),
        found.h28_formula,
        found.iso16224_note
    )
}

fn spread(name: &str, condition: Condition, range: &Torque) -> String {
    let [low, _, high] = condition.nut_factors();
    format!(
        "{name}: preload aimed at {}, {:.0} % more or less by a torque wrench. The nut factor may be {low:.2} to {high:.2}, so that preload takes \
         {} to {}; with threads of unknown friction do not go above the lower.",
        force(range.preload_n),
        range.scatter * 100.0,
        torque(range.low_nm_torque),
        torque(range.high_nm_torque)
    )
}

fn bolt_words(bolt: &Reach) -> String {
    let most = bolt.most.map_or(String::new(), |most| {
        format!(", and at most {} so as not to bottom", most.both())
    });
    let head = if bolt.threaded_to_head {
        " It must be threaded to its head: the plain shank of a usual one would reach into the thread."
    } else {
        ""
    };
    format!(
        "With {} bolted on the bolt must be {} long to engage all its thread{most}.{head} Lengths: {}.",
        bolt.grip.both(),
        bolt.least.both(),
        bolt.source
    )
}

fn force(newtons: f64) -> String {
    format!(
        "{:.1} kN ({:.0} lbf)",
        newtons / 1000.0,
        newtons / POUND_FORCE_N
    )
}

fn torque(newton_metres: f64) -> String {
    format!(
        "{newton_metres:.0} N·m ({:.0} lb·ft)",
        newton_metres / POUND_FOOT_NM_TORQUE
    )
}

fn length(mm: f64) -> String {
    Length::computed_mm((mm * 100.0).round() / 100.0).both()
}
