//! Depths of a remedy with their checks: the drill point, the floor under it, or the thickness of a
//! through hole.

use super::candidate::DepthNeeds;
use super::check::{Check, MissingReading, Weight};
use crate::drill::Drill;
use crate::hole::depths::{DepthNeed, Depths};
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::length::Length;

/// Length of a 118 degree drill point over its diameter: half the cotangent of half the angle.
pub const POINT_LENGTH_PER_DIAMETER: f64 = 0.300_430_3;

const WITHIN: &str = "no deeper than the old hole, unless the floor under it is measured (overhaul manual, secondary source)";
const FLOOR: &str = "half the drill's diameter under the point, in brittle iron (judgment)";
const THICKNESS: &str = "the insert or thread must end inside the metal, below the finished face";

/// Returns the length of a drill's point, taken as 118 degrees like most.
pub fn point_length(drill: &Drill) -> Length {
    Length::from_computed_mm(drill.diameter.mm() * POINT_LENGTH_PER_DIAMETER)
}

/// Depths of a remedy, the tap that they are calculated for, and their checks.
pub(super) struct DepthPlan {
    pub depths: Depths,
    pub tap: TapChamfer,
    pub checks: Vec<Check>,
}

/// Plans the depths for a plug tap.
///
/// Where that goes too deep, plans for a bottoming tap after it, if that fails fewer checks, or as
/// many while a required one fails, because it then goes less deep.
pub(super) fn plan_depths(situation: &Situation, needs: &DepthNeeds, drill: &Drill) -> DepthPlan {
    let plug = plan_with_tap(situation, &needs.plug_tap, drill, TapChamfer::Plug);
    if plug.failures() == (0, 0) {
        return plug;
    }
    let bottoming = plan_with_tap(
        situation,
        &needs.bottoming_tap,
        drill,
        TapChamfer::Bottoming,
    );
    let (must, _) = plug.failures();
    if bottoming.failures() < plug.failures()
        || (must > 0 && bottoming.failures() == plug.failures())
    {
        bottoming
    } else {
        plug
    }
}

impl DepthPlan {
    /// Returns the number of failed checks, required and preferred.
    fn failures(&self) -> (usize, usize) {
        let failed = |weight| {
            self.checks
                .iter()
                .filter(|c| c.weight == weight && c.passes == Some(false))
                .count()
        };
        (failed(Weight::Must), failed(Weight::Preferred))
    }
}

fn plan_with_tap(
    situation: &Situation,
    need: &DepthNeed,
    drill: &Drill,
    tap: TapChamfer,
) -> DepthPlan {
    let through = situation.blind() == Some(false);
    let depths = Depths::of(
        need,
        situation.face_cut,
        situation.depth.filter(|_| through),
    );
    let mut checks = if through {
        vec![thickness_check(situation, need)]
    } else {
        blind_checks(situation, need, drill)
    };
    if situation.face_cut.is_none() {
        checks = checks
            .into_iter()
            .map(|check| check.waiting_for(MissingReading::FaceCut))
            .collect();
    }
    DepthPlan {
        depths,
        tap,
        checks,
    }
}

fn thickness_check(situation: &Situation, need: &DepthNeed) -> Check {
    let left = situation
        .depth
        .map(|depth| (depth - situation.face_cut_or_zero()).clamp_at_zero());
    Check::least_length(
        "thickness after the face cut",
        (left, MissingReading::Depth),
        need.full_thread,
        Weight::Must,
        THICKNESS,
    )
}

fn blind_checks(situation: &Situation, need: &DepthNeed, drill: &Drill) -> Vec<Check> {
    let tip = need.drill + situation.face_cut_or_zero() + point_length(drill);
    let old_depth = (situation.depth, MissingReading::Depth);
    let within = Check::least_length("old hole depth", old_depth, tip, Weight::Preferred, WITHIN);
    if within.passes == Some(true) {
        return vec![within];
    }
    let left = situation
        .depth
        .zip(situation.floor)
        .map(|(depth, floor)| depth + floor - tip);
    let missing = if situation.depth.is_none() {
        MissingReading::Depth
    } else {
        MissingReading::Floor
    };
    let mut floor = Check::least_length(
        "floor under the drill point",
        (left, missing),
        drill.diameter / 2,
        Weight::Must,
        FLOOR,
    );
    if situation.blind().is_none() {
        floor = floor.waiting_for(if situation.depth.is_none() {
            MissingReading::Depth
        } else {
            MissingReading::Through
        });
    }
    vec![within, floor]
}
