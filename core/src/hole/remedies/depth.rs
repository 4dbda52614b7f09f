//! Room downwards: the drill's point, the floor under it, or the thickness of metal that a hole goes through.

use super::candidate::Work;
use super::check::{Check, Lack, Weight};
use crate::drill::Drill;
use crate::hole::budget::{Depths, Need};
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::length::Length;

/// Length of a drill point of 118 degrees over its diameter: half the cotangent of half the angle.
pub const POINT_LENGTH_PER_DIAMETER: f64 = 0.300_430_3;

const WITHIN: &str = "not deeper than the hole that was there, unless the floor under it is measured (overhaul manual, secondary source)";
const FLOOR: &str = "half the drill's diameter under the point, in brittle iron (judgement)";
const THICKNESS: &str = "the insert or thread must lie inside the metal, below the finished face";

/// How long the point of a drill is: 118 degrees, as most are.
pub fn point_length(drill: &Drill) -> Length {
    Length::computed_mm(drill.diameter.mm() * POINT_LENGTH_PER_DIAMETER)
}

/// The depths with the tap that they are reckoned for, and their checks.
pub(super) struct Downwards {
    pub depths: Depths,
    pub tap: TapChamfer,
    pub checks: Vec<Check>,
}

/// Reckons with a plug tap; where that goes too deep, with a bottoming tap after it, if that helps or both fail and it lacks less.
pub(super) fn downwards(situation: &Situation, work: &Work, drill: &Drill) -> Downwards {
    let plug = with_tap(situation, &work.plug_tap, drill, TapChamfer::Plug);
    if plug.failures() == (0, 0) {
        return plug;
    }
    let bottoming = with_tap(situation, &work.bottoming_tap, drill, TapChamfer::Bottoming);
    let (must, _) = plug.failures();
    if bottoming.failures() < plug.failures()
        || (must > 0 && bottoming.failures() == plug.failures())
    {
        bottoming
    } else {
        plug
    }
}

impl Downwards {
    /// Checks that fail, those that must pass first.
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

fn with_tap(situation: &Situation, need: &Need, drill: &Drill, tap: TapChamfer) -> Downwards {
    let through = situation.blind() == Some(false);
    let depths = Depths::of(
        need,
        situation.face_cut,
        situation.depth.filter(|_| through),
    );
    let mut checks = if through {
        vec![thickness(situation, need)]
    } else {
        blind(situation, need, drill)
    };
    if situation.face_cut.is_none() {
        checks = checks
            .into_iter()
            .map(|check| check.waiting_for(Lack::FaceCut))
            .collect();
    }
    Downwards {
        depths,
        tap,
        checks,
    }
}

fn thickness(situation: &Situation, need: &Need) -> Check {
    let left = situation
        .depth
        .map(|depth| (depth - situation.cut_or_none()).or_zero());
    Check::least_length(
        "thickness after the face cut",
        (left, Lack::Depth),
        need.full_thread,
        Weight::Must,
        THICKNESS,
    )
}

fn blind(situation: &Situation, need: &Need, drill: &Drill) -> Vec<Check> {
    let tip = need.drill + situation.cut_or_none() + point_length(drill);
    let old_bottom = (situation.depth, Lack::Depth);
    let within = Check::least_length(
        "within the depth that is there",
        old_bottom,
        tip,
        Weight::Preferred,
        WITHIN,
    );
    if within.passes == Some(true) {
        return vec![within];
    }
    let left = situation
        .depth
        .zip(situation.floor)
        .map(|(depth, floor)| depth + floor - tip);
    let lack = if situation.depth.is_none() {
        Lack::Depth
    } else {
        Lack::Floor
    };
    let mut floor = Check::least_length(
        "floor under the drill point",
        (left, lack),
        drill.diameter / 2,
        Weight::Must,
        FLOOR,
    );
    if situation.blind().is_none() {
        floor = floor.waiting_for(if situation.depth.is_none() {
            Lack::Depth
        } else {
            Lack::Through
        });
    }
    vec![within, floor]
}
