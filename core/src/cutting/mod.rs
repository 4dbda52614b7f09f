//! Cutting iron: how fast a drill, end mill, reamer or tap turns, how it is fed, which tools come before the last drill, and when
//! they are worn.
//!
//! The figures come from tables of toolmakers and manuals that were read on secondary pages; where none was found, a judgement stands
//! and says so. They are where to start on a sound machine with a sharp tool. The tool's own card and the machine's manual decide.

mod advice;
mod chamfer;
mod feed;
mod pilot;
mod speed;
mod wear;

pub use advice::{Advice, hard_skin, interrupted, resharpening};
pub use chamfer::{ChamferLead, chamfer_leads};
pub use feed::{Feed, Per};
pub use pilot::{Cutter, OldHole, Pilot, end_mill_below, pilots};
pub use speed::{DepthLoss, Speeds, depth_loss, rpm, speeds};
pub use wear::{Wear, wear};

use crate::length::Length;
use serde::{Deserialize, Serialize};
use std::fmt;

/// What the tool is to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// Drilling with a twist drill.
    Drill,
    /// Plunging or milling with a centre-cutting end mill.
    EndMill,
    /// Reaming.
    Ream,
    /// Tapping by machine.
    Tap,
}

/// What the tool is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToolMaterial {
    /// High speed steel.
    HighSpeedSteel,
    /// Carbide.
    Carbide,
}

/// How hard the iron is, as a file and a drill tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hardness {
    /// Up to about 190 Brinell: ASTM A48 classes 20 and 25.
    Soft,
    /// About 190 to 220 Brinell: classes 30 to 40.
    Medium,
    /// About 220 to 260 Brinell: classes 45 and 50.
    Hard,
    /// Above that, and white iron at a mouth or edge that a file slides off.
    Chilled,
}

/// Why no speed is given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum CuttingError {
    /// No such tool.
    #[error(
        "a tool of {diameter} is not turned in a hole here; give a diameter from 0.5 mm to 100 mm"
    )]
    Diameter {
        /// What was asked.
        diameter: Length,
    },
    /// What should not be tried.
    #[error("{why}")]
    Not {
        /// Why, and what to do.
        why: &'static str,
    },
}

impl Purpose {
    /// All of them.
    pub const ALL: [Purpose; 4] = [
        Purpose::Drill,
        Purpose::EndMill,
        Purpose::Ream,
        Purpose::Tap,
    ];

    /// `drilling`, `end milling`, `reaming`, `tapping`.
    pub const fn name(self) -> &'static str {
        match self {
            Purpose::Drill => "drilling",
            Purpose::EndMill => "end milling",
            Purpose::Ream => "reaming",
            Purpose::Tap => "tapping",
        }
    }
}

impl ToolMaterial {
    /// Both of them.
    pub const ALL: [ToolMaterial; 2] = [ToolMaterial::HighSpeedSteel, ToolMaterial::Carbide];

    /// `high speed steel`, `carbide`.
    pub const fn name(self) -> &'static str {
        match self {
            ToolMaterial::HighSpeedSteel => "high speed steel",
            ToolMaterial::Carbide => "carbide",
        }
    }
}

impl Hardness {
    /// All of them, the softest first.
    pub const ALL: [Hardness; 4] = [
        Hardness::Soft,
        Hardness::Medium,
        Hardness::Hard,
        Hardness::Chilled,
    ];

    /// `soft`, `medium`, `hard`, `chilled`.
    pub const fn name(self) -> &'static str {
        match self {
            Hardness::Soft => "soft",
            Hardness::Medium => "medium",
            Hardness::Hard => "hard",
            Hardness::Chilled => "chilled",
        }
    }

    /// How it shows, for people who have no hardness tester.
    pub const fn shows(self) -> &'static str {
        match self {
            Hardness::Soft => {
                "to about 190 Brinell; a file bites freely (ASTM A48 class 20 and 25; machining table, secondary source)"
            }
            Hardness::Medium => {
                "about 190 to 220 Brinell; a file bites (class 30 to 40; machining table, secondary source)"
            }
            Hardness::Hard => {
                "about 220 to 260 Brinell; a file bites with force (class 45 and 50; machining table, secondary source)"
            }
            Hardness::Chilled => {
                "white at the break; a file slides off (common practice, no source)"
            }
        }
    }
}

impl fmt::Display for Purpose {
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
