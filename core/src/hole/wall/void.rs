//! Circles of missing metal as rays from the intended centre meet them, and the ring of the thread.

use crate::hole::damage::Circle;
use crate::hole::elliptic::second_kind;
use crate::length::Length;
use std::f64::consts::{PI, TAU};

/// The ring in which the thread stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ring {
    pub drilled_mm: f64,
    pub major_mm: f64,
}

/// A circle of missing metal, in polar coordinates of the intended centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Void {
    offset_mm: f64,
    radius_mm: f64,
    direction: f64,
}

/// The circle that reaches farthest out at an angle, and how far.
pub(super) fn farthest(voids: &[Void], angle: f64, ring: Ring) -> Option<(Void, f64)> {
    voids
        .iter()
        .map(|void| (*void, void.reach_mm(angle, ring)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Every angle at which the farthest circle may change, or its edge may cross the ring.
pub(super) fn bends(voids: &[Void], ring: Ring) -> Vec<f64> {
    let mut angles = Vec::with_capacity(8);
    for (i, void) in voids.iter().enumerate() {
        let crossings = [ring.drilled_mm, ring.major_mm].map(|radius| void.crossing(radius));
        for away in crossings.into_iter().chain([void.tangent()]).flatten() {
            angles.extend([
                wrapped(void.direction + away),
                wrapped(void.direction - away),
            ]);
        }
        for other in &voids[i + 1..] {
            angles.extend(void.meets(other).into_iter().flatten());
        }
    }
    angles
}

fn wrapped(angle: f64) -> f64 {
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

impl Void {
    pub fn of(circle: &Circle) -> Void {
        Void {
            offset_mm: circle.offset.mm(),
            radius_mm: circle.diameter.mm() / 2.0,
            direction: wrapped(circle.direction_deg.to_radians()),
        }
    }

    /// A circle on the straight way to another: at 0 it is this one, at 1 the other.
    pub fn towards(&self, other: &Void, share: f64) -> Void {
        let between = |from: f64, to: f64| from + share * (to - from);
        let radius_mm = between(self.radius_mm, other.radius_mm);
        if self.direction == other.direction {
            return Void {
                offset_mm: between(self.offset_mm, other.offset_mm),
                radius_mm,
                ..*self
            };
        }
        let ((x0, y0), (x1, y1)) = (self.centre(), other.centre());
        let (x, y) = (between(x0, x1), between(y0, y1));
        Void {
            offset_mm: x.hypot(y),
            radius_mm,
            direction: y.atan2(x),
        }
    }

    pub fn radius_mm(&self) -> f64 {
        self.radius_mm
    }

    /// The same size and offset, lying to the right.
    pub fn turned_right(self) -> Void {
        Void {
            direction: 0.0,
            ..self
        }
    }

    /// How far out nothing at all is left; below zero for a circle that does not hold the centre.
    pub fn inner_mm(&self) -> f64 {
        self.radius_mm - self.offset_mm
    }

    /// The farthest that it reaches out.
    pub fn outer_mm(&self) -> f64 {
        self.offset_mm + self.radius_mm
    }

    fn holds_centre(&self) -> bool {
        self.offset_mm <= self.radius_mm
    }

    /// How far out no metal counts at an angle; zero where the ray meets no damage that matters to the thread.
    fn reach_mm(&self, angle: f64, ring: Ring) -> f64 {
        let (sin, cos) = (angle - self.direction).sin_cos();
        let along = self.offset_mm * cos;
        let across2 = self.radius_mm * self.radius_mm - (self.offset_mm * sin).powi(2);
        if self.holds_centre() {
            return along + across2.max(0.0).sqrt();
        }
        if along <= 0.0 || across2 < 0.0 || along - across2.sqrt() >= ring.major_mm {
            return 0.0;
        }
        along + across2.sqrt()
    }

    /// The integral of the distance to the far side between two angles.
    pub fn swept(&self, from: f64, to: f64) -> f64 {
        let (a, b) = (from - self.direction, to - self.direction);
        let k2 = (self.offset_mm / self.radius_mm).powi(2);
        self.offset_mm * (b.sin() - a.sin())
            + self.radius_mm * (second_kind(b, k2) - second_kind(a, k2))
    }

    /// The part of a turn over which it reaches beyond a circle round the intended centre.
    pub fn beyond(&self, radius_mm: f64) -> f64 {
        if self.inner_mm() >= radius_mm {
            1.0
        } else if self.outer_mm() <= radius_mm {
            0.0
        } else {
            self.crossing(radius_mm).map_or(0.0, |away| away / PI)
        }
    }

    /// How far to either side of the direction the circle's edge crosses a circle round the intended centre.
    fn crossing(&self, radius_mm: f64) -> Option<f64> {
        let (e, r) = (self.offset_mm, self.radius_mm);
        let cos = (e * e + radius_mm * radius_mm - r * r) / (2.0 * e * radius_mm);
        (cos.abs() <= 1.0).then(|| cos.acos())
    }

    /// How far to either side the outermost rays lie that still touch a circle which does not hold the centre;
    /// a quarter turn where its edge runs through the centre.
    fn tangent(&self) -> Option<f64> {
        let sin = self.radius_mm / self.offset_mm;
        (sin <= 1.0).then(|| sin.asin())
    }

    /// The angles at which the edges of two circles meet, seen from the intended centre.
    fn meets(&self, other: &Void) -> [Option<f64>; 2] {
        let ((x1, y1), (x2, y2)) = (self.centre(), other.centre());
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

    /// Where its centre lies, mm.
    pub fn centre(&self) -> (f64, f64) {
        let (sin, cos) = self.direction.sin_cos();
        (self.offset_mm * cos, self.offset_mm * sin)
    }
}
