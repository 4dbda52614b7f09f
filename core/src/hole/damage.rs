//! What is missing round the intended centre, by depth.
//!
//! The stations are what a person can measure with a caliper, a rule and a flashlight: circles of missing metal, each
//! over a span of depth, the same all the way down or changing evenly. [`thread_left`] and its kin say what they leave of a thread.

mod check;
mod lean;
mod station;

pub use super::wall::{
    Slice, effective_engagement, metal_from, slices, thread_left, thread_left_by_angle,
};
pub use check::{DamageError, SpanOf};
pub use lean::{Lean, Tilt, UnclearLean};
pub use station::{Circle, Station};

use crate::length::Length;
use serde::{Deserialize, Serialize};

/// Nothing in a hole is deeper than this: 2 m.
pub const DEEPEST: Length = Length::from_nm(2_000_000_000);
/// No circle of missing metal is wider, or lies farther off, than this: 500 mm.
pub const WIDEST: Length = Length::from_nm(500_000_000);
/// More stations than this are a table pasted in by mistake.
pub const MOST_STATIONS: usize = 40;

/// A span of depth from the face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Span {
    /// Where it starts.
    #[serde(rename = "from_mm")]
    pub from: Length,
    /// Where it ends.
    #[serde(rename = "to_mm")]
    pub to: Length,
}

impl Span {
    /// How long it is; zero where it ends before it starts.
    pub fn length(self) -> Length {
        (self.to - self.from).or_zero()
    }

    /// Whether a depth lies in it. The start belongs to it, the end does not.
    pub fn holds(self, depth: Length) -> bool {
        self.from <= depth && depth < self.to
    }

    /// The part that both spans share; of no length where they share none.
    pub fn shared_with(self, other: Span) -> Span {
        let from = self.from.max(other.from);
        let to = self.to.min(other.to).max(from);
        Span { from, to }
    }
}

/// A span of depth in which the metal is too hard for a tap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct HardZone {
    /// The depths it covers.
    #[serde(flatten)]
    pub span: Span,
    /// How far either end may lie from where it was read; `None`: not said.
    #[serde(rename = "error_mm", default, skip_serializing_if = "Option::is_none")]
    pub error: Option<Length>,
}

impl HardZone {
    /// All that may be hard: the span, longer at both ends by what they may be off, and not above the face.
    pub fn reach(&self) -> Span {
        let error = self.error.unwrap_or_default().abs();
        Span {
            from: (self.span.from - error).or_zero(),
            to: self.span.to + error,
        }
    }
}

impl From<Span> for HardZone {
    fn from(span: Span) -> HardZone {
        HardZone { span, error: None }
    }
}

/// A tool or bolt that broke off in the hole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BrokenTool {
    /// What it is: bolt, tap, drill, stud.
    pub what: String,
    /// How long the piece is; `None`: not known.
    #[serde(rename = "length_mm", default)]
    pub length: Option<Length>,
    /// How far its top lies below the face, below zero where it stands proud; `None`: not known.
    #[serde(rename = "top_mm", default)]
    pub top: Option<Length>,
}

/// What is missing or wrong round the intended centre.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Damage {
    /// Missing metal.
    #[serde(default)]
    pub stations: Vec<Station>,
    /// Hardened zones.
    #[serde(default)]
    pub hard: Vec<HardZone>,
    /// The old hole is not square to the face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lean: Option<Lean>,
    /// A broken-off tool or bolt.
    #[serde(default)]
    pub broken_tool: Option<BrokenTool>,
    /// A crack was seen.
    #[serde(default)]
    pub crack: bool,
}

impl Damage {
    /// Whether nothing at all is missing or wrong.
    pub fn is_none(&self) -> bool {
        *self == Damage::default()
    }

    /// How far the farthest centre of missing metal lies from the intended one, where the circle holds that centre:
    /// how far the old hole has wandered.
    pub fn wandered(&self) -> Length {
        let stations = self.stations.iter().map(Station::wandered);
        stations.max().unwrap_or(Length::ZERO)
    }

    /// How much of a span lies in hard zones.
    pub fn hard_within(&self, span: Span) -> Length {
        let mut zones: Vec<Span> = self
            .hard
            .iter()
            .map(|zone| zone.reach().shared_with(span))
            .collect();
        zones.sort_by_key(|zone| zone.from);
        let (mut total, mut reached) = (Length::ZERO, span.from);
        for zone in zones {
            total += (zone.to - zone.from.max(reached)).or_zero();
            reached = reached.max(zone.to);
        }
        total
    }
}

#[cfg(test)]
mod tests;
