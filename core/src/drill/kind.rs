//! Kinds of drills and their sizes.

use super::Drill;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A kind of drill.
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
pub enum DrillKind {
    /// Inch fractions, 1/64 to 2 in by 1/64. Common practice, no source.
    Fractional,
    /// Letter drills, A to Z (ANSI B94.11M).
    Letter,
    /// Number drills, 1 to 80 (ANSI B94.11M).
    Number,
    /// Metric drills: 0.5 to 14 mm by 0.1 mm, to 32 mm by 0.25 mm, and to 64 mm by 0.5 mm.
    ///
    /// Source: BS 328 as public pages quote it (secondary source) for 0.5 to 25 mm; above that
    /// common practice, no source.
    MetricTenth,
    /// The metric sizes between those: 1.05 to 13.95 mm by 0.1 mm.
    ///
    /// Source: BS 328 as public pages quote it (secondary source) to 2.95 mm. Above that common
    /// practice, no source: tap drill lists call for some of these sizes, such as 8.75 and 10.75
    /// mm.
    MetricHalfTenth,
}

impl DrillKind {
    /// All kinds, in order of preference for one size: fractions first.
    pub const ALL: [DrillKind; 5] = [
        DrillKind::Fractional,
        DrillKind::Letter,
        DrillKind::Number,
        DrillKind::MetricTenth,
        DrillKind::MetricHalfTenth,
    ];

    /// Returns the key used on the command line and in JSON: `fractional`, `metric-tenth`.
    pub const fn key(self) -> &'static str {
        match self {
            DrillKind::Fractional => "fractional",
            DrillKind::Letter => "letter",
            DrillKind::Number => "number",
            DrillKind::MetricTenth => "metric-tenth",
            DrillKind::MetricHalfTenth => "metric-half-tenth",
        }
    }

    /// Returns the label: `inch fractions`, `letters`.
    pub const fn name(self) -> &'static str {
        match self {
            DrillKind::Fractional => "inch fractions",
            DrillKind::Letter => "letters",
            DrillKind::Number => "numbers",
            DrillKind::MetricTenth => "metric by tenths",
            DrillKind::MetricHalfTenth => "metric half-tenths",
        }
    }

    /// Iterates over the drills, smallest first; number drills from No. 1, the largest.
    pub fn drills(self) -> Box<dyn Iterator<Item = Drill>> {
        match self {
            DrillKind::Fractional => Box::new((1..=128).map(Drill::fraction)),
            DrillKind::Letter => Box::new(('A'..='Z').filter_map(Drill::letter)),
            DrillKind::Number => Box::new((1..=80).filter_map(Drill::number)),
            DrillKind::MetricTenth => {
                let tenths = (5..=140).map(|tenths| Drill::metric(tenths * 10));
                let quarters = (57..=128).map(|quarters| Drill::metric(quarters * 25));
                let halves = (65..=128).map(|halves| Drill::metric(halves * 50));
                Box::new(tenths.chain(quarters).chain(halves))
            }
            DrillKind::MetricHalfTenth => {
                Box::new((10..=139).map(|tenths| Drill::metric(tenths * 10 + 5)))
            }
        }
    }

    pub(super) const fn bit(self) -> u8 {
        1 << self as u8
    }
}

impl fmt::Display for DrillKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.key())
    }
}
