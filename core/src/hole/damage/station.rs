//! Damage stations: circles of missing metal over a span of depth.

use super::Span;
use crate::id::EntryId;
use crate::length::Length;
use crate::places::record::{EdgeInPhoto, OffsetSource};
use serde::{Deserialize, Serialize};

/// A circle of missing metal over a span of depth.
///
/// Without a lower circle it is the same all the way down. With one it changes evenly: its center
/// along a straight line, its diameter in proportion to depth. This describes a crater that tapers
/// and an old hole that leans.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Station {
    /// Depths it covers.
    #[serde(flatten)]
    pub span: Span,
    /// Diameter, at the upper end.
    #[serde(rename = "diameter_mm")]
    pub diameter: Length,
    /// Distance of its center from the intended center.
    #[serde(rename = "offset_mm", default)]
    pub offset: Length,
    /// Direction of the offset, in degrees counterclockwise, 0 to the right in the photo. The
    /// direction of a single circle does not matter; where circles overlap in depth, their
    /// directions decide how much they share.
    #[serde(default)]
    pub direction_deg: f64,
    /// Diameter at the lower end, zero for a point; `None`: the same as at the upper end.
    #[serde(
        rename = "to_diameter_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub to_diameter: Option<Length>,
    /// Offset at the lower end; `None`: the same as at the upper end.
    #[serde(
        rename = "to_offset_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub to_offset: Option<Length>,
    /// Direction of the offset at the lower end; `None`: the same as at the upper end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_direction_deg: Option<f64>,
    /// Tolerance of the diameters, plus or minus; `None`: not given.
    #[serde(
        rename = "diameter_tolerance_mm",
        alias = "diameter_error_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub diameter_tolerance: Option<Length>,
    /// Tolerance of the centers, in any direction; `None`: not given.
    #[serde(
        rename = "offset_tolerance_mm",
        alias = "offset_error_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub offset_tolerance: Option<Length>,
    /// What the offset was taken from, if it was not measured at the hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub offset_source: Option<OffsetSource>,
    /// The entries that its circle was worked out from, if it was not measured at the hole: marks,
    /// numbers and places of holes, known points, the photo, the pattern. It holds while all of them
    /// are in force.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<EntryId>,
    /// The edge that it was measured by, if it was traced in a photo.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub traced: Option<EdgeInPhoto>,
}

/// A circle of missing metal at one depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Its diameter.
    pub diameter: Length,
    /// Distance of its center from the intended center.
    pub offset: Length,
    /// Direction of the offset, in degrees counterclockwise, 0 to the right in the photo.
    pub direction_deg: f64,
}

impl Circle {
    /// Returns whether the intended center lies in it: an off-center hole, not a void next to it.
    pub fn contains_center(&self) -> bool {
        self.offset * 2 <= self.diameter
    }

    /// Returns its center, in mm to the right of the intended center and above it in the photo.
    pub fn center_mm(&self) -> (f64, f64) {
        let (sin, cos) = self.direction_deg.to_radians().sin_cos();
        (self.offset.mm() * cos, self.offset.mm() * sin)
    }
}

impl Station {
    /// Returns a circle that is the same over a span.
    pub fn of(span: Span, diameter: Length, offset: Length, direction_deg: f64) -> Station {
        Station {
            span,
            diameter,
            offset,
            direction_deg,
            to_diameter: None,
            to_offset: None,
            to_direction_deg: None,
            diameter_tolerance: None,
            offset_tolerance: None,
            offset_source: None,
            rests_on: Vec::new(),
            traced: None,
        }
    }

    /// Returns the station with another circle at its lower end.
    pub fn changing_to(self, lower: Circle) -> Station {
        Station {
            to_diameter: Some(lower.diameter),
            to_offset: Some(lower.offset),
            to_direction_deg: Some(lower.direction_deg),
            ..self
        }
    }

    /// Returns the circle at the upper end at the worst case of its tolerances.
    pub fn upper(&self) -> Circle {
        Circle {
            diameter: self.diameter + self.allowance(),
            offset: self.offset,
            direction_deg: self.direction_deg,
        }
    }

    /// Returns the circle at the lower end at the worst case of its tolerances.
    pub fn lower(&self) -> Circle {
        Circle {
            diameter: self.to_diameter.unwrap_or(self.diameter) + self.allowance(),
            offset: self.to_offset.unwrap_or(self.offset),
            direction_deg: self.to_direction_deg.unwrap_or(self.direction_deg),
        }
    }

    /// Returns how much larger the worst-case diameter is than the reading.
    ///
    /// A circle whose center may be off by some distance in any direction is replaced by one whose
    /// radius is larger by that distance, which contains it at any position.
    fn allowance(&self) -> Length {
        let abs = |tolerance: Option<Length>| tolerance.unwrap_or_default().abs();
        abs(self.diameter_tolerance) + abs(self.offset_tolerance) * 2
    }

    /// Returns whether the circle changes with depth.
    pub fn changes(&self) -> bool {
        let (upper, lower) = (self.upper(), self.lower());
        let moves = upper.offset != lower.offset
            || upper.offset.is_positive() && upper.direction_deg != lower.direction_deg;
        moves || upper.diameter != lower.diameter
    }

    /// Returns the worst-case circle at a depth. Depths outside the span count as its nearer end.
    pub fn at(&self, depth: Length) -> Circle {
        let (upper, lower) = (self.upper(), self.lower());
        if !self.changes() || depth <= self.span.from {
            return upper;
        }
        if depth >= self.span.to {
            return lower;
        }
        let share = (depth - self.span.from).mm() / self.span.length().mm();
        let between = |from: f64, to: f64| from + share * (to - from);
        let between_lengths = |from: Length, to: Length| between(from.mm(), to.mm());
        let diameter = Length::from_computed_mm(between_lengths(upper.diameter, lower.diameter));
        if upper.direction_deg == lower.direction_deg {
            return Circle {
                diameter,
                offset: Length::from_computed_mm(between_lengths(upper.offset, lower.offset)),
                direction_deg: upper.direction_deg,
            };
        }
        let ((x0, y0), (x1, y1)) = (upper.center_mm(), lower.center_mm());
        let (x, y) = (between(x0, x1), between(y0, y1));
        Circle {
            diameter,
            offset: Length::from_computed_mm(x.hypot(y)),
            direction_deg: y.atan2(x).to_degrees(),
        }
    }

    /// Returns the part that lies in another span; `None` if there is none.
    pub fn clipped_to(&self, span: Span) -> Option<Station> {
        let shared = self.span.intersection(span);
        if !shared.length().is_positive() {
            return None;
        }
        if !self.changes() || shared == self.span {
            return Some(Station {
                span: shared,
                ..self.clone()
            });
        }
        let read = Station {
            diameter_tolerance: None,
            offset_tolerance: None,
            ..self.clone()
        };
        let (upper, lower) = (read.at(shared.from), read.at(shared.to));
        let part = Station {
            diameter_tolerance: self.diameter_tolerance,
            offset_tolerance: self.offset_tolerance,
            ..Station::of(shared, upper.diameter, upper.offset, upper.direction_deg)
        };
        Some(part.changing_to(lower))
    }

    /// Returns the largest offset at which the circle contains the intended center; zero if it
    /// never does.
    pub fn off_center(&self) -> Length {
        // The distance to a point that moves along a straight line is largest at an end.
        [self.upper(), self.lower()]
            .into_iter()
            .filter(Circle::contains_center)
            .map(|circle| circle.offset)
            .max()
            .unwrap_or(Length::ZERO)
    }
}
