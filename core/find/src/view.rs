//! Where the holes of a known pattern are in a picture: a view of a plane, fitted to some of them.

use crate::rim::Point;
use holebook_place::linear::{Matrix, apply, carried, dot, inverse};

/// Parameters of a view.
const PARAMETERS: usize = 8;
/// How far a view is from square to the face, usually: what a camera tilted by some 25 degrees
/// makes of a circle. A judgement.
const USUAL_STRETCH: f64 = 0.25;
/// How much nearer one side of the pattern is than the other, usually. A judgement.
const USUAL_NEARNESS: f64 = 0.12;
/// Rounds of the fit.
const ROUNDS: usize = 12;

/// A hole of the pattern and where it was found.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pair {
    pub plan: (f64, f64),
    pub found: Point,
    /// How far the found center may be off, pixels; one standard deviation.
    pub error_px: f64,
}

/// A view of a pattern, with its uncertainty. Where few holes are known it stays close to a view
/// square to the face.
pub(crate) struct View {
    middle: (f64, f64),
    /// Size of the pattern, in its own unit.
    size: f64,
    parameters: [f64; PARAMETERS],
    covariance: Matrix<PARAMETERS, PARAMETERS>,
    /// Sum of the squares of what the fit leaves, each in parts of its error.
    pub misfit: f64,
    mirrored: bool,
}

/// The sums of a fit of least squares.
#[derive(Default)]
struct Sums {
    normal: Matrix<PARAMETERS, PARAMETERS>,
    right: [f64; PARAMETERS],
}

impl Sums {
    fn add(&mut self, row: &[f64; PARAMETERS], off: f64, error: f64) {
        let weight = 1.0 / (error * error);
        for (at, value) in row.iter().enumerate() {
            self.right[at] -= value * off * weight;
            for (entry, other) in self.normal[at].iter_mut().zip(row) {
                *entry += value * other * weight;
            }
        }
    }
}

/// A predicted center.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Prediction {
    pub center: Point,
    pub covariance: Matrix<2, 2>,
}

impl View {
    /// Fits a view to pairs; `None` if fewer than two places are known, or if they are one.
    /// `mirrored`: the pattern was drawn from the other side.
    pub fn fit(plan: &[(f64, f64)], pairs: &[Pair], mirrored: bool) -> Option<Self> {
        let count = plan.len() as f64;
        let middle = (
            plan.iter().map(|p| p.0).sum::<f64>() / count,
            plan.iter().map(|p| p.1).sum::<f64>() / count,
        );
        let size = plan
            .iter()
            .map(|p| (p.0 - middle.0).hypot(p.1 - middle.1))
            .fold(0.0, f64::max);
        if !(size.is_finite() && size > 0.0) {
            return None;
        }
        let mut view = Self {
            middle,
            size,
            parameters: [0.0; PARAMETERS],
            covariance: [[0.0; PARAMETERS]; PARAMETERS],
            misfit: 0.0,
            mirrored,
        };
        view.parameters = view.similarity(pairs)?;
        for _ in 0..ROUNDS {
            view.improve(pairs)?;
        }
        Some(view)
    }

    /// The pattern's coordinates with its middle at 0 and a size of 1, down as in pictures.
    fn normal(&self, plan: (f64, f64)) -> (f64, f64) {
        let x = (plan.0 - self.middle.0) / self.size;
        let y = (plan.1 - self.middle.1) / self.size;
        (if self.mirrored { -x } else { x }, -y)
    }

    /// The similarity of least squares: turned, scaled and moved.
    fn similarity(&self, pairs: &[Pair]) -> Option<[f64; PARAMETERS]> {
        let count = pairs.len() as f64;
        let from: Vec<(f64, f64)> = pairs.iter().map(|pair| self.normal(pair.plan)).collect();
        let mean = |of: &dyn Fn(usize) -> f64| (0..pairs.len()).map(of).sum::<f64>() / count;
        let (mx, my) = (mean(&|k| from[k].0), mean(&|k| from[k].1));
        let (px, py) = (mean(&|k| pairs[k].found.x), mean(&|k| pairs[k].found.y));
        let (mut dot, mut cross, mut square) = (0.0, 0.0, 0.0);
        for (pair, from) in pairs.iter().zip(&from) {
            let (x, y) = (from.0 - mx, from.1 - my);
            let (u, v) = (pair.found.x - px, pair.found.y - py);
            dot += x * u + y * v;
            cross += x * v - y * u;
            square += x * x + y * y;
        }
        if pairs.len() < 2 || square < 1e-12 {
            return None;
        }
        let (a, b) = (dot / square, cross / square);
        let (cx, cy) = (px - a * mx + b * my, py - b * mx - a * my);
        Some([a, -b, cx, b, a, cy, 0.0, 0.0])
    }

    /// Where a place of the pattern is seen, and how that changes with each parameter.
    fn project(&self, plan: (f64, f64)) -> (Point, Matrix<2, PARAMETERS>) {
        let (x, y) = self.normal(plan);
        let p = &self.parameters;
        let depth = (1.0 + p[6] * x + p[7] * y).max(0.1);
        let u = (p[0] * x + p[1] * y + p[2]) / depth;
        let v = (p[3] * x + p[4] * y + p[5]) / depth;
        let (dx, dy, one) = (x / depth, y / depth, 1.0 / depth);
        let slopes = [
            [dx, dy, one, 0.0, 0.0, 0.0, -u * dx, -u * dy],
            [0.0, 0.0, 0.0, dx, dy, one, -v * dx, -v * dy],
        ];
        (Point { x: u, y: v }, slopes)
    }

    /// One step of Gauss and Newton.
    fn improve(&mut self, pairs: &[Pair]) -> Option<()> {
        let p = &self.parameters;
        let scale = p[0].hypot(p[3]).max(p[1].hypot(p[4])).max(1e-9);
        let mut sums = Sums::default();
        let mut add = |row: [f64; PARAMETERS], off: f64, error: f64| sums.add(&row, off, error);
        let unit = |entries: &[(usize, f64)]| {
            let mut row = [0.0; PARAMETERS];
            entries.iter().for_each(|&(at, value)| row[at] = value);
            row
        };
        add(
            unit(&[(0, 1.0), (4, -1.0)]),
            p[0] - p[4],
            USUAL_STRETCH * scale,
        );
        add(
            unit(&[(1, 1.0), (3, 1.0)]),
            p[1] + p[3],
            USUAL_STRETCH * scale,
        );
        add(unit(&[(6, 1.0)]), p[6], USUAL_NEARNESS);
        add(unit(&[(7, 1.0)]), p[7], USUAL_NEARNESS);
        let mut misfit = 0.0;
        for pair in pairs {
            let (seen, slopes) = self.project(pair.plan);
            let (u, v) = (seen.x - pair.found.x, seen.y - pair.found.y);
            add(slopes[0], u, pair.error_px);
            add(slopes[1], v, pair.error_px);
            misfit += (u * u + v * v) / (pair.error_px * pair.error_px);
        }
        self.covariance = inverse(&sums.normal)?;
        let step = apply(&self.covariance, &sums.right);
        for (parameter, step) in self.parameters.iter_mut().zip(step) {
            *parameter += step;
        }
        self.misfit = misfit;
        self.parameters
            .iter()
            .all(|value| value.is_finite())
            .then_some(())
    }

    /// The predicted center of a hole whose place in the pattern is uncertain by `plan_error`, in
    /// the pattern's unit.
    pub fn predict(&self, plan: (f64, f64), plan_error: f64) -> Prediction {
        let (center, slopes) = self.project(plan);
        let on_plan = (self.pixels_per_unit(plan) * plan_error).powi(2);
        let mut covariance = carried(&slopes, &self.covariance);
        (0..2).for_each(|at| covariance[at][at] += on_plan);
        Prediction { center, covariance }
    }

    /// Pixels of the picture for one unit of the pattern, there.
    pub fn pixels_per_unit(&self, plan: (f64, f64)) -> f64 {
        let (x, y) = self.normal(plan);
        let p = &self.parameters;
        let depth = (1.0 + p[6] * x + p[7] * y).max(0.1);
        (p[0] * p[4] - p[1] * p[3]).abs().sqrt() / (depth * self.size)
    }
}

impl Prediction {
    /// The square of how far a point is from the prediction, in parts of its uncertainty.
    pub fn distance_squared(&self, point: Point, more_px: f64) -> f64 {
        let off = [point.x - self.center.x, point.y - self.center.y];
        let mut covariance = self.covariance;
        (0..2).for_each(|at| covariance[at][at] += more_px * more_px);
        let squared = |inverse| dot(&off, &apply(&inverse, &off));
        inverse(&covariance).map_or(f64::INFINITY, squared)
    }

    /// The largest standard deviation in any direction, pixels.
    pub fn spread(&self) -> f64 {
        let middle = (self.covariance[0][0] + self.covariance[1][1]) / 2.0;
        let apart =
            ((self.covariance[0][0] - self.covariance[1][1]) / 2.0).hypot(self.covariance[0][1]);
        (middle + apart).max(0.0).sqrt()
    }
}
