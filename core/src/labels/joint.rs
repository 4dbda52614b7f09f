//! What is said of a joint and its bolts.

use crate::hole::bolt_up::BoltPass;
use crate::hole::remedies::Assessment;
use crate::length::{Rounding, Unit, in_unit, show_range};
use crate::notebook::{BoltPlan, JointPlan};
use crate::strength::{FailureLoad, show_load, show_torque};

/// What the bolt lengths count on.
pub const GRIP_NOTE: &str = "The grip of each bolt is part, gasket, and washer as they were measured. Fit the same washers; a \
    washer more or less changes the length and the engagement.";
/// What to do about sealer.
pub const SEALER: &str = "Sealer: put it on just before the first pass, and go on only when its maker says so. Threads that open \
    into a passage need it too.";
/// What the table of a bolt-up sheet lists, and how to use it.
pub const TABLE_NOTE: &str = "In the order of tightening. Tick each bolt in each pass; finish a pass before the next. A box with a \
    torque is recorded already.";
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
