//! The kinds of drills that are sold, and the sizes of each.

use super::Drill;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A kind of drill: one row of a drawer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Inch fractions, 1/64 to 2 in by 1/64. Common practice, no source.
    Fractional,
    /// Letter drills, A to Z (ANSI B94.11M).
    Letter,
    /// Number drills, 1 to 80 (ANSI B94.11M).
    Number,
    /// Metric drills: 0.5 to 14 mm by 0.1 mm, to 32 mm by 0.25 mm, and to 64 mm by 0.5 mm.
    ///
    /// BS 328 as public pages quote it (secondary source) for 0.5 to 25 mm; above that common practice, no source.
    MetricTenth,
    /// The metric sizes between them: 1.05 to 13.95 mm by 0.1 mm.
    ///
    /// BS 328 as public pages quote it (secondary source) to 2.95 mm. Above that common practice, no source: lists of tapping drills
    /// ask for some of these sizes, such as 8.75 and 10.75 mm, so they are sold.
    MetricHalfTenth,
}

impl Kind {
    /// All of them, in the order in which a drill of one size is named: fractions first.
    pub const ALL: [Kind; 5] = [
        Kind::Fractional,
        Kind::Letter,
        Kind::Number,
        Kind::MetricTenth,
        Kind::MetricHalfTenth,
    ];

    /// The word for it on a command line and in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            Kind::Fractional => "fractional",
            Kind::Letter => "letter",
            Kind::Number => "number",
            Kind::MetricTenth => "metric-tenth",
            Kind::MetricHalfTenth => "metric-half-tenth",
        }
    }

    /// What people call it.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Fractional => "inch fractions",
            Kind::Letter => "letters",
            Kind::Number => "numbers",
            Kind::MetricTenth => "metric by tenths",
            Kind::MetricHalfTenth => "metric half-tenths",
        }
    }

    /// Its drills, smallest first; numbers count down, so No. 1 comes first there.
    pub fn drills(self) -> Box<dyn Iterator<Item = Drill>> {
        match self {
            Kind::Fractional => Box::new((1..=128).map(Drill::fraction)),
            Kind::Letter => Box::new(('A'..='Z').filter_map(Drill::letter)),
            Kind::Number => Box::new((1..=80).filter_map(Drill::number)),
            Kind::MetricTenth => {
                let tenths = (5..=140).map(|tenths| Drill::metric(tenths * 10));
                let quarters = (57..=128).map(|quarters| Drill::metric(quarters * 25));
                let halves = (65..=128).map(|halves| Drill::metric(halves * 50));
                Box::new(tenths.chain(quarters).chain(halves))
            }
            Kind::MetricHalfTenth => {
                Box::new((10..=139).map(|tenths| Drill::metric(tenths * 10 + 5)))
            }
        }
    }

    pub(super) const fn bit(self) -> u8 {
        1 << self as u8
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}
