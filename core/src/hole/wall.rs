//! Thread left: how much of a thread in the hole's wall the damage leaves.
//!
//! At each angle the metal starts at the drilled radius or where the ray from the intended center
//! leaves the damage, whichever is farther out, and ends at the thread's major radius. The result
//! is the mean of that height around the circumference, as a fraction of the full flank height.
//! This is a judgment on the safe side: a thread's shear strength falls later than its flank
//! height.
//!
//! A ray enters and leaves a circle that does not contain the intended center. Metal on its near
//! side has no wall behind it and does not count. Where the ray enters beyond the major radius, the
//! thread is whole; the wall behind it has a check of its own.
//!
//! The mean distance to an off-center circle is an elliptic integral. It is evaluated in closed
//! form between the rays at which circles cross each other or the thread ring, so there is no step
//! width.
//!
//! Over depth the circles are constant or change evenly; [`profile`] integrates where they change.
//!
//! The drilled radius is the drill's nominal radius. Drills cut oversize, but that is not deducted:
//! the shear area of thread in iron (FED-STD-H28/2B (2a)) depends on the bolt's major diameter and
//! the hole's pitch diameter, not on the drilled diameter, and published insert areas hold for the
//! widest hole allowed. In a wider hole the same damage would even count for less, because the
//! drill has taken more of it. Where the hole's limits are close, the insert's note says so.

mod circle_path;
mod polar_circle;
mod profile;
mod ray;
mod slice;

pub(super) use self::slice::{Layers, good_parts};
pub use self::slice::{Slice, slices};

use self::circle_path::CirclePath;
use self::polar_circle::{PolarCircle, Ring, add_breakpoints, farthest};
use self::ray::Ray;
use super::damage::{Damage, Span};
use crate::length::Length;
use std::f64::consts::{PI, TAU};

/// Returns the fraction of the flank height that the damage leaves at a depth, 0 to 1, averaged
/// around the circumference.
///
/// `drilled` and `major` are the diameters of the drilled hole and of the thread. Returns 0 where
/// the drill removes all of the thread.
pub fn thread_left(damage: &Damage, drilled: Length, major: Length, depth: Length) -> f64 {
    let Some(ring) = Ring::new(drilled, major) else {
        return 0.0;
    };
    Rays::default().fraction_left(circles_at(damage, depth), ring)
}

/// Returns the fraction of the flank height left by angle, for a drawing.
///
/// Each pair is an angle in degrees counterclockwise, 0 to the right in the photo, in steps of two,
/// and the fraction, 0 to 1.
pub fn thread_left_by_angle(
    damage: &Damage,
    drilled: Length,
    major: Length,
    depth: Length,
) -> Vec<(f64, f64)> {
    (0..180)
        .map(|step| f64::from(step) * 2.0)
        .map(|deg| {
            let start = metal_start(damage, drilled, major, depth, deg);
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

/// Returns the radius at which the thread's metal starts at an angle: the drilled radius or the far
/// side of the damage, at most the thread's major radius.
///
/// The angle is in degrees counterclockwise, 0 to the right in the photo.
pub fn metal_start(
    damage: &Damage,
    drilled: Length,
    major: Length,
    depth: Length,
    direction_deg: f64,
) -> Length {
    let Some(ring) = Ring::new(drilled, major) else {
        return major / 2;
    };
    let circles: Vec<PolarCircle> = circles_at(damage, depth).collect();
    let (sin, cos) = direction_deg.to_radians().sin_cos();
    let reach = farthest(&circles, (cos, sin), ring).map_or(0.0, |(_, reach)| reach);
    Length::from_computed_mm(reach.clamp(ring.drilled_mm, ring.major_mm))
}

/// Returns the length of whole thread equivalent to what the damage leaves in the engaged span.
///
/// This is the integral of [`thread_left`] over depth. Hard zones count as no thread.
pub fn effective_engagement(
    damage: &Damage,
    drilled: Length,
    major: Length,
    engaged: Span,
) -> Length {
    engagement_of(&slices(damage, drilled, major, engaged), engaged)
}

/// Returns the [`effective_engagement`] of slices within a span.
pub(super) fn engagement_of(slices: &[Slice], engaged: Span) -> Length {
    let whole_mm = slices
        .iter()
        .filter(|slice| !slice.hard)
        .map(|slice| slice.whole_mm(engaged))
        .sum();
    Length::from_computed_mm(whole_mm)
}

/// Returns the largest fraction of a turn, 0 to 1, over which the damage leaves nothing of a thread
/// of diameter `major` at any of some depths.
///
/// Where circles overlap, the result may be too large, never too small.
pub(super) fn unsupported_fraction(
    damage: &Damage,
    major: Length,
    depths: impl Iterator<Item = Length>,
) -> f64 {
    let stations = damage.stations.iter();
    let paths: Vec<(Span, CirclePath)> = stations
        .map(|station| (station.span, CirclePath::of(station)))
        .collect();
    let major_mm = major.mm() / 2.0;
    let at = |depth: Length| -> f64 {
        let here = paths.iter().filter(|(span, _)| span.contains(depth));
        here.map(|(_, path)| path.at(depth.mm()).fraction_beyond(major_mm))
            .sum()
    };
    depths.map(at).fold(0.0, f64::max).min(1.0)
}

fn circles_at(damage: &Damage, depth: Length) -> impl Iterator<Item = PolarCircle> {
    let here = damage
        .stations
        .iter()
        .filter(move |s| s.span.contains(depth));
    here.map(move |station| CirclePath::of(station).at(depth.mm()))
}

/// Integrates around the circumference; keeps its lists from one depth to the next.
#[derive(Default)]
struct Rays {
    circles: Vec<PolarCircle>,
    breaks: Vec<Ray>,
}

/// What is lost of the ring's height over some angles.
#[derive(Clone, Copy, PartialEq)]
enum Lost {
    Nothing,
    All,
    /// Up to the far side of the circle with this index.
    Circle(usize),
}

impl Rays {
    /// Returns the fraction of the flank height that circles leave.
    fn fraction_left(&mut self, circles: impl Iterator<Item = PolarCircle>, ring: Ring) -> f64 {
        self.circles.clear();
        self.circles.extend(circles);
        let none_left = |circle: &PolarCircle| circle.inner_mm() >= ring.major_mm;
        if self.circles.iter().any(none_left) {
            return 0.0;
        }
        // Circles that the drill removes entirely do not matter.
        self.circles
            .retain(|circle| circle.outer_mm() > ring.drilled_mm);
        let lost_mm = match &mut self.circles[..] {
            [] => return 1.0,
            [one] if one.contains_center() => one.mean_lost_mm(ring),
            // One circle is symmetric: half the circumference is enough, and its direction is
            // irrelevant.
            [one] => {
                *one = one.facing_right();
                self.lost_mm(ring, Ray::ZERO) / PI
            }
            _ => self.lost_mm(ring, Ray::START) / TAU,
        };
        (1.0 - lost_mm / ring.height_mm()).clamp(0.0, 1.0)
    }

    /// Returns the integral of the height lost from a ray on.
    fn lost_mm(&mut self, ring: Ring, start: Ray) -> f64 {
        let breaks = &mut self.breaks;
        breaks.clear();
        add_breakpoints(&self.circles, ring, breaks);
        breaks.retain(|ray| start.is_before(ray) && ray.is_before(&Ray::END));
        // With the middle, no two that follow each other are more than half a turn apart.
        breaks.extend([start, Ray::ZERO, Ray::END]);
        breaks.sort_unstable_by(Ray::total_cmp);
        let (mut sum, mut from, mut lost) = (0.0, start, Lost::Nothing);
        // Between two breakpoints one circle reaches farthest throughout, and often beyond.
        let pairs = self.breaks.windows(2);
        for pair in pairs.filter(|pair| pair[0].is_before(&pair[1])) {
            let here = self.lost_at(pair[0].halfway(&pair[1]), ring);
            if here != lost {
                sum += self.lost_between(lost, &from, &pair[0], ring);
                (from, lost) = (pair[0], here);
            }
        }
        sum + self.lost_between(lost, &from, &Ray::END, ring)
    }

    /// Returns what is lost at an angle, whose cosine and sine are given.
    fn lost_at(&self, direction: (f64, f64), ring: Ring) -> Lost {
        match farthest(&self.circles, direction, ring) {
            Some((_, reach)) if reach >= ring.major_mm => Lost::All,
            Some((index, reach)) if reach > ring.drilled_mm => Lost::Circle(index),
            _ => Lost::Nothing,
        }
    }

    /// Returns the integral of the height lost between two rays.
    fn lost_between(&self, lost: Lost, from: &Ray, to: &Ray, ring: Ring) -> f64 {
        let turn = || to.angle() - from.angle();
        match lost {
            Lost::Nothing => 0.0,
            Lost::All => ring.height_mm() * turn(),
            Lost::Circle(index) => {
                let turn = turn();
                self.circles[index].reach_integral(turn, from, to) - ring.drilled_mm * turn
            }
        }
    }
}

#[cfg(test)]
mod tests;
