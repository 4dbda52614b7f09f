//! Finished joint of a remedy: which part fails first, and which bolt length fits.

use super::bolt_engagement::POINT_PITCHES;
use super::candidate::Candidate;
use super::check::{Check, MissingReading, Weight};
use super::depth::DepthPlan;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::{Family, Insert};
use crate::length::Length;
use crate::strength::bolt::{BoltLength, BoltSeat, TipRoom, bolt_length, length_limits};
use crate::strength::{Comparison, FailureMode, Joint, ParentThread, compare};
use serde::Serialize;

const IN_HAND_REACHES: &str =
    "grip, engaged thread and point; take a longer bolt (common practice, no source)";
const IN_HAND_BOTTOMS: &str = "its tip must stay clear of the end of the cut; take a shorter bolt or a thicker washer (judgment)";
const IN_HAND_SHANK: &str = "a plain shank that meets the thread jams; take a bolt threaded farther (common practice, no source)";

/// Pitches that a bolt extends beyond the last coil of a wire thread insert (insert design note,
/// secondary source).
const PITCHES_BEYOND_COILS: f64 = 2.0;

/// Depths below the finished face between which the tip of a bolt must end.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct BoltTip {
    /// Least depth, so that the thread is engaged.
    #[serde(rename = "least_mm")]
    pub least: Length,
    /// Largest depth, so that the tip stays clear of the end of the cut and of everything in the
    /// hole; `None`: no limit, as in a through hole, or not known.
    #[serde(rename = "most_mm")]
    pub most: Option<Length>,
}

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

/// Returns where a bolt sits in the finished joint, without its grip; `None` for a stud, which is
/// made to measure, and where a broken piece must come out first, which changes the hole.
pub(super) fn bolt_seat(
    situation: &Situation,
    candidate: &Candidate,
    plan: Option<&DepthPlan>,
    blocked: bool,
) -> Option<BoltSeat> {
    if blocked || candidate.remedy == Remedy::SteppedStud {
        return None;
    }
    let (starts, engaged_to, beyond_pitches) = match &candidate.insert {
        Some(insert) => (
            insert.set_below_min,
            insert.set_below_max + insert.length,
            pitches_beyond(insert),
        ),
        None if candidate.remedy == Remedy::ThreadedPlug => (
            Length::ZERO,
            engaged_in_plug(situation, candidate),
            POINT_PITCHES,
        ),
        None => (candidate.engaged.0, candidate.engaged.1, POINT_PITCHES),
    };
    Some(BoltSeat {
        bolt: candidate.bolt,
        grip: Length::ZERO,
        starts,
        engaged_to,
        beyond_pitches,
        room: tip_room(situation, candidate, plan),
        clear_pitches: situation.limits().tip_clear_pitches,
    })
}

/// Returns the pitches that a bolt's tip must reach beyond an insert.
fn pitches_beyond(insert: &Insert) -> f64 {
    match insert.family {
        Family::WireThread => PITCHES_BEYOND_COILS,
        _ => POINT_PITCHES,
    }
}

/// Returns how deep a hole must be drilled so that a bolt engages all of an insert and stays clear
/// of the end.
pub(super) fn drilled_for_bolt(situation: &Situation, insert: &Insert) -> Length {
    let pitches = |count: f64| Length::from_computed_mm(count * insert.internal.pitch_mm());
    let tip = insert.set_below_max + insert.length + pitches(pitches_beyond(insert));
    tip + pitches(situation.limits().tip_clear_pitches)
}

/// Returns how much deeper a hole is cut than a bolt that is cut to length needs, where nothing
/// forbids it.
pub(super) fn play_of_cut_bolt(situation: &Situation) -> Length {
    Length::from_computed_mm(situation.limits().cut_to_length_mm)
}

/// Returns the depths between which the tip of a bolt must end.
pub(super) fn bolt_tip(seat: &BoltSeat) -> BoltTip {
    // The seat has no grip, so lengths are depths.
    let (least, most) = length_limits(seat);
    BoltTip { least, most }
}

/// Returns the bolt length that fits; `None` if the grip is unknown.
pub(super) fn bolt_reach(situation: &Situation, seat: &BoltSeat) -> Option<BoltLength> {
    let grip = situation.grip?;
    Some(bolt_length(&BoltSeat { grip, ..*seat }))
}

/// Returns how deep below the finished face the hole is cut for the bolt: to the end of the cut of
/// this plan that the bolt runs in, or to what lies in it above that.
///
/// Past an insert the bolt runs in the drilled hole, in the parent metal in the tapped one. The old
/// hole below the new cuts is no room, since it holds what is left of the old thread.
fn tip_room(situation: &Situation, candidate: &Candidate, plan: Option<&DepthPlan>) -> TipRoom {
    if let Some(plug) = candidate.plug_length {
        return TipRoom::To(plug);
    }
    let obstacle = nearest_obstacle(situation, candidate, plan);
    if situation.blind() == Some(false) {
        return obstacle.map_or(TipRoom::Open, TipRoom::To);
    }
    let cut = match (plan, &candidate.insert) {
        (Some(plan), Some(_)) => Some(plan.depths.drill_after_cut),
        (Some(plan), None) => Some(plan.depths.full_thread_after_cut),
        (None, _) => situation
            .old_full_thread()
            .filter(|_| situation.face_cut.is_some())
            .map(|depth| below_finished_face(situation, depth)),
    };
    let room = [cut, obstacle].into_iter().flatten().min();
    room.filter(|_| cut.is_some())
        .map_or(TipRoom::NotKnown, TipRoom::To)
}

/// Returns the depth below the finished face of what a bolt must not run into: a broken piece that
/// stays, hard metal below what is cut, or the far side of the floor.
fn nearest_obstacle(
    situation: &Situation,
    candidate: &Candidate,
    plan: Option<&DepthPlan>,
) -> Option<Length> {
    let damage = &situation.damage;
    let cut = situation.face_cut_or_zero();
    let piece = damage.broken_tool.as_ref().and_then(|piece| piece.top);
    let cut_ends = plan.map_or(candidate.engaged.1, |plan| plan.depths.drill_after_cut);
    let zones = damage.hard.iter().map(|zone| zone.reach().from);
    let hard = zones.filter(|from| *from >= cut_ends + cut).min();
    let far_side = situation
        .bottom()
        .zip(situation.floor)
        .map(|(bottom, floor)| bottom + floor);
    let nearest = [piece, hard, far_side].into_iter().flatten().min()?;
    Some(below_finished_face(situation, nearest))
}

fn below_finished_face(situation: &Situation, depth: Length) -> Length {
    (depth - situation.face_cut_or_zero()).clamp_at_zero()
}

/// Appends the checks of the bolt in hand against the lengths that fit, for a remedy that takes
/// it.
pub(super) fn bolt_in_hand_checks(
    situation: &Situation,
    candidate: &Candidate,
    seat: &BoltSeat,
    checks: &mut Vec<Check>,
) {
    let takes_it = candidate.bolt == situation.thread && candidate.remedy != Remedy::LongerBolt;
    let Some((in_hand, bolt)) = situation
        .bolt_length
        .zip(bolt_reach(situation, seat))
        .filter(|_| takes_it)
    else {
        return;
    };
    let preferred = Weight::Preferred;
    let length = (Some(in_hand), MissingReading::Depth);
    checks.push(Check::least_length(
        "reach of the bolt in hand",
        length,
        bolt.least,
        preferred,
        IN_HAND_REACHES,
    ));
    if let Some(most) = bolt.most {
        let numbers = (in_hand.mm(), most.mm());
        let name = "room for the bolt in hand";
        checks.push(Check::most(name, "mm", numbers, preferred, IN_HAND_BOTTOMS));
    }
    if let Some(thread) = situation.bolt_thread_length {
        let shank = (in_hand - thread).clamp_at_zero();
        let most = bolt.grip + seat.starts;
        let numbers = (shank.mm(), most.mm());
        let name = "plain shank of the bolt in hand";
        checks.push(Check::most(name, "mm", numbers, preferred, IN_HAND_SHANK));
    }
}

#[cfg(test)]
mod tests;
