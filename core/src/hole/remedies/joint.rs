//! The finished joint of a remedy: which part of it fails first, and which length of bolt it takes.

use super::candidate::Candidate;
use super::depth::Downwards;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::Family;
use crate::length::Length;
use crate::strength::bolt::{Reach, Room, Seat, reach};
use crate::strength::{Comparison, Joint, ParentThread, Part, compare};

/// A bolt stands two pitches beyond the last coil of a wire thread insert (insert design note, secondary source). In other threads its point,
/// which carries no full thread, is taken as one pitch (judgement).
const BEYOND_COILS: f64 = 2.0;
const POINT: f64 = 1.0;

/// Compares bolt, bolt thread and parent thread.
pub(super) fn fails(
    situation: &Situation,
    way: &Candidate,
    effective: Option<Length>,
) -> Comparison {
    let (from, to) = way.engaged;
    let whole_mm = (to - from).mm();
    let parent = effective.map(|engaged| ParentThread {
        area_mm2_per_mm: way.area_mm2_per_mm,
        engaged,
        // It belongs to the whole length in a whole wall, and shrinks with what the damage takes.
        published_mm2: way
            .published_area_mm2
            .map(|area| area * engaged.mm() / whole_mm),
    });
    let mut found = compare(&Joint {
        bolt: way.bolt,
        grade: situation.bolt,
        metal: situation.metal,
        bolt_engaged: bolt_engaged(situation, way),
        straight: way.insert.is_none()
            && !matches!(way.remedy, Remedy::ThreadedPlug | Remedy::SteppedStud),
        parent,
    });
    if let Some(lack) = unjudged(way) {
        found.lacks.push(lack.to_owned());
        found.weakest = None;
    }
    if way.remedy == Remedy::SteppedStud {
        // The thread of the wanted size holds a nut, and not the casting.
        found.loads.retain(|load| load.part != Part::BoltThread);
    }
    found
}

/// What else may fail first, and has no figure here: so nothing is named as the weakest.
fn unjudged(way: &Candidate) -> Option<&'static str> {
    let family = way.insert.as_ref().map(|insert| insert.family);
    match (way.remedy, family) {
        (Remedy::ThreadedPlug, _) => {
            Some("what the wanted thread in the plug holds: nobody said what the plug is made of")
        }
        (Remedy::SteppedStud, _) => Some("what the nut on the stud holds"),
        (_, Some(Family::Bushing)) => Some(
            "what the wanted thread in the bushing holds: nobody said what the bushing is made of",
        ),
        _ => None,
    }
}

/// How much of the bolt's own thread is engaged: the insert's length, less what a wire thread insert is short of it at the most.
fn bolt_engaged(situation: &Situation, way: &Candidate) -> Length {
    match (&way.insert, way.remedy) {
        (Some(insert), _) if insert.family == Family::WireThread => {
            insert.length - Length::computed_mm(0.75 * insert.internal.pitch_mm())
        }
        (Some(insert), _) => insert.length,
        (None, Remedy::ThreadedPlug) => in_plug(situation),
        (None, _) => way.engaged.1 - way.engaged.0,
    }
}

/// A plug is cut for 1.5 diameters of the wanted thread.
fn in_plug(situation: &Situation) -> Length {
    situation.thread.nominal() * 3 / 2
}

/// Which bolt reaches; none where nobody said how thick the part is that it holds, and for a stud, which is made to measure.
pub(super) fn bolt(
    situation: &Situation,
    way: &Candidate,
    down: Option<&Downwards>,
) -> Option<Reach> {
    if way.remedy == Remedy::SteppedStud {
        return None;
    }
    let (starts, engaged_to, beyond_pitches) = match &way.insert {
        Some(insert) => {
            let beyond = if insert.family == Family::WireThread {
                BEYOND_COILS
            } else {
                POINT
            };
            (
                insert.set_below_min,
                insert.set_below_max + insert.length,
                beyond,
            )
        }
        None if way.remedy == Remedy::ThreadedPlug => (Length::ZERO, in_plug(situation), POINT),
        None => (way.engaged.0, way.engaged.1, POINT),
    };
    Some(reach(&Seat {
        bolt: way.bolt,
        grip: situation.grip?,
        starts,
        engaged_to,
        beyond_pitches,
        room: room(situation, way, down),
    }))
}

/// How deep below the finished face the tip may go: past an insert to the full diameter of its drilled hole, which is wider than the bolt;
/// straight in the metal to the end of full thread.
fn room(situation: &Situation, way: &Candidate, down: Option<&Downwards>) -> Room {
    if way.remedy == Remedy::ThreadedPlug {
        return Room::To(situation.thread.nominal() * 2);
    }
    if situation.blind() == Some(false) {
        return Room::Open;
    }
    let there = situation
        .depth
        .filter(|_| situation.face_cut.is_some())
        .map(|depth| (depth - situation.cut_or_none()).or_zero());
    match (down, &way.insert) {
        (Some(down), Some(_)) => {
            let drilled = down.depths.drill_after_cut;
            Room::To(there.map_or(drilled, |there| there.max(drilled)))
        }
        // A hole that is deeper than the plan asks can be tapped deeper too, all but what the plug tap leaves unfinished.
        (Some(down), None) => {
            let planned = down.depths.full_thread_after_cut;
            Room::To(there.map_or(planned, |there| full_thread(there, way).max(planned)))
        }
        (None, _) => there.map_or(Room::NotKnown, |there| Room::To(full_thread(there, way))),
    }
}

/// All of a blind hole but the last five pitches, which a plug tap leaves unfinished.
fn full_thread(depth: Length, way: &Candidate) -> Length {
    (depth - Length::computed_mm(5.0 * way.pitch_mm)).or_zero()
}

#[cfg(test)]
mod tests;
