//! The final check: loads, torque limits and the bolt.

use super::notes::Notes;
use super::number::{List, Value};
use crate::hole::remedies::Assessment;
use crate::hole::situation::Situation;
use crate::length::{Length, Rounding};
use crate::strength::bolt::BoltLength;
use crate::strength::{
    Comparison, EngagementNeeded, Lubrication, manual_torque_advice, show_load_both,
};

/// Adds the numbers of the final check. A torque needs a known bolt grade that covers the size.
pub(super) fn numbers(list: &mut List, situation: &Situation, assessment: &Assessment) {
    list.push(
        "Metal strips at",
        assessment.parent_strength_n.map(Value::ForceN),
    );
    let weakest = assessment.failure.as_ref().and_then(|fails| fails.weakest);
    list.push(
        "Fails first",
        weakest.map(|part| Value::Text(part.to_string())),
    );
    for (usual, limit, condition) in [
        (
            "Usual torque for this bolt, dry",
            "Torque limit, dry",
            Lubrication::Dry,
        ),
        (
            "Usual torque for this bolt, oiled",
            "Torque limit, oiled",
            Lubrication::Oiled,
        ),
    ] {
        let Some(torque) = assessment.torque(situation.bolt, condition) else {
            continue;
        };
        list.push(usual, Some(Value::TorqueNm(torque.bolt_nm_torque)));
        list.push(limit, torque.hole_limit_nm_torque.map(Value::TorqueNm));
    }
    if let Some(bolt) = &assessment.bolt {
        list.push("Bolt", bolt.name.clone().map(Value::Text));
        list.push("Bolt length", Some(lengths(bolt)));
    }
}

fn lengths(bolt: &BoltLength) -> Value {
    match bolt.most {
        Some(most) if bolt.least <= most => Value::Range {
            least: bolt.least,
            most,
        },
        _ => Value::Computed {
            length: bolt.least,
            rounding: Rounding::Up,
        },
    }
}

/// Explains those numbers.
pub(super) fn notes(situation: &Situation, assessment: &Assessment) -> Notes {
    let mut notes = Notes::default();
    if let Some(fails) = &assessment.failure {
        notes.add_all(loads(fails));
        notes.add_all(fails.engagement.as_ref().map(engagement));
    }
    notes.add_all(assessment.sound_ratio.map(manual_torque_advice));
    for condition in [Lubrication::Dry, Lubrication::Oiled] {
        let torque = assessment.torque(situation.bolt, condition);
        notes.add_all(torque.map(|torque| torque.describe(condition)));
    }
    if let Some(bolt) = &assessment.bolt {
        notes.add(bolt_note(bolt));
        notes.source("Bolt lengths", bolt.source);
    }
    notes
}

fn loads(fails: &Comparison) -> Option<String> {
    let each = fails.loads.iter().map(|load| {
        let low = load
            .floor_n
            .map(|low| format!(", could be as low as {}", show_load_both(low)));
        let (part, holds) = (load.failure_mode, show_load_both(load.load_n));
        format!("{part} at {holds}{}", low.unwrap_or_default())
    });
    let each: Vec<String> = each.collect();
    (!each.is_empty()).then(|| format!("Loads, weakest first: {}.", each.join("; ")))
}

fn engagement(found: &EngagementNeeded) -> String {
    let iso = match found.iso16224_mm {
        Some(mm) => format!("{} by ISO/TR 16224", length(mm)),
        None => "none by ISO/TR 16224".to_owned(),
    };
    format!(
        "Thread needed for the bolt to break first: {}{} by FED-STD-H28/2B, {}; {iso}. {}.",
        length(found.h28_mm),
        if found.h28_floor_mm > found.h28_mm {
            format!(" (in weak metal up to {})", length(found.h28_floor_mm))
        } else {
            String::new()
        },
        found.h28_formula,
        found.iso16224_note
    )
}

fn bolt_note(bolt: &BoltLength) -> String {
    let most = bolt.most.map_or(String::new(), |most| {
        let most = most.both_rounded(Rounding::Down);
        format!(", and at most {most} so that it does not bottom")
    });
    let head = if bolt.threaded_to_head {
        " It must be threaded to the head: the plain shank of a standard bolt would reach into \
         the thread."
    } else {
        ""
    };
    format!(
        "With a grip of {}, the bolt must be at least {} long to engage all the thread{most}.{head}",
        bolt.grip.both(),
        bolt.least.both_rounded(Rounding::Up)
    )
}

fn length(mm: f64) -> String {
    Length::from_computed_mm(mm).both_rounded(Rounding::Up)
}
