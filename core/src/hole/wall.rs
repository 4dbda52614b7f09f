//! What the damage leaves of a thread that is cut into the wall.
//!
//! At each angle the metal starts at the drilled radius, or where the ray from the intended centre leaves the damage,
//! whichever is farther out, and ends at the thread's major radius. What counts is the mean of that height round the
//! circumference, as a part of the whole flank height. This is a judgement on the safe side: a thread's strength in shear falls
//! later than its flank height.
//!
//! A circle that does not hold the intended centre is entered and left by the rays that meet it. Metal on the near side of it is an
//! island without a wall behind it, and counts as none. Where the ray enters only beyond the major radius,
//! the thread itself is whole; the wall behind it is then a matter for the check of the wall.
//!
//! The mean distance to a circle off the centre is an elliptic integral; between the angles at which circles meet
//! each other or the ring, it is taken in closed form, so no step width has to be chosen.

//!
//! Over depth the circles are the same, or change evenly. Where they change, [`profile`] integrates.
//!
//! The drilled radius is that of the drill's name. Drills cut over it, but that is not taken off here: the shear area of thread in
//! the iron (FED-STD-H28/2B (2a)) hangs on the bolt's major and the hole's pitch diameter and not on how wide the hole was drilled,
//! and the areas published for inserts hold for the widest hole allowed. Against a wider hole the same damage would even come out
//! smaller, since the drill had taken more of what is missing. Where the limits of the hole are close, the insert's note says so.

mod profile;
mod slice;
mod track;
mod void;

pub use self::slice::{Slice, slices};

use self::track::Track;
use self::void::{Ring, Void, bends, farthest};
use super::damage::{Damage, Span};
use crate::length::Length;
use std::f64::consts::PI;

/// The part of the flank height, averaged round the circumference, that the damage leaves at that depth to a thread of diameter
/// `major` in a hole drilled to the diameter `drilled`: 0 to 1. Where the drill takes all of the thread, 0.
pub fn thread_left(damage: &Damage, drilled: Length, major: Length, depth: Length) -> f64 {
    let Some(ring) = Ring::new(drilled, major) else {
        return 0.0;
    };
    left(voids_at(damage, depth), ring)
}

/// The same by angle, every two degrees counter-clockwise from the picture's right, for a drawing.
pub fn thread_left_by_angle(
    damage: &Damage,
    drilled: Length,
    major: Length,
    depth: Length,
) -> Vec<(f64, f64)> {
    (0..180)
        .map(|step| f64::from(step) * 2.0)
        .map(|deg| {
            let start = metal_from(damage, drilled, major, depth, deg);
            let height = (major - drilled).mm() / 2.0;
            let fraction = if height > 0.0 {
                (major.mm() / 2.0 - start.mm()) / height
            } else {
                0.0
            };
            (deg, fraction.clamp(0.0, 1.0))
        })
        .collect()
}

/// How far from the intended centre the metal of the thread starts at one angle (degrees counter-clockwise from the
/// picture's right): the drilled radius, the far side of the damage, or at most the thread's major radius.
pub fn metal_from(
    damage: &Damage,
    drilled: Length,
    major: Length,
    depth: Length,
    direction_deg: f64,
) -> Length {
    let Some(ring) = Ring::new(drilled, major) else {
        return major / 2;
    };
    let voids = voids_at(damage, depth);
    let reach = farthest(&voids, direction_deg.to_radians(), ring).map_or(0.0, |(_, reach)| reach);
    Length::computed_mm(reach.clamp(ring.drilled_mm, ring.major_mm))
}

/// The length of whole thread that comes to the same as what the damage leaves over the engaged span: the integral
/// of [`thread_left`] over its depth, hard zones counted as none.
pub fn effective_engagement(
    damage: &Damage,
    drilled: Length,
    major: Length,
    engaged: Span,
) -> Length {
    engagement_of(&slices(damage, drilled, major, engaged), engaged)
}

/// The part of [`effective_engagement`] that slices worked out before give within a span.
pub(super) fn engagement_of(slices: &[Slice], engaged: Span) -> Length {
    let whole_mm = slices
        .iter()
        .filter(|slice| !slice.hard)
        .map(|slice| slice.whole_mm(engaged))
        .sum();
    Length::computed_mm(whole_mm)
}

/// The part of a turn over which the damage leaves nothing at all of a thread of diameter `major` at that depth, 0 to 1. Where circles
/// overlap it may come out too large, never too small.
pub(super) fn bare_share(damage: &Damage, major: Length, depth: Length) -> f64 {
    let voids = voids_at(damage, depth);
    let major_mm = major.mm() / 2.0;
    let bare: f64 = voids.iter().map(|void| void.beyond(major_mm)).sum();
    bare.min(1.0)
}

fn voids_at(damage: &Damage, depth: Length) -> Vec<Void> {
    let here = damage.stations.iter().filter(|s| s.span.holds(depth));
    here.map(|station| Track::of(station).at(depth.mm()))
        .collect()
}

fn left(mut voids: Vec<Void>, ring: Ring) -> f64 {
    if voids.iter().any(|void| void.inner_mm() >= ring.major_mm) {
        return 0.0;
    }
    // What the drill takes anyway need not be looked at.
    voids.retain(|void| void.outer_mm() > ring.drilled_mm);
    let lost_mm = match &voids[..] {
        [] => return 1.0,
        // Alike on both sides, so half the circumference tells, and it does not matter which way it lies.
        [one] => mean_lost_mm(&[one.turned_right()], ring, 0.0, PI),
        several => mean_lost_mm(several, ring, -PI, PI),
    };
    (1.0 - lost_mm / ring.height_mm()).clamp(0.0, 1.0)
}

/// The mean height lost between two angles.
fn mean_lost_mm(voids: &[Void], ring: Ring, start: f64, end: f64) -> f64 {
    let mut bends = bends(voids, ring);
    bends.retain(|angle| start < *angle && *angle < end);
    bends.extend([start, end]);
    bends.sort_unstable_by(f64::total_cmp);
    let lost: f64 = bends
        .windows(2)
        .map(|pair| lost_between(voids, ring, pair[0], pair[1]))
        .sum();
    lost / (end - start)
}

/// The integral of the height lost between two angles with no bend between them: one circle rules there.
fn lost_between(voids: &[Void], ring: Ring, from: f64, to: f64) -> f64 {
    let Some((void, reach)) = farthest(voids, 0.5 * (from + to), ring) else {
        return 0.0;
    };
    if reach <= ring.drilled_mm {
        0.0
    } else if reach >= ring.major_mm {
        ring.height_mm() * (to - from)
    } else {
        void.swept(from, to) - ring.drilled_mm * (to - from)
    }
}

#[cfg(test)]
mod tests;
