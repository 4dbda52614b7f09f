//! Depths of a remedy with their checks: the drill point, the floor under it, or the thickness of a
//! through hole.

use super::candidate::{Candidate, TapNeed};
use super::check::{Check, MissingReading, Weight};
use crate::drill::Drill;
use crate::hole::depths::{DepthNeed, Depths};
use crate::hole::limits::Sourced;
use crate::hole::situation::Situation;
use crate::insert::TapChamfer;
use crate::length::Length;

/// Length of a 118 degree drill point over its diameter: half the cotangent of half the angle.
pub const POINT_LENGTH_PER_DIAMETER: f64 = 0.300_430_3;

const WITHIN: &str = "no deeper than the old hole, unless the floor under it is measured (overhaul manual, secondary source)";
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

/// Plans the depths; `None` if nothing is cut.
///
/// Of the depths that the remedy may be cut to, takes the first that passes all checks; where none
/// does, the one that fails the fewest, and of equals that fail a required check the shallowest.
pub(super) fn plan_depths(situation: &Situation, candidate: &Candidate) -> Option<DepthPlan> {
    let drill = candidate.drill.as_ref()?;
    let mut best: Option<DepthPlan> = None;
    for option in &candidate.needs {
        let plan = plan_with_tap(situation, candidate, option, drill);
        let better = best.as_ref().is_none_or(|best| {
            let (failures, fewest) = (plan.failures(), best.failures());
            failures < fewest || (failures.0 > 0 && failures == fewest)
        });
        if better {
            best = Some(plan);
        }
        if best.as_ref().is_some_and(|best| best.failures() == (0, 0)) {
            break;
        }
    }
    best
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
    candidate: &Candidate,
    TapNeed { tap, need }: &TapNeed,
    drill: &Drill,
) -> DepthPlan {
    let through = situation.blind() == Some(false);
    let depths = Depths::of(
        need,
        situation.face_cut,
        situation.bottom().filter(|_| through),
    );
    let mut checks = if through {
        vec![thickness_check(situation, need)]
    } else {
        blind_checks(situation, candidate, need, drill)
    };
    if situation.face_cut.is_none() {
        checks = checks
            .into_iter()
            .map(|check| check.waiting_for(MissingReading::FaceCut))
            .collect();
    }
    DepthPlan {
        depths,
        tap: *tap,
        checks,
    }
}

fn thickness_check(situation: &Situation, need: &DepthNeed) -> Check {
    let left = situation
        .bottom()
        .map(|depth| (depth - situation.face_cut_or_zero()).clamp_at_zero());
    Check::least_length(
        "thickness after the face cut",
        (left, MissingReading::Depth),
        need.full_thread,
        Weight::Must,
        THICKNESS,
    )
}

/// Returns the checks of the metal under the drill's point.
///
/// Every cut thins it, also one whose point stays within the old hole's depth: it is wider than the
/// old hole, or off its axis.
fn blind_checks(
    situation: &Situation,
    candidate: &Candidate,
    need: &DepthNeed,
    drill: &Drill,
) -> Vec<Check> {
    let tip = need.drill + situation.face_cut_or_zero() + point_length(drill);
    let bottom = situation.bottom();
    let within = Check::least_length(
        "old hole depth",
        (bottom, MissingReading::Depth),
        tip,
        Weight::Preferred,
        WITHIN,
    );
    let deeper = within.passes != Some(true);
    let left = bottom
        .zip(situation.floor)
        .map(|(bottom, floor)| bottom + floor - tip);
    let thin = thinnest_floor(situation, candidate);
    let half = situation
        .limits()
        .floor_drill_diameters()
        .times(drill.diameter.mm());
    if deeper {
        let needs = thin.or_larger(half);
        return vec![within, floor_check(situation, left, &needs)];
    }
    let Some(left) = left else {
        // Without the floor, the metal down to the old bottom is what is certain.
        let certain = bottom.map(|bottom| bottom - tip);
        let enough = certain.filter(|certain| *certain >= thin.length());
        let on_axis = !off_axis(situation);
        return vec![
            within,
            floor_check(situation, enough.filter(|_| on_axis), &thin),
        ];
    };
    let preferred = Check::least_length(
        "floor under the drill point, preferred",
        (Some(left), MissingReading::Floor),
        half.length(),
        Weight::Preferred,
        half.from,
    );
    vec![within, floor_check(situation, Some(left), &thin), preferred]
}

/// Returns the least metal under a point; more with pressure behind it.
fn thinnest_floor(situation: &Situation, candidate: &Candidate) -> Sourced {
    let limits = situation.limits();
    let pitches = limits.floor_pitches().times(candidate.pitch_mm);
    with_pressure(situation, limits.floor_mm().or_larger(pitches))
}

/// Returns a limit of a wall or floor, raised where there is pressure behind it.
pub(super) fn with_pressure(situation: &Situation, limit: Sourced) -> Sourced {
    if !situation.pressure {
        return limit;
    }
    let factor = situation.limits().pressure_factor();
    Sourced {
        value: limit.value * factor.value,
        from: format!(
            "{}; {} times as much, since {}",
            limit.from, factor.value, factor.from
        )
        .into(),
    }
}

fn floor_check(situation: &Situation, left: Option<Length>, needs: &Sourced) -> Check {
    let missing = match (situation.bottom(), situation.blind()) {
        (None, _) => MissingReading::Depth,
        (_, None) => MissingReading::Through,
        _ => MissingReading::Floor,
    };
    Check::least_length(
        "floor under the drill point",
        (left, missing),
        needs.length(),
        Weight::Must,
        needs.from.clone(),
    )
}

/// Returns whether the old hole leans, or lies off the intended center over most of its depth.
fn off_axis(situation: &Situation) -> bool {
    let deep = situation.bottom().unwrap_or_default();
    let mut stations = situation.damage.stations.iter();
    situation.damage.lean.is_some()
        || stations
            .any(|station| station.off_center().is_positive() && station.span.length() * 2 > deep)
}
