//! Feed: by the turn for a drill, by the tooth for an end mill.

use super::{Hardness, Purpose};
use crate::length::Length;
use serde::Serialize;

/// What a feed is counted by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Per {
    /// By the turn.
    Turn,
    /// By the tooth.
    Tooth,
}

/// How far a tool goes in by the turn or by the tooth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Feed {
    /// Least; harder iron wants this.
    #[serde(rename = "least_mm")]
    pub least: Length,
    /// Most.
    #[serde(rename = "most_mm")]
    pub most: Length,
    /// By the turn or the tooth.
    pub per: Per,
    /// Where it comes from.
    pub source: &'static str,
}

const BY_TURN: &str = "a navy training manual's table by drill diameter; the lower figure for harder metal (secondary source)";
const BY_TOOTH: &str = "an end mill maker's table (secondary source); half of it as the least, for an old machine (judgement)";

/// None for a tap, which its pitch feeds, and for a reamer, of which no figure was found.
pub(super) fn feed(purpose: Purpose, hardness: Hardness, diameter: Length) -> Option<Feed> {
    match purpose {
        Purpose::Drill => Some(by_turn(diameter)),
        Purpose::EndMill => Some(by_tooth(hardness, diameter)),
        Purpose::Ream | Purpose::Tap => None,
    }
}

/// Thousandths of an inch a turn.
fn by_turn(diameter: Length) -> Feed {
    let (least, most) = match diameter {
        d if d <= Length::from_fraction(1, 8) => (1, 2),
        d if d <= Length::from_fraction(1, 4) => (2, 4),
        d if d <= Length::from_fraction(1, 2) => (4, 7),
        d if d <= Length::from_fraction(1, 1) => (7, 15),
        _ => (15, 25),
    };
    Feed {
        least: Length::from_fraction(least, 1000),
        most: Length::from_fraction(most, 1000),
        per: Per::Turn,
        source: BY_TURN,
    }
}

/// The table prints a 1/4 in mill and mills from 1 in up; between them a straight line is drawn, and below 1/4 in the feed shrinks with
/// the diameter (judgement).
fn by_tooth(hardness: Hardness, diameter: Length) -> Feed {
    let (quarter_in, one_in) = match hardness {
        Hardness::Soft => (0.003, 0.008),
        Hardness::Medium => (0.0025, 0.0065),
        Hardness::Hard | Hardness::Chilled => (0.002, 0.005),
    };
    let inches = diameter.inches();
    let most_in = match inches {
        d if d <= 0.25 => quarter_in * d / 0.25,
        d if d < 1.0 => quarter_in + (one_in - quarter_in) * (d - 0.25) / 0.75,
        _ => one_in,
    };
    let most = Length::computed_mm(most_in * 25.4);
    Feed {
        least: most / 2,
        most,
        per: Per::Tooth,
        source: BY_TOOTH,
    }
}
