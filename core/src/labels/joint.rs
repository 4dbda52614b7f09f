//! What is said of a joint and its bolts.

use super::sentence;
use crate::hole::bolt_up::{BoltPass, PassDone, TorqueOutOfRange};
use crate::hole::remedies::Assessment;
use crate::length::{Rounding, Unit, in_unit, show_range};
use crate::notebook::{BoltPlan, JointPlan};
use crate::strength::{FailureLoad, show_load, show_torque, show_torque_range};

/// What the bolt lengths count on.
pub const GRIP_NOTE: &str = "The grip of each bolt is part, gasket, and washer as they were measured. Fit the same washers; a \
    washer more or less changes the length and the engagement.";
/// What to do about sealer.
pub const SEALER: &str = "Sealer: put it on just before the first pass, and go on only when its maker says so. Threads that open \
    into a passage need it too.";
/// What the table of a bolt-up sheet lists, and how to use it.
pub const TABLE_NOTE: &str = "In the order of tightening. Tick each bolt in each pass; finish a pass before the next. A box with a \
    torque is recorded already, with how its bolt was lubricated if that is recorded.";
/// What the numbers on the drawing of the order are.
pub const DRAWING_NOTE: &str =
    "The numbers on the drawing are places in the order, not numbers of holes.";
/// Where the shares and ranges of the passes come from.
pub const PASSES_SOURCE: &str = "The range is a tenth either way, for the wrench (judgment). The shares of the passes are common \
    practice, no source.";
/// A reminder for after the first warm-up.
pub const WARM_UP: &str = "After the first warm-up, cold again: go around once more at full torque";
/// A reminder for when the sealer has cured.
pub const CURED: &str = "Sealer has cured: go on with the bolts";

/// The bolt of a finished hole: its name or its length, and what to do if no stock length fits; or
/// why there is none.
pub fn bolt_lines(plan: &BoltPlan, unit: Unit) -> Vec<String> {
    let assessment = plan.assessment();
    let Some(bolt) = assessment.and_then(|assessment| assessment.bolt.as_ref()) else {
        let why = match (assessment, plan.grip()) {
            (None, _) => "no remedy chosen",
            (Some(_), None) => "grip not measured",
            (Some(_), Some(_)) => "length not known",
        };
        return vec![why.to_owned()];
    };
    let mut name = match (&bolt.name, bolt.most) {
        (Some(name), _) => name.clone(),
        (None, Some(most)) if most >= bolt.least => show_range(bolt.least, most, unit),
        (None, _) => bolt.least.rounded(unit, Rounding::Up),
    };
    if bolt.threaded_to_head {
        name.push_str(", threaded to the head");
    }
    let advice = bolt.advice.map(|advice| in_unit(&advice.to_string(), unit));
    std::iter::once(name).chain(advice).collect()
}

/// How much thread the bolt engages.
pub fn engaged(assessment: Option<&Assessment>, unit: Unit) -> String {
    let engaged = assessment.and_then(|assessment| assessment.effective_engagement);
    engaged.map_or_else(
        || "unknown".to_owned(),
        |engaged| engaged.rounded(unit, Rounding::Down),
    )
}

/// What fails first, and at which load.
pub fn failure(load: Option<&FailureLoad>, unit: Unit) -> String {
    load.map_or_else(
        || "unknown".to_owned(),
        |load| format!("{}, {}", load.failure_mode, show_load(load.load_n, unit)),
    )
}

/// What a pass aims for.
pub fn pass_aim(joint: &JointPlan, pass: BoltPass, unit: Unit) -> String {
    match joint.full {
        Some((full_nm, _)) => show_torque(full_nm * pass.share(), unit),
        None => format!("{:.0}% of the manual's torque", pass.share() * 100.0),
    }
}

/// The full torque of a joint with what sets it, or why there is none.
pub fn full_torque(joint: &JointPlan, unit: Unit) -> String {
    match joint.full {
        Some((full_nm, hole)) => format!(
            "Full torque for all bolts: {}, set by hole {hole}, which takes the least. Take it from the machine's manual if \
             that gives less.",
            show_torque(full_nm, unit)
        ),
        None => "No torque can be given: the remedy, the bolt's grade, or the metal is not known at every hole. Use the machine's manual."
            .to_owned(),
    }
}

/// The weakest part of a joint with its numbers; `None` if none is known.
pub fn weakest(joint: &JointPlan, unit: Unit) -> Option<String> {
    let (bolt, load) = joint.weakest()?;
    let floor = load.floor_n.map_or(String::new(), |floor| {
        format!(" (could be as low as {})", show_load(floor, unit))
    });
    Some(format!(
        "Weakest part: hole {}, {} at {}{floor}.",
        bolt.hole.number,
        load.failure_mode,
        show_load(load.load_n, unit)
    ))
}

/// The torque recorded in a pass, with how the bolt was lubricated if that is recorded: `12 ft-lb,
/// machine oil`.
pub fn tightened_to(done: &PassDone, unit: Unit) -> String {
    let torque = done.torque_nm.map(|torque| show_torque(torque, unit));
    let torque = torque.unwrap_or_else(|| "torque not measured".to_owned());
    match done.lubrication {
        Some(lubrication) => format!("{torque}, {}", lubrication.name()),
        None => torque,
    }
}

/// What to know of the bolts as they are recorded: that they were not lubricated alike, or not as the
/// torque here supposes; and torques outside their range. Empty if there is nothing to say.
pub fn tightening_warnings(joint: &JointPlan, unit: Unit) -> Vec<String> {
    let out_of_range = joint.torques_out_of_range();
    let outside = out_of_range.iter().map(|it| outside_range(it, unit));
    lubricated(joint).into_iter().chain(outside).collect()
}

fn lubricated(joint: &JointPlan) -> Option<String> {
    match &joint.up.by_lubrication()[..] {
        [] => None,
        [only] if only.lubrication == joint.lubrication => None,
        [only] => Some(format!(
            "The bolts tightened so far are recorded with this lubrication: {}. The torque here is for {}.",
            only.lubrication.name(),
            joint.lubrication.name()
        )),
        several => {
            let several = several.iter().map(|it| {
                let numbers: Vec<String> = it.holes.iter().map(u32::to_string).collect();
                let holes = if numbers.len() == 1 { "hole" } else { "holes" };
                let listed = format!("{}: {holes} {}", it.lubrication.name(), numbers.join(", "));
                sentence(&listed)
            });
            Some(format!(
                "The bolts of this joint were lubricated differently. {} The same torque does not clamp them alike.",
                several.collect::<Vec<_>>().join(" ")
            ))
        }
    }
}

fn outside_range(it: &TorqueOutOfRange, unit: Unit) -> String {
    let outside = it.outside.iter().map(|bolt| {
        format!(
            "hole {} at {}",
            bolt.hole,
            show_torque(bolt.nm_torque, unit)
        )
    });
    format!(
        "Outside the range ({}, {}: {}): {}.",
        it.pass.label(),
        it.lubrication.name(),
        show_torque_range(it.least_nm_torque, it.most_nm_torque, unit),
        outside.collect::<Vec<_>>().join(", ")
    )
}
