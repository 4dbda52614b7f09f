//! Feeds: per revolution for a drill, per tooth for an end mill.

use super::{Hardness, Operation};
use crate::length::{Length, Rounding, Unit};
use serde::Serialize;

/// What a feed is per.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FeedPer {
    /// Per revolution.
    Revolution,
    /// Per tooth.
    Tooth,
}

/// A feed range.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Feed {
    /// Least feed, for harder iron.
    #[serde(rename = "least_mm")]
    pub least: Length,
    /// Largest feed.
    #[serde(rename = "most_mm")]
    pub most: Length,
    /// Per revolution or per tooth.
    pub per: FeedPer,
    /// Source.
    pub source: &'static str,
}

impl Feed {
    /// Formats the feed as a range in the reader's unit: `.004-.007 in/rev`, `0.03-0.05 mm/tooth`.
    ///
    /// Inches to three decimals; to four per tooth, for drill feeds up to .004 in, where a
    /// thousandth would be too coarse, and for feeds of half a thousandth.
    pub fn show(&self, unit: Unit) -> String {
        let fine = self.per == FeedPer::Tooth
            || self.most < Length::from_fraction(4, 1000)
            || [self.least, self.most]
                .iter()
                .any(|feed| !feed.is_whole(1_000));
        let number = |feed: Length| match (unit, fine) {
            (Unit::Inch, true) => feed.limit_number(unit),
            _ => feed.rounded_number(unit, Rounding::Nearest),
        };
        let (least, most) = (number(self.least), number(self.most));
        let per = self.per.symbol();
        if least == most {
            format!("{least} {unit}/{per}")
        } else {
            format!("{least}-{most} {unit}/{per}")
        }
    }
}

impl FeedPer {
    /// Returns the denominator of the unit: `rev`, `tooth`.
    pub const fn symbol(self) -> &'static str {
        match self {
            FeedPer::Revolution => "rev",
            FeedPer::Tooth => "tooth",
        }
    }
}

const PER_REVOLUTION_SOURCE: &str = "a navy training manual's table by drill diameter; the lower figure for harder metal (secondary source)";
const PER_REVOLUTION_HARD_SOURCE: &str = "half of a navy training manual's table by drill diameter (secondary source): in hard and chilled iron about half the feed (common practice, no source)";
const PER_TOOTH_SOURCE: &str = "an end mill maker's table (secondary source); half of it as the least, for an old machine (judgment)";

/// Returns the feed of a drill or end mill; `None` for a tap, whose pitch sets the feed, and for a
/// reamer, for which no figure was found.
pub(super) fn feed(purpose: Operation, hardness: Hardness, diameter: Length) -> Option<Feed> {
    match purpose {
        Operation::Drill => Some(per_revolution(hardness, diameter)),
        Operation::EndMill => Some(per_tooth(hardness, diameter)),
        Operation::Ream | Operation::Tap => None,
    }
}

/// Returns the feed of a drill per revolution; in hard and chilled iron half of it (common practice,
/// no source).
fn per_revolution(hardness: Hardness, diameter: Length) -> Feed {
    let (least, most) = match diameter {
        d if d <= Length::from_fraction(1, 8) => (1, 2),
        d if d <= Length::from_fraction(1, 4) => (2, 4),
        d if d <= Length::from_fraction(1, 2) => (4, 7),
        d if d <= Length::from_fraction(1, 1) => (7, 15),
        _ => (15, 25),
    };
    let (parts, source) = match hardness {
        Hardness::Soft | Hardness::Medium => (1000, PER_REVOLUTION_SOURCE),
        Hardness::Hard | Hardness::Chilled => (2000, PER_REVOLUTION_HARD_SOURCE),
    };
    Feed {
        least: Length::from_fraction(least, parts),
        most: Length::from_fraction(most, parts),
        per: FeedPer::Revolution,
        source,
    }
}

/// Returns the feed of an end mill per tooth.
///
/// The table gives a 1/4 in mill and mills of 1 in and up. In between the feed is interpolated, and
/// below 1/4 in it is proportional to the diameter (judgment).
fn per_tooth(hardness: Hardness, diameter: Length) -> Feed {
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
    let most = Length::from_computed_mm(most_in * 25.4);
    Feed {
        least: most / 2,
        most,
        per: FeedPer::Tooth,
        source: PER_TOOTH_SOURCE,
    }
}
