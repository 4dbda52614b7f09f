//! Lean of an old hole that is not square to the face.

use super::{Circle, Span, Station};
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// Lean of the old hole's axis.
///
/// A thread that is kept keeps the lean, and so does the bolt in it. A remedy that is drilled on
/// the true axis sees the leaning hole as missing metal. In a plane square to the true axis, a
/// leaning round hole is elongated by the reciprocal of the cosine of its tilt; that is neglected
/// (0.4 % at 5 degrees).
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Lean {
    /// Amount of tilt, as measured.
    #[serde(flatten)]
    pub tilt: Tilt,
    /// Direction from the hole's top to its bottom, in degrees counterclockwise, 0 to the right in
    /// the photo.
    #[serde(default)]
    pub direction_deg: f64,
    /// Distance of its center at the face from the intended center.
    #[serde(rename = "offset_mm", default)]
    pub offset: Length,
    /// Direction of that offset, in the same degrees.
    #[serde(default)]
    pub offset_direction_deg: f64,
    /// Diameter of the old hole to the root of its thread; `None`: the wanted thread's nominal
    /// diameter.
    #[serde(
        rename = "diameter_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub diameter: Option<Length>,
}

/// How much an axis leans, as measured.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "TiltJson", into = "TiltJson")]
pub enum Tilt {
    /// A sideways run over a depth.
    Run {
        /// Sideways run.
        by: Length,
        /// Depth of that run.
        over: Length,
    },
    /// An angle, in degrees from square to the face.
    Degrees(f64),
}

/// JSON of a tilt: `by_mm` and `over_mm`, or `tilt_deg`.
#[derive(Default, Serialize, Deserialize)]
#[serde(default)]
struct TiltJson {
    #[serde(rename = "by_mm", skip_serializing_if = "Option::is_none")]
    by: Option<Length>,
    #[serde(rename = "over_mm", skip_serializing_if = "Option::is_none")]
    over: Option<Length>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tilt_deg: Option<f64>,
}

/// Error of a lean that gives no tilt, or two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a lean has no clear tilt; give one of the two: by_mm with over_mm, or tilt_deg")]
pub struct AmbiguousTilt;

impl TryFrom<TiltJson> for Tilt {
    type Error = AmbiguousTilt;

    fn try_from(json: TiltJson) -> Result<Tilt, AmbiguousTilt> {
        match (json.by, json.over, json.tilt_deg) {
            (Some(by), Some(over), None) => Ok(Tilt::Run { by, over }),
            (None, None, Some(degrees)) => Ok(Tilt::Degrees(degrees)),
            _ => Err(AmbiguousTilt),
        }
    }
}

impl From<Tilt> for TiltJson {
    fn from(tilt: Tilt) -> TiltJson {
        match tilt {
            Tilt::Run { by, over } => TiltJson {
                by: Some(by),
                over: Some(over),
                ..TiltJson::default()
            },
            Tilt::Degrees(degrees) => TiltJson {
                tilt_deg: Some(degrees),
                ..TiltJson::default()
            },
        }
    }
}

impl Tilt {
    /// Returns the sideways run per depth: the tangent of the tilt.
    pub fn slope(self) -> f64 {
        match self {
            Tilt::Run { by, over } => by.mm() / over.mm(),
            Tilt::Degrees(degrees) => degrees.to_radians().tan(),
        }
    }

    /// Returns the tilt in degrees from square to the face.
    pub fn degrees(self) -> f64 {
        match self {
            Tilt::Run { .. } => self.slope().atan().to_degrees(),
            Tilt::Degrees(degrees) => degrees,
        }
    }
}

impl Lean {
    /// Returns the position of the old axis at a depth, in mm to the right of the intended center
    /// and above it in the photo.
    pub(super) fn center_mm(&self, depth: Length) -> (f64, f64) {
        let (sin, cos) = self.direction_deg.to_radians().sin_cos();
        let (top_sin, top_cos) = self.offset_direction_deg.to_radians().sin_cos();
        let (top, run) = (self.offset.mm(), self.tilt.slope() * depth.mm());
        (top * top_cos + run * cos, top * top_sin + run * sin)
    }

    /// Returns the distance of the old axis from the intended one at a depth.
    pub fn offset_at(&self, depth: Length) -> Length {
        let (x, y) = self.center_mm(depth);
        Length::from_computed_mm(x.hypot(y))
    }

    /// Returns the old hole as missing metal from the face to `bottom`.
    ///
    /// Its diameter is `usual` unless it was measured. Whether the lean was read before or after the
    /// face was milled by `milled` is not known, so the circle is wide enough for both.
    pub(in crate::hole) fn station(
        &self,
        usual: Length,
        bottom: Length,
        milled: Length,
    ) -> Station {
        let moved = Length::from_computed_mm(2.0 * self.tilt.slope() * milled.mm());
        let diameter = self.diameter.unwrap_or(usual) + moved;
        let circle = |depth: Length| {
            let (x, y) = self.center_mm(depth);
            Circle {
                diameter,
                offset: Length::from_computed_mm(x.hypot(y)),
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
