//! Finished joint of a remedy: which part fails first, and which bolt length fits.

use super::candidate::Candidate;
use super::depth::DepthPlan;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::Family;
use crate::length::Length;
use crate::strength::bolt::{BoltLength, BoltSeat, TipRoom, bolt_length};
use crate::strength::{Comparison, FailureMode, Joint, ParentThread, compare};

/// Pitches that a bolt extends beyond the last coil of a wire thread insert (insert design note,
/// secondary source).
const PITCHES_BEYOND_COILS: f64 = 2.0;
/// Pitches at a bolt's point without full thread (judgment).
const POINT_PITCHES: f64 = 1.0;

/// Compares the loads of bolt, bolt thread and parent thread.
pub(super) fn compare_joint(
    situation: &Situation,
    candidate: &Candidate,
    effective: Option<Length>,
) -> Comparison {
    let (from, to) = candidate.engaged;
    let whole_mm = (to - from).mm();
    let parent = effective.map(|engaged| ParentThread {
        area_mm2_per_mm: candidate.area_mm2_per_mm,
        engaged,
        // Published for the whole length in a sound wall, so it shrinks with the thread left.
        published_mm2: candidate
            .published_area_mm2
            .map(|area| area * engaged.mm() / whole_mm),
    });
    let mut comparison = compare(&Joint {
        bolt: candidate.bolt,
        grade: situation.bolt,
        metal: situation.metal,
        basis: situation.shear_basis(),
        bolt_engaged: bolt_engaged(situation, candidate),
        straight: candidate.insert.is_none()
            && !matches!(candidate.remedy, Remedy::ThreadedPlug | Remedy::SteppedStud),
        parent,
    });
    if let Some(part) = unjudged_part(candidate) {
        comparison.missing.push(part.to_owned());
        comparison.weakest = None;
    }
    if candidate.remedy == Remedy::SteppedStud {
        // The stud's thread of the wanted size is in the nut, not in the casting.
        comparison
            .loads
            .retain(|load| load.failure_mode != FailureMode::BoltThread);
    }
    comparison
}

/// Returns a part of the joint that may fail first and has no figure, so that no weakest part can
/// be named.
fn unjudged_part(candidate: &Candidate) -> Option<&'static str> {
    let family = candidate.insert.as_ref().map(|insert| insert.family);
    match (candidate.remedy, family) {
        (Remedy::ThreadedPlug, _) => {
            Some("strength of the wanted thread in the plug: the plug's material is unknown")
        }
        (Remedy::SteppedStud, _) => Some("strength of the nut on the stud"),
        (_, Some(Family::Bushing)) => {
            Some("strength of the wanted thread in the bushing: the bushing's material is unknown")
        }
        _ => None,
    }
}

/// Returns the engaged length of the bolt's own thread: in an insert its length, less the most by
/// which a wire thread insert is shorter.
fn bolt_engaged(situation: &Situation, candidate: &Candidate) -> Length {
    match (&candidate.insert, candidate.remedy) {
        (Some(insert), _) if insert.family == Family::WireThread => {
            insert.length - Length::from_computed_mm(0.75 * insert.internal.pitch_mm())
        }
        (Some(insert), _) => insert.length,
        (None, Remedy::ThreadedPlug) => engaged_in_plug(situation, candidate),
        (None, _) => candidate.engaged.1 - candidate.engaged.0,
    }
}

/// Returns the engaged length of the bolt in a plug: 1.5 diameters of the wanted thread, or what a
/// shorter plug has after half a diameter for the tap's chamfer.
fn engaged_in_plug(situation: &Situation, candidate: &Candidate) -> Length {
    let nominal = situation.thread.nominal();
    let full = nominal * 3 / 2;
    let there = candidate
        .plug_length
        .map(|long| (long - nominal / 2).clamp_at_zero());
    there.map_or(full, |there| there.min(full))
}

/// Returns the bolt length that fits; `None` if the grip is unknown and for a stud, which is
/// made to measure.
pub(super) fn bolt_reach(
    situation: &Situation,
    candidate: &Candidate,
    plan: Option<&DepthPlan>,
) -> Option<BoltLength> {
    if candidate.remedy == Remedy::SteppedStud {
        return None;
    }
    let (starts, engaged_to, beyond_pitches) = match &candidate.insert {
        Some(insert) => {
            let beyond = if insert.family == Family::WireThread {
                PITCHES_BEYOND_COILS
            } else {
                POINT_PITCHES
            };
            (
                insert.set_below_min,
                insert.set_below_max + insert.length,
                beyond,
            )
        }
        None if candidate.remedy == Remedy::ThreadedPlug => (
            Length::ZERO,
            engaged_in_plug(situation, candidate),
            POINT_PITCHES,
        ),
        None => (candidate.engaged.0, candidate.engaged.1, POINT_PITCHES),
    };
    Some(bolt_length(&BoltSeat {
        bolt: candidate.bolt,
        grip: situation.grip?,
        starts,
        engaged_to,
        beyond_pitches,
        room: tip_room(situation, candidate, plan),
    }))
}

/// Returns how deep below the finished face the bolt's tip may go.
///
/// Past an insert it may go to the full diameter of the drilled hole, which is wider than the bolt;
/// in the parent metal to the end of full thread.
fn tip_room(situation: &Situation, candidate: &Candidate, plan: Option<&DepthPlan>) -> TipRoom {
    if candidate.remedy == Remedy::ThreadedPlug {
        return TipRoom::To(situation.thread.nominal() * 2);
    }
    if situation.blind() == Some(false) {
        return TipRoom::Open;
    }
    let old_hole = situation
        .depth
        .filter(|_| situation.face_cut.is_some())
        .map(|depth| (depth - situation.face_cut_or_zero()).clamp_at_zero());
    let full_thread = old_hole.map(|depth| full_thread_depth(depth, candidate));
    match (plan, &candidate.insert) {
        (Some(plan), Some(_)) => {
            let drilled = plan.depths.drill_after_cut;
            TipRoom::To(old_hole.map_or(drilled, |depth| depth.max(drilled)))
        }
        // A hole deeper than planned can be tapped deeper too.
        (Some(plan), None) => {
            let planned = plan.depths.full_thread_after_cut;
            TipRoom::To(full_thread.map_or(planned, |depth| depth.max(planned)))
        }
        (None, _) => full_thread.map_or(TipRoom::NotKnown, TipRoom::To),
    }
}

/// Returns the depth of full thread in a blind hole: all but the last five pitches, which a plug
/// tap leaves unfinished.
fn full_thread_depth(depth: Length, candidate: &Candidate) -> Length {
    (depth - Length::from_computed_mm(5.0 * candidate.pitch_mm)).clamp_at_zero()
}

#[cfg(test)]
mod tests;
