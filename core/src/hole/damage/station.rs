//! A circle of missing metal over a span of depth, which may change from its upper end to its lower.

use super::Span;
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// A circle of missing metal over a span of depth.
///
/// Without a lower circle it is the same all the way down. With one it changes evenly in between: its centre along a straight
/// line, its diameter in proportion to the depth. So a crater tapers, and an old hole leans.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Station {
    /// The depths it covers.
    #[serde(flatten)]
    pub span: Span,
    /// The circle's diameter; at the upper end, where there is a lower circle.
    #[serde(rename = "diameter_mm")]
    pub diameter: Length,
    /// How far its centre lies from the intended one.
    #[serde(rename = "offset_mm", default)]
    pub offset: Length,
    /// Which way, in degrees counter-clockwise from the picture's right. One circle alone leaves as much thread
    /// whichever way it lies; where circles overlap in depth, the way each lies tells how much they share.
    #[serde(default)]
    pub direction_deg: f64,
    /// The diameter at the lower end; zero where it comes to a point. `None`: the same as above.
    #[serde(
        rename = "to_diameter_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub to_diameter: Option<Length>,
    /// How far the centre lies off at the lower end; `None`: as far as above.
    #[serde(
        rename = "to_offset_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub to_offset: Option<Length>,
    /// Which way it lies off at the lower end; `None`: the same way as above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to_direction_deg: Option<f64>,
    /// How far the diameters may be off, either way; `None`: not said.
    #[serde(
        rename = "diameter_error_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub diameter_error: Option<Length>,
    /// How far the centres may lie from where they were read; `None`: not said.
    #[serde(
        rename = "offset_error_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub offset_error: Option<Length>,
}

/// A circle of missing metal at one depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle {
    /// Its diameter.
    pub diameter: Length,
    /// How far its centre lies from the intended one.
    pub offset: Length,
    /// Which way, in degrees counter-clockwise from the picture's right.
    pub direction_deg: f64,
}

impl Circle {
    /// Whether the intended centre lies in it: a hole that wandered, and not a void beside.
    pub fn holds_centre(&self) -> bool {
        self.offset * 2 <= self.diameter
    }

    /// Its centre, to the right of the intended one and above it in the picture, mm.
    pub fn centre_mm(&self) -> (f64, f64) {
        let (sin, cos) = self.direction_deg.to_radians().sin_cos();
        (self.offset.mm() * cos, self.offset.mm() * sin)
    }
}

impl Station {
    /// A circle that is the same over a span.
    pub fn of(span: Span, diameter: Length, offset: Length, direction_deg: f64) -> Station {
        Station {
            span,
            diameter,
            offset,
            direction_deg,
            to_diameter: None,
            to_offset: None,
            to_direction_deg: None,
            diameter_error: None,
            offset_error: None,
        }
    }

    /// The same, changing evenly to another circle at its lower end.
    pub fn changing_to(self, lower: Circle) -> Station {
        Station {
            to_diameter: Some(lower.diameter),
            to_offset: Some(lower.offset),
            to_direction_deg: Some(lower.direction_deg),
            ..self
        }
    }

    /// The circle at the upper end, as large as the errors of its readings allow.
    pub fn upper(&self) -> Circle {
        Circle {
            diameter: self.diameter + self.doubt(),
            offset: self.offset,
            direction_deg: self.direction_deg,
        }
    }

    /// The circle at the lower end, as large as the errors of its readings allow.
    pub fn lower(&self) -> Circle {
        Circle {
            diameter: self.to_diameter.unwrap_or(self.diameter) + self.doubt(),
            offset: self.to_offset.unwrap_or(self.offset),
            direction_deg: self.to_direction_deg.unwrap_or(self.direction_deg),
        }
    }

    /// By how much the circle may be larger than it was read. A circle whose centre may lie off its place by so much, any way, is
    /// taken as one so much larger all round: wherever it truly lies, it lies in that one.
    fn doubt(&self) -> Length {
        let error = |error: Option<Length>| error.unwrap_or_default().abs();
        error(self.diameter_error) + error(self.offset_error) * 2
    }

    /// Whether the circle at the lower end is another than the one above.
    pub fn changes(&self) -> bool {
        let (upper, lower) = (self.upper(), self.lower());
        let moves = upper.offset != lower.offset
            || upper.offset.is_positive() && upper.direction_deg != lower.direction_deg;
        moves || upper.diameter != lower.diameter
    }

    /// The circle at a depth, which is taken to lie in the span.
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
        let diameter = Length::computed_mm(between_lengths(upper.diameter, lower.diameter));
        if upper.direction_deg == lower.direction_deg {
            return Circle {
                diameter,
                offset: Length::computed_mm(between_lengths(upper.offset, lower.offset)),
                direction_deg: upper.direction_deg,
            };
        }
        let ((x0, y0), (x1, y1)) = (upper.centre_mm(), lower.centre_mm());
        let (x, y) = (between(x0, x1), between(y0, y1));
        Circle {
            diameter,
            offset: Length::computed_mm(x.hypot(y)),
            direction_deg: y.atan2(x).to_degrees(),
        }
    }

    /// The part of it that lies in another span; `None` where none does.
    pub fn within(&self, span: Span) -> Option<Station> {
        let shared = self.span.shared_with(span);
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
            diameter_error: None,
            offset_error: None,
            ..self.clone()
        };
        let (upper, lower) = (read.at(shared.from), read.at(shared.to));
        let part = Station {
            diameter_error: self.diameter_error,
            offset_error: self.offset_error,
            ..Station::of(shared, upper.diameter, upper.offset, upper.direction_deg)
        };
        Some(part.changing_to(lower))
    }

    /// The farthest that its centre lies from the intended one while the circle holds that one; zero where it never does.
    pub fn wandered(&self) -> Length {
        // The distance of a point that runs along a straight line is greatest at an end.
        [self.upper(), self.lower()]
            .into_iter()
            .filter(Circle::holds_centre)
            .map(|circle| circle.offset)
            .max()
            .unwrap_or(Length::ZERO)
    }
}
