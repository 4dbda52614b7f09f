//! Checks of the thread left: at the worst depth, at the keys, around the wall, and of the old
//! hole's axis.

use super::candidate::Candidate;
use super::check::{Check, Weight};
use super::strength_checks::waiting_for_reading;
use crate::drill::clearance_diameter;
use crate::hole::damage::{Damage, Slice, Span, Station};
use crate::hole::limits::{Limits, Sourced};
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::hole::wall::{engagement_of, unsupported_fraction};
use crate::length::Length;
use crate::strength::sound_engagement;

const FOLLOWS: &str = "a tap and a bolt follow the old hole; half the play of the bolt in a normal-fit clearance hole (ASME B18.2.8, ISO 273)";

/// Appends the check of the thread left at the keys of a key-locking insert.
///
/// The keys are in the upper third of its length; the mean over that third counts. Hard metal,
/// which is relieved first, counts as none.
pub(super) fn key_support(
    situation: &Situation,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    let Some(insert) = candidate.insert.as_ref().filter(|insert| insert.keys > 0) else {
        return;
    };
    let mean = slices
        .zip(slices.and_then(<[Slice]>::first))
        .map(|(slices, first)| {
            let from = first.span.from;
            let upper = Span {
                from,
                to: from + insert.length / 3,
            };
            engagement_of(slices, upper).mm() / upper.length().mm()
        });
    let needs = situation.limits().thread_left_keys();
    let check = Check::least(
        "thread left at the keys",
        "",
        (mean, needs.value),
        Weight::Must,
        needs.from,
    );
    checks.push(waiting_for_reading(situation, check));
}

/// Appends the checks of the thread left at the depth where it is least.
pub(super) fn least_thread(
    situation: &Situation,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    let least = slices.map(|slices| slices.iter().map(least_left).fold(1.0, f64::min));
    let limits = situation.limits();
    let (must, preferred) = match candidate.remedy {
        Remedy::Leave | Remedy::LongerBolt => (Some(limits.thread_left_as_is()), None),
        Remedy::Chase | Remedy::TapDeeper | Remedy::LargerBolt | Remedy::SteppedStud => (
            Some(limits.thread_left_tapped()),
            Some(limits.thread_left_tapped_preferred()),
        ),
        Remedy::WireInsert => (
            Some(limits.thread_left_coils()),
            Some(limits.thread_left_insert_preferred()),
        ),
        _ => (None, Some(limits.thread_left_insert_preferred())),
    };
    let name = [
        "thread left at the worst depth",
        "thread left at the worst depth, preferred",
    ];
    let mut add = |name, needs: Option<Sourced>, weight| {
        if let Some(needs) = needs {
            let check = Check::least(name, "", (least, needs.value), weight, needs.from);
            checks.push(waiting_for_reading(situation, check));
        }
    };
    add(name[0], must, Weight::Must);
    add(name[1], preferred, Weight::Preferred);
}

/// Appends the check of the thread that a bolt which stays does not reach, since the mouth has lost
/// it.
pub(super) fn lost_at_the_mouth(
    situation: &Situation,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    if !matches!(candidate.remedy, Remedy::Leave | Remedy::Chase) || slices.is_none() {
        return;
    }
    let most = situation.limits().mouth_pitches().times(candidate.pitch_mm);
    let lost = (candidate.engaged.0.mm(), most.value);
    let name = "thread lost at the mouth";
    checks.push(Check::most(name, "mm", lost, Weight::Preferred, most.from));
}

/// Appends the check of an old hole that is off center over more than half the depth that a bolt
/// engages in a sound hole.
///
/// A tap that is run through it again does not bring it back. A crater at the mouth does not count.
pub(super) fn off_center_hole(
    situation: &Situation,
    candidate: &Candidate,
    checks: &mut Vec<Check>,
) {
    if !matches!(candidate.remedy, Remedy::Chase | Remedy::TapDeeper) {
        return;
    }
    // The thread of a sound hole, which more damage does not move.
    let cut = situation.face_cut_or_zero();
    let sound = sound_engagement(candidate.bolt.nominal(), situation.metal);
    let engaged = Span {
        from: cut,
        to: cut + sound,
    };
    let stations = situation.damage.stations.iter();
    let off = stations
        .filter(|station| station.span.intersection(engaged).length() * 2 > engaged.length())
        .map(|station| offset_at_face(station, cut))
        .max()
        .filter(|off| off.is_positive());
    let Some(off) = off else {
        return;
    };
    checks.push(off_center_check(candidate, off));
}

fn off_center_check(candidate: &Candidate, off: Length) -> Check {
    let play = clearance_diameter(&candidate.bolt).map_or(MAX_OFFSET_WITHOUT_TABLE, |hole| {
        (hole - candidate.major) / 2
    });
    let numbers = (off.mm(), play.mm());
    Check::most("old hole off center", "mm", numbers, Weight::Must, FOLLOWS)
}

/// Returns the old hole's offset at the finished face; zero if its circle does not contain the
/// intended center.
fn offset_at_face(station: &Station, face: Length) -> Length {
    let circle = station.at(face);
    if circle.contains_center() {
        circle.offset
    } else {
        Length::ZERO
    }
}

/// Appends the checks of an old hole that is not square, for remedies that keep its thread.
///
/// The bolt follows the old axis and bends as its head seats on a face that is not square to it.
pub(super) fn squareness(situation: &Situation, candidate: &Candidate, checks: &mut Vec<Check>) {
    let Some(lean) = situation.damage.lean.as_ref() else {
        return;
    };
    if !candidate.keeps_old_thread() {
        return;
    }
    let tilt_deg = lean.tilt.degrees();
    let names = ["old hole not square", "old hole not square, preferred"];
    let check = |name, most: Sourced, weight| {
        Check::most(name, "deg", (tilt_deg, most.value), weight, most.from)
    };
    let limits = situation.limits();
    checks.push(check(names[0], limits.tilt_deg(), Weight::Must));
    checks.push(check(
        names[1],
        limits.tilt_preferred_deg(),
        Weight::Preferred,
    ));
    let off = lean.offset_at(situation.face_cut_or_zero());
    if off.is_positive() {
        checks.push(off_center_check(candidate, off));
    }
}

/// Largest offset for sizes without a clearance hole in the tables: 0.2 mm (judgment).
const MAX_OFFSET_WITHOUT_TABLE: Length = Length::from_nm(200_000);

/// Appends the checks of the unsupported arc of a wire thread insert.
///
/// Its coils lie against the wall all around, and the mean flank height does not show where there
/// is no wall at all.
pub(super) fn unsupported_arc(
    limits: &Limits,
    damage: &Damage,
    candidate: &Candidate,
    slices: Option<&[Slice]>,
    checks: &mut Vec<Check>,
) {
    if candidate.remedy != Remedy::WireInsert {
        return;
    }
    let depths = slices.into_iter().flatten().flat_map(sample_depths);
    let unsupported = unsupported_fraction(damage, candidate.major, depths);
    if unsupported > 0.0 {
        let name = ["unsupported arc", "unsupported arc, preferred"];
        let check = |name, most: Sourced, weight| {
            Check::most(name, "", (unsupported, most.value), weight, most.from)
        };
        checks.push(check(name[0], limits.unsupported_arc(), Weight::Must));
        let preferred = limits.unsupported_arc_preferred();
        checks.push(check(name[1], preferred, Weight::Preferred));
    }
}

/// Returns the depths at which to examine a slice. Its lower end belongs to the next slice.
fn sample_depths(slice: &Slice) -> Vec<Length> {
    if !slice.varies() {
        return vec![slice.span.from];
    }
    let just_above = slice.span.to - Length::from_nm(1);
    let samples = slice.samples().into_iter();
    samples.map(|(depth, _)| depth.min(just_above)).collect()
}

/// Returns the least fraction of the thread left in a slice; none in hard metal, which is relieved
/// before tapping.
fn least_left(slice: &Slice) -> f64 {
    if slice.hard { 0.0 } else { slice.least() }
}
