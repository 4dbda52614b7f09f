//! Circles of missing metal in polar coordinates of the intended center, and the ring of the
//! thread.

use super::ray::Ray;
use crate::hole::damage::Circle;
use crate::hole::elliptic::second_kind;
use crate::length::Length;
use std::f64::consts::PI;

/// The ring that the thread occupies: its drilled and major radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ring {
    pub drilled_mm: f64,
    pub major_mm: f64,
}

/// A circle of missing metal, as seen from the intended center; angles in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PolarCircle {
    x_mm: f64,
    y_mm: f64,
    offset_mm: f64,
    radius_mm: f64,
}

/// Returns the index of the circle that reaches farthest at an angle, whose cosine and sine are
/// given, with its reach in mm.
pub(super) fn farthest(
    circles: &[PolarCircle],
    direction: (f64, f64),
    ring: Ring,
) -> Option<(usize, f64)> {
    circles
        .iter()
        .map(|circle| circle.reach_mm(direction, ring))
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Appends the rays at which the farthest circle may change or its edge may cross the ring.
pub(super) fn add_breakpoints(circles: &[PolarCircle], ring: Ring, rays: &mut Vec<Ray>) {
    for (i, circle) in circles.iter().enumerate() {
        let crossings = [ring.drilled_mm, ring.major_mm].map(|radius| circle.crossing_cos(radius));
        let beside = crossings.into_iter().chain([circle.tangent_cos()]);
        for cos in beside.filter(|cos| cos.abs() <= 1.0) {
            rays.extend(circle.rays_beside(cos));
        }
        for other in &circles[i + 1..] {
            let points = circle.meets(other).into_iter().flatten();
            rays.extend(points.filter_map(Ray::to_point));
        }
    }
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
        let (sin, cos) = circle.direction_deg.to_radians().sin_cos();
        let offset_mm = circle.offset.mm();
        PolarCircle {
            x_mm: offset_mm * cos,
            y_mm: offset_mm * sin,
            offset_mm,
            radius_mm: circle.diameter.mm() / 2.0,
        }
    }

    /// Returns the circle between this one (`share` 0) and another (`share` 1).
    pub fn interpolate(&self, other: &PolarCircle, share: f64) -> PolarCircle {
        let between = |from: f64, to: f64| from + share * (to - from);
        let (x_mm, y_mm) = (
            between(self.x_mm, other.x_mm),
            between(self.y_mm, other.y_mm),
        );
        PolarCircle {
            x_mm,
            y_mm,
            offset_mm: (x_mm * x_mm + y_mm * y_mm).sqrt(),
            radius_mm: between(self.radius_mm, other.radius_mm),
        }
    }

    pub fn radius_mm(&self) -> f64 {
        self.radius_mm
    }

    /// Returns the circle rotated to angle zero.
    pub fn facing_right(self) -> PolarCircle {
        PolarCircle {
            x_mm: self.offset_mm,
            y_mm: 0.0,
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

    pub fn contains_center(&self) -> bool {
        self.offset_mm <= self.radius_mm
    }

    /// Returns the radius up to which no metal counts towards a direction, given as its cosine and
    /// sine, in mm; zero if the ray meets no damage that affects the thread.
    fn reach_mm(&self, (cos, sin): (f64, f64), ring: Ring) -> f64 {
        let along = self.x_mm * cos + self.y_mm * sin;
        let across = self.x_mm * sin - self.y_mm * cos;
        let across2 = self.radius_mm * self.radius_mm - across * across;
        if self.contains_center() {
            return along + across2.max(0.0).sqrt();
        }
        if along <= 0.0 || across2 < 0.0 || along - across2.sqrt() >= ring.major_mm {
            return 0.0;
        }
        along + across2.sqrt()
    }

    /// Returns the integral of the distance to the far side between two rays, which are `turn` radians
    /// apart.
    pub fn reach_integral(&self, turn: f64, from: &Ray, to: &Ray) -> f64 {
        self.reach_between(turn, self.away(from), self.away(to))
    }

    /// Returns the integral of the distance to the far side between two angles from its direction,
    /// whose sines and cosines are given, and which are `turn` radians apart.
    fn reach_between(&self, turn: f64, from: (f64, f64), to: (f64, f64)) -> f64 {
        let k = self.offset_mm / self.radius_mm;
        self.offset_mm * (to.0 - from.0) + self.radius_mm * second_kind(turn, from, to, k * k)
    }

    /// Returns the sine and cosine of the angle from its direction to a ray; a circle on the intended
    /// center has none, and is the same at every angle.
    fn away(&self, ray: &Ray) -> (f64, f64) {
        if self.offset_mm == 0.0 {
            return (0.0, 1.0);
        }
        let across = self.x_mm * ray.sin - self.y_mm * ray.cos;
        let along = self.x_mm * ray.cos + self.y_mm * ray.sin;
        (across / self.offset_mm, along / self.offset_mm)
    }

    /// Returns the mean height that it takes of a ring, in mm, if it contains the intended center: its
    /// far side then comes closer all the way from its direction to the opposite one, and crosses each
    /// edge of the ring once, if at all.
    pub fn mean_lost_mm(&self, ring: Ring) -> f64 {
        let to_major = self.crosses(ring.major_mm);
        let to_drilled = self.crosses(ring.drilled_mm);
        let turn = to_drilled.0 - to_major.0;
        let between = self.reach_between(turn, to_major.1, to_drilled.1) - ring.drilled_mm * turn;
        (ring.height_mm() * to_major.0 + between) / PI
    }

    /// Returns the angle from its direction at which its far side comes closer than a radius, with its
    /// sine and cosine: zero if it is closer everywhere, half a turn if nowhere.
    fn crosses(&self, radius_mm: f64) -> (f64, (f64, f64)) {
        if self.outer_mm() <= radius_mm {
            return (0.0, (0.0, 1.0));
        }
        if self.inner_mm() >= radius_mm {
            return (PI, (0.0, -1.0));
        }
        let cos = self.crossing_cos(radius_mm).clamp(-1.0, 1.0);
        (cos.acos(), ((1.0 - cos * cos).sqrt(), cos))
    }

    /// Returns the fraction of a turn over which it reaches beyond a radius.
    pub fn fraction_beyond(&self, radius_mm: f64) -> f64 {
        if self.inner_mm() >= radius_mm {
            1.0
        } else if self.outer_mm() <= radius_mm {
            0.0
        } else {
            let cos = self.crossing_cos(radius_mm);
            if cos.abs() <= 1.0 {
                cos.acos() / PI
            } else {
                0.0
            }
        }
    }

    /// Returns the cosine of the angle, to either side of its direction, at which its edge crosses a
    /// radius; it is not between -1 and 1 if it crosses nowhere.
    fn crossing_cos(&self, radius_mm: f64) -> f64 {
        let (e, r) = (self.offset_mm, self.radius_mm);
        (e * e + radius_mm * radius_mm - r * r) / (2.0 * e * radius_mm)
    }

    /// Returns the cosine of the angle, to either side of its direction, of the rays tangent to it:
    /// zero where its edge passes through the intended center, not a number if it contains that
    /// center.
    fn tangent_cos(&self) -> f64 {
        let sin = self.radius_mm / self.offset_mm;
        (1.0 - sin * sin).sqrt()
    }

    /// Returns the two rays at an angle to either side of its direction, whose cosine is given.
    fn rays_beside(&self, cos: f64) -> [Ray; 2] {
        let (x, y) = (self.x_mm / self.offset_mm, self.y_mm / self.offset_mm);
        let sin = (1.0 - cos * cos).sqrt();
        [sin, -sin].map(|sin| Ray::new(x * cos - y * sin, y * cos + x * sin))
    }

    /// Returns the two points at which the edges of two circles intersect, x and y in mm.
    pub fn meets(&self, other: &PolarCircle) -> Option<[(f64, f64); 2]> {
        let ((x1, y1), (x2, y2)) = (self.center(), other.center());
        let (dx, dy) = (x2 - x1, y2 - y1);
        let apart = (dx * dx + dy * dy).sqrt();
        let along =
            (self.radius_mm.powi(2) - other.radius_mm.powi(2) + apart * apart) / (2.0 * apart);
        let across2 = self.radius_mm.powi(2) - along * along;
        if apart == 0.0 || across2 < 0.0 {
            return None;
        }
        Some([1.0, -1.0].map(|side| {
            let (a, b) = (along / apart, side * across2.sqrt() / apart);
            (x1 + a * dx - b * dy, y1 + a * dy + b * dx)
        }))
    }

    /// Returns the x and y of its center, in mm.
    pub fn center(&self) -> (f64, f64) {
        (self.x_mm, self.y_mm)
    }
}
