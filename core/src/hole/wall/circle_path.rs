//! Circle of missing metal as a function of depth, and the depths at which the thread left may have
//! a kink.

use super::polar_circle::{PolarCircle, Ring};
use crate::hole::damage::Station;

/// A station's circle in millimeters, with depths from the face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CirclePath {
    from_mm: f64,
    length_mm: f64,
    upper: PolarCircle,
    lower: PolarCircle,
    changes: bool,
}

impl CirclePath {
    pub fn of(station: &Station) -> CirclePath {
        CirclePath {
            from_mm: station.span.from.mm(),
            length_mm: station.span.length().mm(),
            upper: PolarCircle::of(&station.upper()),
            lower: PolarCircle::of(&station.lower()),
            changes: station.changes(),
        }
    }

    pub fn changes(&self) -> bool {
        self.changes
    }

    /// Returns the circle at a depth within the station.
    pub fn at(&self, depth_mm: f64) -> PolarCircle {
        if !self.changes {
            return self.upper;
        }
        self.upper
            .interpolate(&self.lower, (depth_mm - self.from_mm) / self.length_mm)
    }

    /// Appends the depths at which the circle becomes tangent to an edge of the ring from inside or
    /// outside, at which its tangent rays touch it on such an edge, and at which it starts or stops
    /// containing the intended center.
    pub fn breakpoints(&self, ring: Ring, depths_mm: &mut Vec<f64>) {
        if !self.changes {
            return;
        }
        let (distance2, radius) = (self.distance2(None), self.radius());
        let mut add = |squares: Quadratic| self.add_roots(squares, depths_mm);
        for edge in [ring.drilled_mm, ring.major_mm] {
            add(distance2.minus(Quadratic::square_of(edge - radius.0, -radius.1)));
            add(distance2.minus(Quadratic::square_of(edge + radius.0, radius.1)));
            let touching = Quadratic::square_of(radius.0, radius.1);
            add(distance2
                .minus(touching)
                .minus(Quadratic(edge * edge, 0.0, 0.0)));
        }
        add(distance2.minus(Quadratic::square_of(radius.0, radius.1)));
    }

    /// Appends the depths at which two circles are tangent.
    pub fn contacts(&self, other: &CirclePath, depths_mm: &mut Vec<f64>) {
        if !self.changes && !other.changes {
            return;
        }
        let distance2 = self.distance2(Some(other));
        let (one, two) = (self.radius(), other.radius());
        for sign in [1.0, -1.0] {
            let sum = Quadratic::square_of(one.0 + sign * two.0, one.1 + sign * two.1);
            self.add_roots(distance2.minus(sum), depths_mm);
        }
    }

    /// Appends the depths between two others at which a point where two circles intersect crosses an
    /// edge of the ring: there the farther circle takes over on the edge itself.
    pub fn crossings_on_edge(
        &self,
        other: &CirclePath,
        ring: Ring,
        (from, to): (f64, f64),
        depths_mm: &mut Vec<f64>,
    ) {
        if !self.changes && !other.changes {
            return;
        }
        for edge in [ring.drilled_mm, ring.major_mm] {
            for side in 0..2 {
                let beyond = |depth: f64| {
                    let points = self.at(depth).meets(&other.at(depth));
                    let (x, y) = points?[side];
                    Some(x * x + y * y - edge * edge)
                };
                depths_mm.extend(sign_change(beyond, from, to));
            }
        }
    }

    /// Returns the squared distance by depth of its center from the intended center, or from the
    /// center of another circle.
    fn distance2(&self, from: Option<&CirclePath>) -> Quadratic {
        let ((x, dx), (y, dy)) = self.center();
        let ((x0, dx0), (y0, dy0)) = from.map_or(((0.0, 0.0), (0.0, 0.0)), CirclePath::center);
        Quadratic::square_of(x - x0, dx - dx0).plus(Quadratic::square_of(y - y0, dy - dy0))
    }

    /// Returns the x and y of its center, each as the value at the face and the change per
    /// millimeter of depth.
    fn center(&self) -> ((f64, f64), (f64, f64)) {
        let ((x0, y0), (x1, y1)) = (self.upper.center(), self.lower.center());
        (self.line(x0, x1), self.line(y0, y1))
    }

    fn radius(&self) -> (f64, f64) {
        self.line(self.upper.radius_mm(), self.lower.radius_mm())
    }

    fn line(&self, upper: f64, lower: f64) -> (f64, f64) {
        let slope = if self.changes {
            (lower - upper) / self.length_mm
        } else {
            0.0
        };
        (upper - slope * self.from_mm, slope)
    }

    fn add_roots(&self, squares: Quadratic, depths_mm: &mut Vec<f64>) {
        depths_mm.extend(squares.roots().into_iter().flatten());
    }
}

/// Returns where a function changes its sign between two depths, if it has values of different sign at
/// them, to the last few bits.
fn sign_change(of: impl Fn(f64) -> Option<f64>, from: f64, to: f64) -> Option<f64> {
    let inset = (to - from) * 1e-9;
    let (mut low, mut high) = (from + inset, to - inset);
    let is_low_negative = of(low)? < 0.0;
    if (of(high)? < 0.0) == is_low_negative {
        return None;
    }
    for _ in 0..44 {
        let middle = 0.5 * (low + high);
        if (of(middle)? < 0.0) == is_low_negative {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high))
}

/// The polynomial `a + b z + c z^2`.
#[derive(Clone, Copy)]
struct Quadratic(f64, f64, f64);

impl Quadratic {
    /// Returns the square of `a + b z`.
    fn square_of(a: f64, b: f64) -> Quadratic {
        Quadratic(a * a, 2.0 * a * b, b * b)
    }

    fn plus(self, other: Quadratic) -> Quadratic {
        Quadratic(self.0 + other.0, self.1 + other.1, self.2 + other.2)
    }

    fn minus(self, other: Quadratic) -> Quadratic {
        Quadratic(self.0 - other.0, self.1 - other.1, self.2 - other.2)
    }

    fn roots(self) -> [Option<f64>; 2] {
        let Quadratic(a, b, c) = self;
        let under = b * b - 4.0 * a * c;
        if under < 0.0 {
            return [None, None];
        }
        // The root far from zero comes from the formula and the other from their product, so that
        // neither suffers from cancellation.
        let far = -0.5 * (b + b.signum() * under.sqrt());
        let root = |top: f64, bottom: f64| Some(top / bottom).filter(|z| z.is_finite());
        [root(far, c), root(a, far)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roots_solve_the_quadratic() {
        for (a, b, c) in [
            (6.0, -5.0, 1.0),
            (-2.0, 1.0, 0.0),
            (0.0, 0.0, 1.0),
            (4.0, 0.0, -1.0),
            (1e-12, 1.0, 1.0),
        ] {
            for z in Quadratic(a, b, c).roots().into_iter().flatten() {
                assert!((a + b * z + c * z * z).abs() < 1e-9, "{a} {b} {c}: {z}");
            }
        }
        let [one, two] = Quadratic(6.0, -5.0, 1.0).roots();
        assert_eq!((one, two), (Some(3.0), Some(2.0)));
        assert_eq!(Quadratic(1.0, 0.0, 1.0).roots(), [None, None]);
        assert_eq!(Quadratic(-2.0, 1.0, 0.0).roots()[1], Some(2.0));
    }
}
