//! An old hole that is not square to the face.

use super::{Circle, Span, Station};
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// The axis of the old hole leans.
///
/// What is kept of its thread keeps the lean, and so does the bolt in it. What is drilled on the true axis meets the leaning hole as
/// missing metal. In a plane square to the true axis a leaning round hole is longer one way by the reciprocal of the cosine of its
/// tilt; that is left out, at 5 degrees it comes to 0.4 %.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Wire", into = "Wire")]
pub struct Lean {
    /// By how much.
    pub tilt: Tilt,
    /// Which way its lower end lies from the upper, in degrees counter-clockwise from the picture's right.
    pub direction_deg: f64,
    /// How far its centre at the face lies from the intended one.
    pub offset: Length,
    /// Which way, in the same degrees.
    pub offset_direction_deg: f64,
    /// Diameter of the old hole to the bottom of its thread; `None`: the wanted thread's nominal size.
    pub diameter: Option<Length>,
}

/// How much an axis leans, as it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tilt {
    /// So much sideways over so much of depth.
    Run {
        /// Sideways.
        by: Length,
        /// Over this depth.
        over: Length,
    },
    /// By an angle, in degrees from square to the face.
    Degrees(f64),
}

/// The lean as JSON: `by_mm` and `over_mm`, or `tilt_deg`.
#[derive(Serialize, Deserialize)]
struct Wire {
    #[serde(rename = "by_mm", default, skip_serializing_if = "Option::is_none")]
    by: Option<Length>,
    #[serde(rename = "over_mm", default, skip_serializing_if = "Option::is_none")]
    over: Option<Length>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tilt_deg: Option<f64>,
    #[serde(default)]
    direction_deg: f64,
    #[serde(rename = "offset_mm", default)]
    offset: Length,
    #[serde(default)]
    offset_direction_deg: f64,
    #[serde(
        rename = "diameter_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    diameter: Option<Length>,
}

/// A lean that does not say by how much, or says it twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "a lean is said either by_mm sideways over_mm of depth, or as tilt_deg; give one of the two, whole"
)]
pub struct UnclearLean;

impl TryFrom<Wire> for Lean {
    type Error = UnclearLean;

    fn try_from(wire: Wire) -> Result<Lean, UnclearLean> {
        let tilt = match (wire.by, wire.over, wire.tilt_deg) {
            (Some(by), Some(over), None) => Tilt::Run { by, over },
            (None, None, Some(degrees)) => Tilt::Degrees(degrees),
            _ => return Err(UnclearLean),
        };
        Ok(Lean {
            tilt,
            direction_deg: wire.direction_deg,
            offset: wire.offset,
            offset_direction_deg: wire.offset_direction_deg,
            diameter: wire.diameter,
        })
    }
}

impl From<Lean> for Wire {
    fn from(lean: Lean) -> Wire {
        let (by, over, tilt_deg) = match lean.tilt {
            Tilt::Run { by, over } => (Some(by), Some(over), None),
            Tilt::Degrees(degrees) => (None, None, Some(degrees)),
        };
        Wire {
            by,
            over,
            tilt_deg,
            direction_deg: lean.direction_deg,
            offset: lean.offset,
            offset_direction_deg: lean.offset_direction_deg,
            diameter: lean.diameter,
        }
    }
}

impl Tilt {
    /// Sideways over depth: the tangent of the tilt.
    pub fn slope(self) -> f64 {
        match self {
            Tilt::Run { by, over } => by.mm() / over.mm(),
            Tilt::Degrees(degrees) => degrees.to_radians().tan(),
        }
    }

    /// The tilt in degrees from square to the face.
    pub fn degrees(self) -> f64 {
        match self {
            Tilt::Run { .. } => self.slope().atan().to_degrees(),
            Tilt::Degrees(degrees) => degrees,
        }
    }
}

impl Lean {
    /// Where the old axis lies at a depth: right of the intended centre and above it in the picture, mm.
    fn centre_mm(&self, depth: Length) -> (f64, f64) {
        let (sin, cos) = self.direction_deg.to_radians().sin_cos();
        let (top_sin, top_cos) = self.offset_direction_deg.to_radians().sin_cos();
        let (top, run) = (self.offset.mm(), self.tilt.slope() * depth.mm());
        (top * top_cos + run * cos, top * top_sin + run * sin)
    }

    /// How far the old axis lies off the intended one at a depth.
    pub fn offset_at(&self, depth: Length) -> Length {
        let (x, y) = self.centre_mm(depth);
        Length::computed_mm(x.hypot(y))
    }

    /// The metal that the old hole lacks, down to `bottom`, where its diameter is `usual` unless it was measured. Of a face that was milled
    /// since, nobody knows whether the lean was read before or after: the circle is wide enough for both.
    pub(in crate::hole) fn station(
        &self,
        usual: Length,
        bottom: Length,
        milled: Length,
    ) -> Station {
        let moved = Length::computed_mm(2.0 * self.tilt.slope() * milled.mm());
        let diameter = self.diameter.unwrap_or(usual) + moved;
        let circle = |depth: Length| {
            let (x, y) = self.centre_mm(depth);
            Circle {
                diameter,
                offset: Length::computed_mm(x.hypot(y)),
                direction_deg: y.atan2(x).to_degrees(),
            }
        };
        let span = Span {
            from: Length::ZERO,
            to: bottom,
        };
        let top = circle(Length::ZERO);
        Station::of(span, diameter, top.offset, top.direction_deg).changing_to(circle(bottom))
    }
}
