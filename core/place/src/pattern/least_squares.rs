//! The placement by weighted least squares, in closed form, and its covariance.

use super::Pair;
use crate::Point;
use crate::gauss::Covariance;
use crate::linear::Matrix;

/// A placement of the pattern.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placement {
    /// Whether the pattern's Y is negated first.
    pub mirrored: bool,
    /// Cosine and sine of the turn, times the scale.
    turn: (f64, f64),
    /// The weighted centers of the wanted (mirrored) and found holes.
    wanted: Point,
    found: Point,
}

/// A placement with what is known about its accuracy.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fit {
    pub placement: Placement,
    /// Variance of each coordinate of the center, mm².
    center: f64,
    /// Variance of the turn, radians².
    angle: f64,
    /// Variance of the scale relative to it; 0 if it is fixed.
    scale: f64,
}

impl Placement {
    /// The placement that puts two wanted holes on the line of the found ones, with their middles
    /// together. `None` if two holes are at one place.
    pub fn of_two(first: &Pair, second: &Pair, mirrored: bool, scale: bool) -> Option<Self> {
        let of_both = [(1.0, first), (1.0, second)];
        Self::least_squares(of_both.into_iter(), mirrored, scale).map(|(placement, ..)| placement)
    }

    /// The placement with the least sum of weighted squared residuals, the sum of weights, and the
    /// weighted sum of squared distances of the wanted holes from their center.
    fn least_squares<'a>(
        pairs: impl Iterator<Item = (f64, &'a Pair)> + Clone,
        mirrored: bool,
        scale: bool,
    ) -> Option<(Self, f64, f64)> {
        let mut sum = 0.0;
        let (mut wanted, mut found) = (Point::default(), Point::default());
        for (weight, pair) in pairs.clone() {
            let at = turned_over(pair.wanted, mirrored);
            sum += weight;
            wanted.x_mm += weight * at.x_mm;
            wanted.y_mm += weight * at.y_mm;
            found.x_mm += weight * pair.found.x_mm;
            found.y_mm += weight * pair.found.y_mm;
        }
        let wanted = Point::new(wanted.x_mm / sum, wanted.y_mm / sum);
        let found = Point::new(found.x_mm / sum, found.y_mm / sum);
        let (mut dot, mut cross, mut size) = (0.0, 0.0, 0.0);
        for (weight, pair) in pairs {
            let p = minus(turned_over(pair.wanted, mirrored), wanted);
            let q = minus(pair.found, found);
            dot += weight * (p.0 * q.0 + p.1 * q.1);
            cross += weight * (p.0 * q.1 - p.1 * q.0);
            size += weight * (p.0 * p.0 + p.1 * p.1);
        }
        let length = dot.hypot(cross);
        if length <= 0.0 || size <= 0.0 {
            return None;
        }
        let by = if scale { size } else { length };
        let placement = Self {
            mirrored,
            turn: (dot / by, cross / by),
            wanted,
            found,
        };
        Some((placement, sum, size))
    }

    /// Turns a vector of the pattern from its center.
    fn turned(&self, at: Point) -> (f64, f64) {
        let (x, y) = minus(turned_over(at, self.mirrored), self.wanted);
        let (cos, sin) = self.turn;
        (cos * x - sin * y, sin * x + cos * y)
    }

    /// Where a place of the pattern comes to lie.
    pub fn predict(&self, wanted: Point) -> Point {
        let (x, y) = self.turned(wanted);
        Point::new(self.found.x_mm + x, self.found.y_mm + y)
    }

    /// How far the hole found lies from its place.
    pub fn residual(&self, pair: &Pair) -> (f64, f64) {
        minus(pair.found, self.predict(pair.wanted))
    }

    /// Returns the scale.
    pub fn scale(&self) -> f64 {
        self.turn.0.hypot(self.turn.1)
    }

    /// Returns the turn, degrees, above -180 to 180.
    pub fn angle_deg(&self) -> f64 {
        self.turn.1.atan2(self.turn.0).to_degrees()
    }
}

impl Fit {
    /// Fits the pairs at the indices in `agreeing`. `None` if they are at one place.
    pub fn of(
        pairs: &[Pair],
        agreeing: &[usize],
        mirrored: bool,
        scale: bool,
        size: f64,
    ) -> Option<Self> {
        let used = agreeing
            .iter()
            .map(|at| (weight(&pairs[*at], size), &pairs[*at]));
        let (placement, sum, square) = Placement::least_squares(used, mirrored, scale)?;
        let found_square = square * placement.scale().powi(2);
        Some(Self {
            placement,
            center: 1.0 / sum,
            angle: 1.0 / found_square,
            scale: if scale { 1.0 / found_square } else { 0.0 },
        })
    }

    /// How a deviation of the hole at `other`, which has a weight in the fit, moves the prediction
    /// for the hole at `wanted`: to first order.
    pub fn pull(&self, wanted: Point, other: Point, weight: f64) -> Matrix<2, 2> {
        let (x, y) = self.placement.turned(wanted);
        let (u, v) = self.placement.turned(other);
        let (center, angle, scale) = (
            weight * self.center,
            weight * self.angle,
            weight * self.scale,
        );
        [
            [
                center + angle * y * v + scale * x * u,
                scale * x * v - angle * y * u,
            ],
            [
                scale * y * u - angle * x * v,
                center + angle * x * u + scale * y * v,
            ],
        ]
    }

    /// The covariance of a predicted place, from the holes found alone.
    pub fn covariance(&self, wanted: Point) -> Covariance {
        let (x, y) = self.placement.turned(wanted);
        Covariance::round(self.center)
            .plus(Covariance::along((-y, x), self.angle))
            .plus(Covariance::along((x, y), self.scale))
    }
}

/// The weight of a pair: one over its variance, that of the pattern included.
pub(super) fn weight(pair: &Pair, size: f64) -> f64 {
    1.0 / variance(pair, size)
}

/// The variance of a pair's residual in each coordinate, mm².
pub(super) fn variance(pair: &Pair, size: f64) -> f64 {
    pair.found_error_mm.powi(2) + (size * pair.wanted_error_mm).powi(2)
}

fn turned_over(at: Point, mirrored: bool) -> Point {
    if mirrored {
        return Point::new(at.x_mm, -at.y_mm);
    }
    at
}

fn minus(a: Point, b: Point) -> (f64, f64) {
    (a.x_mm - b.x_mm, a.y_mm - b.y_mm)
}
