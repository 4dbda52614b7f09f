//! Cutting iron: speeds and feeds of drills, end mills, reamers and taps, pilot sequences, and tool
//! wear.
//!
//! The figures come from toolmakers' tables and manuals seen on secondary pages, or are judgments
//! and marked so. They are starting points for a sound machine with a sharp tool; the tool maker's
//! data and the machine's manual override them.

mod advice;
mod chamfer;
mod feed;
mod pilot;
mod speed;
mod wear;

pub use advice::{Advice, hard_skin_advice, interrupted_cut_advice, resharpening_advice};
pub use chamfer::{ChamferLead, chamfer_leads};
pub use feed::{Feed, FeedPer};
pub use pilot::{Cutter, OldHole, Pilot, end_mill_below, pilot_sequence};
pub use speed::{DeepHoleReduction, Speeds, deep_hole_reduction, rpm, speeds};
pub use wear::{ToolWear, UNKNOWN_EDGE_SHARE, edge_share, tool_wear};

use crate::length::Length;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A machining operation.
#[derive(
    holebook_shape::Shape,
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Operation {
    /// Drilling with a twist drill.
    Drill,
    /// Plunging or milling with a center-cutting end mill.
    EndMill,
    /// Reaming.
    Ream,
    /// Tapping by machine.
    Tap,
}

/// The material of a tool.
#[derive(
    holebook_shape::Shape,
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum ToolMaterial {
    /// High-speed steel.
    HighSpeedSteel,
    /// Carbide.
    Carbide,
}

/// Hardness of iron, as judged with a file and a drill.
#[derive(
    holebook_shape::Shape,
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Hardness {
    /// Up to about 190 Brinell: ASTM A48 classes 20 and 25.
    Soft,
    /// About 190 to 220 Brinell: classes 30 to 40.
    Medium,
    /// About 220 to 260 Brinell: classes 45 and 50.
    Hard,
    /// Above 260 Brinell, and white iron at a mouth or edge that a file skates on.
    Chilled,
}

/// Why no cutting data is given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CuttingError {
    /// The tool diameter is out of range.
    #[error(
        "no cutting data for a tool of {}; enter a diameter from 0.5 mm (.020 in) to 100 mm (3.937 in)", diameter.both()
    )]
    Diameter {
        /// The diameter given.
        diameter: Length,
    },
    /// The operation is not advisable.
    #[error("{why}")]
    NotAdvised {
        /// Why not, and what to do instead.
        why: &'static str,
    },
}

impl Operation {
    /// All operations.
    pub const ALL: [Operation; 4] = [
        Operation::Drill,
        Operation::EndMill,
        Operation::Ream,
        Operation::Tap,
    ];

    /// Returns the name: `drilling`, `end milling`, `reaming`, `tapping`.
    pub const fn name(self) -> &'static str {
        match self {
            Operation::Drill => "drilling",
            Operation::EndMill => "end milling",
            Operation::Ream => "reaming",
            Operation::Tap => "tapping",
        }
    }
}

impl ToolMaterial {
    /// All materials.
    pub const ALL: [ToolMaterial; 2] = [ToolMaterial::HighSpeedSteel, ToolMaterial::Carbide];

    /// Returns the name: `high-speed steel`, `carbide`.
    pub const fn name(self) -> &'static str {
        match self {
            ToolMaterial::HighSpeedSteel => "high-speed steel",
            ToolMaterial::Carbide => "carbide",
        }
    }
}

impl Hardness {
    /// All grades of hardness, softest first.
    pub const ALL: [Hardness; 4] = [
        Hardness::Soft,
        Hardness::Medium,
        Hardness::Hard,
        Hardness::Chilled,
    ];

    /// Returns the name: `soft`, `medium`, `hard`, `chilled`.
    pub const fn name(self) -> &'static str {
        match self {
            Hardness::Soft => "soft",
            Hardness::Medium => "medium",
            Hardness::Hard => "hard",
            Hardness::Chilled => "chilled",
        }
    }

    /// Returns how to recognize it without a hardness tester.
    pub const fn how_to_tell(self) -> &'static str {
        match self {
            Hardness::Soft => {
                "up to about 190 Brinell; a file cuts easily (ASTM A48 class 20 and 25; machining table, secondary source)"
            }
            Hardness::Medium => {
                "about 190 to 220 Brinell; a file cuts (class 30 to 40; machining table, secondary source)"
            }
            Hardness::Hard => {
                "about 220 to 260 Brinell; a file cuts under pressure (class 45 and 50; machining table, secondary source)"
            }
            Hardness::Chilled => "white fracture; a file skates on it (common practice, no source)",
        }
    }
}

impl fmt::Display for Operation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl fmt::Display for ToolMaterial {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl fmt::Display for Hardness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests;
