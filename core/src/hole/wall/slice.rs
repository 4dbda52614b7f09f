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
        let beyond = |(depth, left): (Length, f64)| (depth, left - least);
        let (mut good, mut bad) = match pair[0].1 >= least {
            true => (beyond(pair[0]), beyond(pair[1])),
            false => (beyond(pair[1]), beyond(pair[0])),
        };
        let mut was_good = None;
        // By the secant, to the nanometer, so that it depends on the damage alone and not on where
        // it was sampled. An end that stays counts half, so that the other side moves, too.
        for _ in 0..MOST_SECANTS {
            let long = (bad.0 - good.0).nm();
            if long.abs() <= 1 {
                break;
            }
            let share = good.1 / (good.1 - bad.1);
            let step = (long as f64 * share).round() as i64;
            let inside = step.clamp(long.min(0) + 1, long.max(0) - 1);
            let depth = good.0 + Length::from_nm(inside);
            let here = (depth, self.at(depth) - least);
            let is_good = here.1 >= 0.0;
            if is_good {
                good = here;
                bad.1 *= if was_good == Some(true) { 0.5 } else { 1.0 };
            } else {
                bad = here;
                good.1 *= if was_good == Some(false) { 0.5 } else { 1.0 };
            }
            was_good = Some(is_good);
        }
        good.0
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

/// Secants until a crossing is found: a few, but where the fraction jumps to zero slope.
const MOST_SECANTS: usize = 100;
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
    Layers::of(damage, within).slices(drilled, major)
}

/// Damage divided by depth: the same for every thread that is cut into it.
pub(in crate::hole) struct Layers(Vec<Layer>);

struct Layer {
    span: Span,
    hard: bool,
    paths: Vec<CirclePath>,
}

impl Layers {
    /// Divides a span wherever a station or a hard zone starts or ends.
    pub fn of(damage: &Damage, within: Span) -> Layers {
        let stations = damage.stations.iter().map(|station| station.span);
        let hard = damage.hard.iter().map(|zone| zone.reach());
        let ends = stations.chain(hard).flat_map(|span| [span.from, span.to]);
        let mut cuts: Vec<Length> = ends.filter(|depth| within.contains(*depth)).collect();
        cuts.extend([within.from, within.to]);
        cuts.sort_unstable();
        cuts.dedup();
        let spans = cuts.windows(2).map(|pair| Span {
            from: pair[0],
            to: pair[1],
        });
        let layer = |span: Span| {
            let stations = damage.stations.iter();
            let here = stations.filter(|station| station.span.contains(span.from));
            let mut zones = damage.hard.iter();
            Layer {
                span,
                hard: zones.any(|zone| zone.reach().contains(span.from)),
                paths: here.map(CirclePath::of).collect(),
            }
        };
        Layers(spans.map(layer).collect())
    }

    /// Computes the thread left of one thread in each layer, from the face down.
    pub fn slices(&self, drilled: Length, major: Length) -> Vec<Slice> {
        let ring = Ring::new(drilled, major);
        let mut rays = Rays::default();
        let slice = |layer: &Layer| Slice {
            span: layer.span,
            hard: layer.hard,
            left: ring.map_or(Remaining::Constant(0.0), |ring| {
                layer.remaining(ring, &mut rays)
            }),
        };
        self.0.iter().map(slice).collect()
    }
}

impl Layer {
    fn remaining(&self, ring: Ring, rays: &mut Rays) -> Remaining {
        let mut left = |depth_mm: f64| {
            let circles = self.paths.iter().map(|path| path.at(depth_mm));
            rays.fraction_left(circles, ring)
        };
        if !self.paths.iter().any(CirclePath::changes) {
            return Remaining::Constant(left(self.span.from.mm()));
        }
        let cuts = breakpoints_mm(&self.paths, ring, self.span);
        Remaining::Varying(Arc::new(Profile::of(left, &cuts)))
    }
}

/// Returns the ends of the span and every depth between them at which the thread left may have a
/// kink, in mm and in order.
fn breakpoints_mm(paths: &[CirclePath], ring: Ring, span: Span) -> Vec<f64> {
    let mut cuts = Vec::with_capacity(16);
    for (i, path) in paths.iter().enumerate() {
        path.breakpoints(ring, &mut cuts);
        for other in &paths[i + 1..] {
            path.contacts(other, &mut cuts);
        }
    }
    in_order(&mut cuts, span);
    let mut between = Vec::new();
    for ends in cuts.windows(2) {
        for (i, path) in paths.iter().enumerate() {
            for other in &paths[i + 1..] {
                path.crossings_on_edge(other, ring, (ends[0], ends[1]), &mut between);
            }
        }
    }
    if !between.is_empty() {
        cuts.extend(between);
        in_order(&mut cuts, span);
    }
    cuts
}

/// Sorts depths within a span and adds its ends; depths that are nearly the same count once.
fn in_order(depths_mm: &mut Vec<f64>, span: Span) {
    let (from, to) = (span.from.mm(), span.to.mm());
    depths_mm.retain(|depth| from < *depth && *depth < to);
    depths_mm.extend([from, to]);
    depths_mm.sort_unstable_by(f64::total_cmp);
    depths_mm.dedup_by(|later, earlier| *later - *earlier < SAME_DEPTH_MM);
    if let Some(last) = depths_mm.last_mut() {
        *last = to;
    }
}

/// Depths closer than this count as one.
const SAME_DEPTH_MM: f64 = 1e-7;
