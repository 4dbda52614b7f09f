//! Circles of missing metal in polar coordinates of the intended center, and the ring of the
//! thread.

use crate::hole::damage::Circle;
use crate::hole::elliptic::second_kind;
use crate::length::Length;
use std::f64::consts::{PI, TAU};

/// The ring that the thread occupies: its drilled and major radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ring {
    pub drilled_mm: f64,
    pub major_mm: f64,
}

/// A circle of missing metal, in polar coordinates of the intended center; angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PolarCircle {
    offset_mm: f64,
    radius_mm: f64,
    direction: f64,
}

/// Returns the circle that reaches farthest at an angle, with its reach in mm.
pub(super) fn farthest(
    circles: &[PolarCircle],
    angle: f64,
    ring: Ring,
) -> Option<(PolarCircle, f64)> {
    circles
        .iter()
        .map(|circle| (*circle, circle.reach_mm(angle, ring)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Returns the angles at which the farthest circle may change or its edge may cross the ring.
pub(super) fn breakpoints(circles: &[PolarCircle], ring: Ring) -> Vec<f64> {
    let mut angles = Vec::with_capacity(8);
    for (i, circle) in circles.iter().enumerate() {
        let crossings = [ring.drilled_mm, ring.major_mm].map(|radius| circle.crossing(radius));
        for away in crossings.into_iter().chain([circle.tangent()]).flatten() {
            angles.extend([
                wrap_angle(circle.direction + away),
                wrap_angle(circle.direction - away),
            ]);
        }
        for other in &circles[i + 1..] {
            angles.extend(circle.intersections(other).into_iter().flatten());
        }
    }
    angles
}

fn wrap_angle(angle: f64) -> f64 {
    angle - TAU * (angle / TAU).round()
}

impl Ring {
    pub fn new(drilled: Length, major: Length) -> Option<Ring> {
        (Length::ZERO < drilled && drilled < major).then(|| Ring {
            drilled_mm: drilled.mm() / 2.0,
            major_mm: major.mm() / 2.0,
        })
    }

    pub fn height_mm(self) -> f64 {
        self.major_mm - self.drilled_mm
    }
}

impl PolarCircle {
    pub fn of(circle: &Circle) -> PolarCircle {
        PolarCircle {
            offset_mm: circle.offset.mm(),
            radius_mm: circle.diameter.mm() / 2.0,
            direction: wrap_angle(circle.direction_deg.to_radians()),
        }
    }

    /// Returns the circle between this one (`share` 0) and another (`share` 1).
    pub fn interpolate(&self, other: &PolarCircle, share: f64) -> PolarCircle {
        let between = |from: f64, to: f64| from + share * (to - from);
        let radius_mm = between(self.radius_mm, other.radius_mm);
        if self.direction == other.direction {
            return PolarCircle {
                offset_mm: between(self.offset_mm, other.offset_mm),
                radius_mm,
                ..*self
            };
        }
        let ((x0, y0), (x1, y1)) = (self.center(), other.center());
        let (x, y) = (between(x0, x1), between(y0, y1));
        PolarCircle {
            offset_mm: x.hypot(y),
            radius_mm,
            direction: y.atan2(x),
        }
    }

    pub fn radius_mm(&self) -> f64 {
        self.radius_mm
    }

    /// Returns the circle rotated to angle zero.
    pub fn facing_right(self) -> PolarCircle {
        PolarCircle {
            direction: 0.0,
            ..self
        }
    }

    /// Returns the radius up to which no metal is left at any angle, in mm; negative for a circle
    /// that does not contain the intended center.
    pub fn inner_mm(&self) -> f64 {
        self.radius_mm - self.offset_mm
    }

    /// Returns the largest radius that it reaches, in mm.
    pub fn outer_mm(&self) -> f64 {
        self.offset_mm + self.radius_mm
    }

    fn contains_center(&self) -> bool {
        self.offset_mm <= self.radius_mm
    }

    /// Returns the radius up to which no metal counts at an angle, in mm; zero if the ray meets
    /// no damage that affects the thread.
    fn reach_mm(&self, angle: f64, ring: Ring) -> f64 {
        let (sin, cos) = (angle - self.direction).sin_cos();
        let along = self.offset_mm * cos;
        let across2 = self.radius_mm * self.radius_mm - (self.offset_mm * sin).powi(2);
        if self.contains_center() {
            return along + across2.max(0.0).sqrt();
        }
        if along <= 0.0 || across2 < 0.0 || along - across2.sqrt() >= ring.major_mm {
            return 0.0;
        }
        along + across2.sqrt()
    }

    /// Returns the integral of the distance to the far side between two angles.
    pub fn reach_integral(&self, from: f64, to: f64) -> f64 {
        let (a, b) = (from - self.direction, to - self.direction);
        let k2 = (self.offset_mm / self.radius_mm).powi(2);
        self.offset_mm * (b.sin() - a.sin())
            + self.radius_mm * (second_kind(b, k2) - second_kind(a, k2))
    }

    /// Returns the fraction of a turn over which it reaches beyond a radius.
    pub fn fraction_beyond(&self, radius_mm: f64) -> f64 {
        if self.inner_mm() >= radius_mm {
            1.0
        } else if self.outer_mm() <= radius_mm {
            0.0
        } else {
            self.crossing(radius_mm).map_or(0.0, |away| away / PI)
        }
    }

    /// Returns the angle, to either side of its direction, at which its edge crosses a radius.
    fn crossing(&self, radius_mm: f64) -> Option<f64> {
        let (e, r) = (self.offset_mm, self.radius_mm);
        let cos = (e * e + radius_mm * radius_mm - r * r) / (2.0 * e * radius_mm);
        (cos.abs() <= 1.0).then(|| cos.acos())
    }

    /// Returns the angle, to either side of its direction, of the rays tangent to it: a quarter
    /// turn where its edge passes through the intended center, `None` if it contains that
    /// center.
    fn tangent(&self) -> Option<f64> {
        let sin = self.radius_mm / self.offset_mm;
        (sin <= 1.0).then(|| sin.asin())
    }

    /// Returns the angles at which the edges of two circles intersect, as seen from the intended
    /// center.
    fn intersections(&self, other: &PolarCircle) -> [Option<f64>; 2] {
        let ((x1, y1), (x2, y2)) = (self.center(), other.center());
        let (dx, dy) = (x2 - x1, y2 - y1);
        let apart = dx.hypot(dy);
        let along =
            (self.radius_mm.powi(2) - other.radius_mm.powi(2) + apart * apart) / (2.0 * apart);
        let across2 = self.radius_mm.powi(2) - along * along;
        if apart == 0.0 || across2 < 0.0 {
            return [None, None];
        }
        [1.0, -1.0].map(|side| {
            let (a, b) = (along / apart, side * across2.sqrt() / apart);
            Some((y1 + a * dy + b * dx).atan2(x1 + a * dx - b * dy))
        })
    }

    /// Returns the x and y of its center, in mm.
    pub fn center(&self) -> (f64, f64) {
        let (sin, cos) = self.direction.sin_cos();
        (self.offset_mm * cos, self.offset_mm * sin)
    }
}
