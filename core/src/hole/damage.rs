//! Damage of a hole: missing metal, hard metal, a broken piece, a crack.
//!
//! Missing metal is described by stations that can be measured with a caliper, a rule and a
//! flashlight: circles, each over a span of depth, either constant or tapering evenly.
//! [`thread_left`] and [`effective_engagement`] say how much thread they leave.

mod after_milling;
mod check;
mod lean;

mod station;

pub use super::wall::{
    Slice, effective_engagement, metal_start, slices, thread_left, thread_left_by_angle,
};
pub use check::{DamageError, SpanLabel};
pub use lean::{AmbiguousTilt, Lean, Tilt};
pub use station::{Circle, Station};

use crate::length::Length;
use serde::{Deserialize, Serialize};

/// Largest depth accepted: 2 m.
pub const MAX_DEPTH: Length = Length::from_nm(2_000_000_000);
/// Largest diameter or offset of missing metal accepted: 500 mm.
pub const MAX_DIAMETER: Length = Length::from_nm(500_000_000);
/// Largest number of stations and hard zones accepted for one hole. More is a pasted table.
pub const MAX_STATIONS: usize = 40;

/// A range of depth below the face.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Span {
    /// Upper end.
    #[serde(rename = "from_mm")]
    pub from: Length,
    /// Lower end.
    #[serde(rename = "to_mm")]
    pub to: Length,
}

impl Span {
    /// Returns its length, or zero if it ends before it starts.
    pub fn length(self) -> Length {
        (self.to - self.from).clamp_at_zero()
    }

    /// Returns whether a depth lies in it. The start is included, the end is not.
    pub fn contains(self, depth: Length) -> bool {
        self.from <= depth && depth < self.to
    }

    /// Returns the overlap of two spans, with zero length if they do not overlap.
    pub fn intersection(self, other: Span) -> Span {
        let from = self.from.max(other.from);
        let to = self.to.min(other.to).max(from);
        Span { from, to }
    }
}

/// A range of depth in which the metal is too hard for a tap.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct HardZone {
    /// Depths of the zone, as read.
    #[serde(flatten)]
    pub span: Span,
    /// Tolerance of both ends, plus or minus; `None`: not given.
    #[serde(
        rename = "tolerance_mm",
        alias = "error_mm",
        default,
        skip_serializing_if = "Option::is_none"
    )]
    pub tolerance: Option<Length>,
}

impl HardZone {
    /// Returns the worst case: the span extended at both ends by its tolerance, but not above the
    /// face.
    pub fn reach(&self) -> Span {
        let tolerance = self.tolerance.unwrap_or_default().abs();
        Span {
            from: (self.span.from - tolerance).clamp_at_zero(),
            to: self.span.to + tolerance,
        }
    }
}

impl From<Span> for HardZone {
    fn from(span: Span) -> HardZone {
        HardZone {
            span,
            tolerance: None,
        }
    }
}

/// A tool or bolt broken off in the hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BrokenTool {
    /// What broke: bolt, tap, drill, stud.
    pub what: String,
    /// Length of the piece; `None`: unknown.
    #[serde(rename = "length_mm", default)]
    pub length: Option<Length>,
    /// Depth of its top below the face, negative if it stands proud; `None`: unknown.
    #[serde(rename = "top_mm", default)]
    pub top: Option<Length>,
}

/// Damage around the intended center of a hole.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Damage {
    /// Missing metal by depth.
    #[serde(default)]
    pub stations: Vec<Station>,
    /// Hard zones.
    #[serde(default)]
    pub hard: Vec<HardZone>,
    /// How far out of square the old hole is; `None`: square.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lean: Option<Lean>,
    /// The broken-off tool or bolt, if any.
    #[serde(default)]
    pub broken_tool: Option<BrokenTool>,
    /// Whether a crack was seen.
    #[serde(default)]
    pub crack: bool,
}

impl Damage {
    /// Returns whether no damage is described.
    pub fn is_empty(&self) -> bool {
        *self == Damage::default()
    }

    /// Returns how far the old hole is off center: the largest offset of a circle of missing metal
    /// that contains the intended center.
    pub fn off_center(&self) -> Length {
        let stations = self.stations.iter().map(Station::off_center);
        stations.max().unwrap_or(Length::ZERO)
    }

    /// Returns the length of a span that lies in hard zones.
    pub fn hard_within(&self, span: Span) -> Length {
        let mut zones: Vec<Span> = self
            .hard
            .iter()
            .map(|zone| zone.reach().intersection(span))
            .collect();
        zones.sort_by_key(|zone| zone.from);
        let (mut total, mut reached) = (Length::ZERO, span.from);
        for zone in zones {
            total += (zone.to - zone.from.max(reached)).clamp_at_zero();
            reached = reached.max(zone.to);
        }
        total
    }
}

#[cfg(test)]
mod tests;
