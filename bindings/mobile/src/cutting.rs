//! Speeds, feeds and the like, for iron.

use crate::border::{In, Out, record_out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use crate::length::Length;
use holebook_core::cutting as core;

words! {
    /// What a tool is to do.
    CuttingPurpose = core::Purpose {
        /// Drilling with a twist drill.
        Drill,
        /// Plunging or milling with a centre-cutting end mill.
        EndMill,
        /// Reaming.
        Ream,
        /// Tapping by machine.
        Tap,
    }
}

words! {
    /// What a tool is made of.
    ToolMaterial = core::ToolMaterial {
        /// High speed steel.
        HighSpeedSteel,
        /// Carbide.
        Carbide,
    }
}

words! {
    /// How hard the iron is, as a file and a drill tell it.
    Hardness = core::Hardness {
        /// Up to about 190 Brinell; a file bites freely.
        Soft,
        /// About 190 to 220 Brinell; a file bites.
        Medium,
        /// About 220 to 260 Brinell; a file bites with force.
        Hard,
        /// Above that, and white iron that a file slides off.
        Chilled,
    }
}

words! {
    /// What a feed is counted by.
    FeedPer = core::Per {
        /// By the turn.
        Turn,
        /// By the tooth.
        Tooth,
    }
}

record_out! {
    /// How far a tool goes in by the turn or by the tooth.
    Feed = core::Feed {
        /// Least; harder iron wants this.
        least: Length,
        /// Most.
        most: Length,
        /// By the turn or the tooth.
        per: FeedPer,
        /// Where it comes from.
        source: String,
    }
}

/// How fast to turn a tool, and how to feed it. Start at the least: an old machine, a worn spindle or a hole that is cut on one
/// side only wants less, and the machine's own manual comes first.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct Speeds {
    /// Least surface speed, metres a minute.
    pub surface_least_m_min: f64,
    /// Most.
    pub surface_most_m_min: f64,
    /// Fewest turns a minute of the spindle.
    pub least_rpm: f64,
    /// Most.
    pub most_rpm: f64,
    /// Feed; none where the tool's own pitch feeds it, or where no figure was found.
    pub feed: Option<Feed>,
    /// Where the surface speed comes from.
    pub source: String,
    /// What else to know, in a sentence.
    pub note: Option<String>,
}

impl Out for core::Speeds {
    type Face = Speeds;
    fn out(self) -> Speeds {
        let Self {
            surface_ft_min: _, // the same as in metres
            surface_m_min: (surface_least_m_min, surface_most_m_min),
            rpm: (least_rpm, most_rpm),
            feed,
            source,
            note,
        } = self;
        Speeds {
            surface_least_m_min,
            surface_most_m_min,
            least_rpm,
            most_rpm,
            feed: feed.out(),
            source: source.out(),
            note: note.out(),
        }
    }
}

/// Speed and feed of a tool of a diameter in iron.
///
/// Fails with `Unfit` for a diameter that no such tool has, or a tool that should not be tried in that iron.
#[uniffi::export]
pub fn cutting_speeds(
    purpose: CuttingPurpose,
    material: ToolMaterial,
    hardness: Hardness,
    diameter: Length,
) -> Result<Speeds, NotebookError> {
    guard("cutting_speeds", || {
        let speeds = core::speeds(
            purpose.inward()?,
            material.inward()?,
            hardness.inward()?,
            diameter.inward()?,
        );
        Ok(speeds.map_err(NotebookError::unfit)?.out())
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn turns_and_surface_speed_agree() {
        let diameter = Length { nm: 10_000_000 };
        let steel = ToolMaterial::HighSpeedSteel;
        let speeds = cutting_speeds(CuttingPurpose::Drill, steel, Hardness::Soft, diameter);
        let speeds = speeds.unwrap();
        let surface = speeds.least_rpm * std::f64::consts::PI * 0.010;
        assert!((surface - speeds.surface_least_m_min).abs() < 1e-9);
        assert!(speeds.feed.is_some());
    }

    #[test]
    fn what_should_not_be_tried_says_why() {
        let diameter = Length { nm: 10_000_000 };
        let carbide = ToolMaterial::Carbide;
        let refused = cutting_speeds(CuttingPurpose::Tap, carbide, Hardness::Soft, diameter);
        assert!(
            matches!(refused, Err(NotebookError::Unfit { reason }) if reason.contains("carbide"))
        );
    }
}
