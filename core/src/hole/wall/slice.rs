//! Slices: the depth divided wherever a station or a hard zone starts or ends.

use super::circle_path::CirclePath;
use super::polar_circle::Ring;
use super::profile::Profile;
use super::{Damage, Rays};
use crate::hole::damage::Span;
use crate::length::Length;
use std::sync::Arc;

/// A range of depth in which no station and no hard zone starts or ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Slice {
    /// Depths of the slice.
    pub span: Span,
    /// Whether it lies in a hard zone.
    pub hard: bool,
    left: Remaining,
}

/// Fraction of the flank height left, 0 to 1.
#[derive(Debug, Clone, PartialEq)]
enum Remaining {
    /// The same at every depth of the slice.
    Constant(f64),
    /// Changes with depth, because a circle tapers or leans.
    Varying(Arc<Profile>),
}

impl Slice {
    /// Returns sampled depths, from the top down, each with the fraction of the flank height left
    /// there, 0 to 1. The ends and the minimum are always included.
    pub fn samples(&self) -> Vec<(Length, f64)> {
        let Span { from, to } = self.span;
        match &self.left {
            Remaining::Constant(fraction) => vec![(from, *fraction), (to, *fraction)],
            Remaining::Varying(profile) => {
                let between = profile.samples_between(from.mm(), to.mm());
                let inside =
                    between.map(|(depth_mm, left)| (Length::from_computed_mm(depth_mm), left));
                let inside = inside.filter(|(depth, _)| from < *depth && *depth < to);
                let end = |depth: Length| (depth, profile.at(depth.mm()));
                [end(from)]
                    .into_iter()
                    .chain(inside)
                    .chain([end(to)])
                    .collect()
            }
        }
    }

    /// Returns the fraction of the flank height left at a depth within the slice.
    fn at(&self, depth: Length) -> f64 {
        match &self.left {
            Remaining::Constant(fraction) => *fraction,
            Remaining::Varying(profile) => profile.at(depth.mm()),
        }
    }

    /// Adds the parts of the slice in which at least `least` of the flank height is left, from the
    /// top down.
    fn add_good_parts(&self, least: f64, parts: &mut Vec<Span>) {
        let samples = self.samples();
        for pair in samples.windows(2) {
            let ((from, upper), (to, lower)) = (pair[0], pair[1]);
            let crossing = || self.crossing(least, pair);
            let part = match (upper >= least, lower >= least) {
                (true, true) => Span { from, to },
                (true, false) => Span {
                    from,
                    to: crossing(),
                },
                (false, true) => Span {
                    from: crossing(),
                    to,
                },
                (false, false) => continue,
            };
            add_part(parts, part);
        }
    }

    /// Returns the depth between two samples at which the fraction crosses `least`, on the good
    /// side.
    fn crossing(&self, least: f64, pair: &[(Length, f64)]) -> Length {
        let (mut good, mut bad) = if pair[0].1 >= least {
            (pair[0].0, pair[1].0)
        } else {
            (pair[1].0, pair[0].0)
        };
        while (good - bad).abs() > SAME_PART {
            let middle = (good + bad) / 2;
            if self.at(middle) >= least {
                good = middle;
            } else {
                bad = middle;
            }
        }
        good
    }

    /// Returns whether the fraction changes within the slice.
    pub fn varies(&self) -> bool {
        matches!(self.left, Remaining::Varying(_))
    }

    /// Returns the smallest fraction of the flank height left in the slice, 0 to 1.
    pub fn least(&self) -> f64 {
        match &self.left {
            Remaining::Constant(fraction) => *fraction,
            Remaining::Varying(profile) => {
                let (from, to) = (self.span.from.mm(), self.span.to.mm());
                let ends = profile.at(from).min(profile.at(to));
                let between = profile.samples_between(from, to);
                between.map(|(_, left)| left).fold(ends, f64::min)
            }
        }
    }

    /// Returns the mean fraction of the flank height left in the slice, 0 to 1.
    pub fn mean(&self) -> f64 {
        match &self.left {
            Remaining::Constant(fraction) => *fraction,
            Remaining::Varying(_) => self.whole_mm(self.span) / self.span.length().mm(),
        }
    }

    /// Returns the equivalent length of whole thread within a span, in mm.
    pub(super) fn whole_mm(&self, within: Span) -> f64 {
        let shared = self.span.intersection(within);
        match &self.left {
            Remaining::Constant(fraction) => fraction * shared.length().mm(),
            Remaining::Varying(profile) => profile.whole_mm(shared.from.mm(), shared.to.mm()),
        }
    }

    /// Returns the part that lies in a span, with zero length if there is none.
    pub(in crate::hole) fn clipped_to(&self, span: Span) -> Slice {
        Slice {
            span: self.span.intersection(span),
            ..self.clone()
        }
    }
}

/// Parts closer than this, 1 micrometer, are one.
const SAME_PART: Length = Length::from_nm(1_000);

fn add_part(parts: &mut Vec<Span>, part: Span) {
    match parts.last_mut() {
        Some(last) if part.from - last.to <= SAME_PART => last.to = part.to,
        _ => parts.push(part),
    }
}

/// Returns the parts of a span in which at least `least` of the flank height is left and no metal
/// is hard, from the face down.
pub(in crate::hole) fn good_parts(slices: &[Slice], least: f64, within: Span) -> Vec<Span> {
    let mut parts = Vec::with_capacity(4);
    for slice in slices.iter().filter(|slice| !slice.hard) {
        let slice = slice.clipped_to(within);
        if slice.span.length().is_positive() {
            slice.add_good_parts(least, &mut parts);
        }
    }
    parts
}

/// Divides a span wherever a station or a hard zone starts or ends, and computes the thread left in
/// each slice, from the face down.
pub fn slices(damage: &Damage, drilled: Length, major: Length, within: Span) -> Vec<Slice> {
    let ring = Ring::new(drilled, major);
    let mut cuts = vec![within.from, within.to];
    let stations = damage.stations.iter().map(|station| station.span);
    let hard = damage.hard.iter().map(|zone| zone.reach());
    for span in stations.chain(hard) {
        cuts.extend(
            [span.from, span.to]
                .into_iter()
                .filter(|d| within.contains(*d)),
        );
    }
    cuts.sort_unstable();
    cuts.dedup();
    cuts.windows(2)
        .map(|pair| Span {
            from: pair[0],
            to: pair[1],
        })
        .filter(|span| span.length().is_positive())
        .map(|span| Slice {
            span,
            hard: damage
                .hard
                .iter()
                .any(|zone| zone.reach().contains(span.from)),
            left: ring.map_or(Remaining::Constant(0.0), |ring| {
                remaining_in(damage, ring, span)
            }),
        })
        .collect()
}

fn remaining_in(damage: &Damage, ring: Ring, span: Span) -> Remaining {
    let here = damage
        .stations
        .iter()
        .filter(|s| s.span.contains(span.from));
    let paths: Vec<CirclePath> = here.map(CirclePath::of).collect();
    let mut rays = Rays::default();
    let mut left = |depth_mm: f64| {
        let circles = paths.iter().map(|path| path.at(depth_mm));
        rays.fraction_left(circles, ring)
    };
    if !paths.iter().any(CirclePath::changes) {
        return Remaining::Constant(left(span.from.mm()));
    }
    let cuts = breakpoints_mm(&paths, ring, span);
    Remaining::Varying(Arc::new(Profile::of(left, &cuts)))
}

/// Returns the ends of the span and every depth between them at which the thread left may have a
/// kink, in mm and in order.
fn breakpoints_mm(paths: &[CirclePath], ring: Ring, span: Span) -> Vec<f64> {
    let (from, to) = (span.from.mm(), span.to.mm());
    let mut cuts = Vec::with_capacity(16);
    for (i, path) in paths.iter().enumerate() {
        path.breakpoints(ring, &mut cuts);
        for other in &paths[i + 1..] {
            path.contacts(other, &mut cuts);
        }
    }
    cuts.retain(|depth| from < *depth && *depth < to);
    cuts.extend([from, to]);
    cuts.sort_unstable_by(f64::total_cmp);
    cuts.dedup_by(|later, earlier| *later - *earlier < SAME_DEPTH_MM);
    if let Some(last) = cuts.last_mut() {
        *last = to;
    }
    cuts
}

/// Depths closer than this count as one.
const SAME_DEPTH_MM: f64 = 1e-7;
