//! What is missing round the intended centre, by depth.

use crate::length::Length;
use serde::{Deserialize, Serialize};

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

/// A circle of missing metal over a span of depth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Station {
    /// The depths it covers.
    #[serde(flatten)]
    pub span: Span,
    /// The circle's diameter.
    #[serde(rename = "diameter_mm")]
    pub diameter: Length,
    /// How far its centre lies from the intended one.
    #[serde(rename = "offset_mm", default)]
    pub offset: Length,
    /// Which way, in degrees counter-clockwise from the picture's right; shown in drawings only.
    #[serde(default)]
    pub direction_deg: f64,
}

/// A tool or bolt that broke off in the hole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BrokenTool {
    /// What it is: bolt, tap, drill, stud.
    pub what: String,
    /// How long the piece is; `None`: not known.
    #[serde(rename = "length_mm", default)]
    pub length: Option<Length>,
    /// How far its top lies below the face; `None`: not known.
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
    pub hard: Vec<Span>,
    /// A broken-off tool or bolt.
    #[serde(default)]
    pub broken_tool: Option<BrokenTool>,
    /// A crack was seen.
    #[serde(default)]
    pub crack: bool,
}
