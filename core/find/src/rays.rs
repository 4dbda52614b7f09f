//! The edge of a hole along rays from its center.

use crate::plane::Plane;
use crate::rim::{Point, Rim};

/// Rays around a hole.
pub(crate) const RAYS: usize = 48;
/// Samples along a ray.
const STEPS: usize = 64;
/// The rays run from here ...
const FROM: f64 = 0.35;
/// ... to here, in radii of the rim that is looked for.
const TO: f64 = 1.75;
/// How much brightness may rise per step from one ray to the next to be worth a step aside.
const STEP_COST: f32 = 0.02;
/// Steps that the edge may move from one ray to the next.
const MOST_STEPS: usize = 2;
/// How much an edge counts at the outer end of the rays over one at the inner end: the chamfer and
/// the thread make edges within the rim.
const OUTER: f32 = 1.5;
/// A rise of brightness below this, as a logarithm, is no edge.
pub(crate) const LEAST_RISE: f32 = 0.08;
/// Where light falls into a hole, its lit wall shows between the rim and the dark bottom, whose edge
/// is the stronger one. The rim is looked for this many steps further out ...
const LIT_WALL: usize = 20;
/// ... and is an edge that rises at least by this share of the stronger one.
const RIM_SHARE: f32 = 0.3;

/// The directions of the rays: cosine and sine of evenly spaced angles.
pub(crate) fn directions() -> [(f64, f64); RAYS] {
    std::array::from_fn(|ray| {
        let (sin, cos) = (ray as f64 * std::f64::consts::TAU / RAYS as f64).sin_cos();
        (cos, sin)
    })
}

/// The brightness around a hole: along each ray, from the center outward.
pub(crate) struct Patch {
    samples: [[f32; STEPS]; RAYS],
}

/// An edge found on a ray.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Edge {
    /// Where, in radii of the rim that was looked for.
    pub radius: f64,
    /// How much the brightness rises outward, as a logarithm.
    pub rise: f64,
}

fn radius(step: f64) -> f64 {
    FROM + (TO - FROM) * step / (STEPS - 1) as f64
}

fn step(radius: f64) -> f64 {
    (radius - FROM) * (STEPS - 1) as f64 / (TO - FROM)
}

impl Patch {
    /// Samples a plane in which one pixel of the picture is `scale` pixels.
    pub fn of(plane: &Plane, scale: f64, rim: &Rim) -> Self {
        let mut samples = [[0.0; STEPS]; RAYS];
        for (ray, direction) in samples.iter_mut().zip(directions()) {
            let (dx, dy) = rim.shape.apply(direction);
            for (index, sample) in ray.iter_mut().enumerate() {
                let at = radius(index as f64);
                let x = (rim.center.x + dx * at) * scale;
                let y = (rim.center.y + dy * at) * scale;
                *sample = plane.between(x as f32, y as f32);
            }
        }
        Self { samples }
    }

    /// The rise of brightness across each step: the mean of three samples beyond it less that of
    /// three before.
    fn rises(&self) -> [[f32; STEPS]; RAYS] {
        self.samples.map(|ray| {
            std::array::from_fn(|index| {
                if index < 3 || index + 3 >= STEPS {
                    return 0.0;
                }
                let outer = ray[index + 1] + ray[index + 2] + ray[index + 3];
                let inner = ray[index - 1] + ray[index - 2] + ray[index - 3];
                ((outer - inner) / 3.0).max(0.0)
            })
        })
    }

    /// The closed line around the hole, one edge a ray, along which the brightness rises most, or on
    /// each ray the rim of a hole whose lit wall shows.
    pub fn edges(&self) -> [Edge; RAYS] {
        let rises = self.rises();
        let line = closed_line(&rises);
        std::array::from_fn(|ray| {
            let rises = &rises[ray];
            let index = outermost(rises, line[ray]);
            Edge {
                radius: radius(index as f64 + peak_offset(rises, index)),
                rise: f64::from(rises[index]),
            }
        })
    }

    /// The mean brightness of a ray between two radii.
    pub fn mean(&self, ray: usize, from: f64, to: f64) -> f64 {
        let first = step(from).round().clamp(0.0, (STEPS - 1) as f64) as usize;
        let last = step(to).round().clamp(0.0, (STEPS - 1) as f64) as usize;
        let span = &self.samples[ray][first..=last.max(first)];
        f64::from(span.iter().sum::<f32>()) / span.len() as f64
    }

    /// The rise of brightness across the rim on each ray, without looking for the best place.
    pub fn rise_at_rim(&self) -> [f64; RAYS] {
        std::array::from_fn(|ray| self.mean(ray, 1.04, 1.2) - self.mean(ray, 0.8, 0.96))
    }

    /// How alike two surroundings are, from -1 to 1: the correlation of their brightness.
    pub fn likeness(&self, other: &Patch) -> f64 {
        let (mine, others) = (self.samples.as_flattened(), other.samples.as_flattened());
        let count = mine.len() as f64;
        let mean = |samples: &[f32]| samples.iter().map(|&it| f64::from(it)).sum::<f64>() / count;
        let (mean, other_mean) = (mean(mine), mean(others));
        let (mut both, mut one, mut two) = (0.0, 0.0, 0.0);
        for (&a, &b) in mine.iter().zip(others) {
            let (a, b) = (f64::from(a) - mean, f64::from(b) - other_mean);
            both += a * b;
            one += a * a;
            two += b * b;
        }
        if one * two > 0.0 {
            both / (one * two).sqrt()
        } else {
            0.0
        }
    }

    /// The mean of surroundings.
    pub fn mean_of<'a>(patches: impl IntoIterator<Item = &'a Patch>) -> Option<Patch> {
        let mut patches = patches.into_iter();
        let mut sum = Patch {
            samples: patches.next()?.samples,
        };
        for patch in patches {
            let pairs = sum.samples.as_flattened_mut().iter_mut();
            for (into, from) in pairs.zip(patch.samples.as_flattened()) {
                *into += from;
            }
        }
        Some(sum)
    }
}

/// The outermost edge of a ray that is near one and nearly as strong, or that edge itself.
fn outermost(rises: &[f32; STEPS], index: usize) -> usize {
    let least = LEAST_RISE.max(RIM_SHARE * rises[index]);
    let last = (index + LIT_WALL).min(STEPS - 2);
    let is_edge = |at: &usize| {
        let [before, rise, after] = [at - 1, *at, at + 1].map(|it| rises[it]);
        rise >= least && rise >= before && rise >= after
    };
    (index + 1..=last).rev().find(is_edge).unwrap_or(index)
}

/// Where between its neighbors a peak is, in steps from -0.5 to 0.5.
fn peak_offset(rises: &[f32; STEPS], index: usize) -> f64 {
    if index == 0 || index + 1 == STEPS {
        return 0.0;
    }
    let [before, at, after] = [index - 1, index, index + 1].map(|it| f64::from(rises[it]));
    let bend = before - 2.0 * at + after;
    if bend >= 0.0 {
        0.0
    } else {
        ((before - after) / (2.0 * bend)).clamp(-0.5, 0.5)
    }
}

/// The line of largest sum that is closed and smooth: dynamic programming twice around, of which
/// the middle turn no longer depends on where it began.
fn closed_line(rises: &[[f32; STEPS]; RAYS]) -> [usize; RAYS] {
    let weight: [f32; STEPS] =
        std::array::from_fn(|index| 1.0 + (OUTER - 1.0) * index as f32 / (STEPS - 1) as f32);
    let mut best = [0.0_f32; STEPS];
    let mut came_from = vec![[0_u8; STEPS]; 2 * RAYS];
    for (turn, from) in came_from.iter_mut().enumerate() {
        let rises = &rises[turn % RAYS];
        let mut next = [0.0; STEPS];
        for index in 0..STEPS {
            let low = index.saturating_sub(MOST_STEPS);
            let high = (index + MOST_STEPS).min(STEPS - 1);
            let reached = (low..=high).map(|before| {
                let cost = STEP_COST * index.abs_diff(before) as f32;
                (best[before] - cost, before)
            });
            let nearest = reached.max_by(|a, b| a.0.total_cmp(&b.0));
            let (value, source) = nearest.unwrap_or((0.0, index));
            next[index] = value + rises[index] * weight[index];
            from[index] = source as u8;
        }
        best = next;
    }
    let mut at = (0..STEPS)
        .max_by(|&a, &b| best[a].total_cmp(&best[b]))
        .unwrap_or(0);
    let mut line = [0; RAYS];
    for turn in (0..2 * RAYS).rev() {
        if (RAYS / 2..RAYS + RAYS / 2).contains(&turn) {
            line[turn % RAYS] = at;
        }
        at = usize::from(came_from[turn][at]);
    }
    line
}

/// The rim's center moved by a part of its shape.
pub(crate) fn moved(rim: &Rim, by: (f64, f64)) -> Point {
    let (dx, dy) = rim.shape.apply(by);
    Point {
        x: rim.center.x + dx,
        y: rim.center.y + dy,
    }
}
