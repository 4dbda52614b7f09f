//! The kinds of drills in the shop, and the nearest drill for a diameter.

use super::{Drill, DrillKind};
use crate::length::Length;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// The set of drill kinds that a shop has.
///
/// Written as keys with commas: `fractional,number`. `inch`, `metric` and `all` stand for several.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct DrillKinds {
    kinds: u8,
}

/// Why a set of drill kinds was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DrillKindsError {
    /// The word is not a kind of drill.
    #[error(
        "`{input}` is not a kind of drill; write fractional, letter, number, metric-tenth or metric-half-tenth, separated \
         by commas, or inch, metric or all"
    )]
    UnknownKind {
        /// What was written.
        input: String,
    },
    /// No kind of drill was given.
    #[error("no kind of drill was given; name at least one, such as fractional")]
    Empty,
}

impl DrillKinds {
    /// Fractions, numbers and letters.
    pub const INCH: DrillKinds =
        DrillKinds::of(&[DrillKind::Fractional, DrillKind::Letter, DrillKind::Number]);
    /// Metric drills by tenths.
    pub const METRIC: DrillKinds = DrillKinds::of(&[DrillKind::MetricTenth]);
    /// Metric drills by tenths and half-tenths.
    pub const METRIC_FINE: DrillKinds =
        DrillKinds::of(&[DrillKind::MetricTenth, DrillKind::MetricHalfTenth]);
    /// Drills of every kind.
    pub const ALL: DrillKinds = DrillKinds::of(&DrillKind::ALL);

    /// Creates a set of these kinds.
    pub const fn of(kinds: &[DrillKind]) -> DrillKinds {
        let (mut bits, mut at) = (0, 0);
        while at < kinds.len() {
            bits |= kinds[at].bit();
            at += 1;
        }
        DrillKinds { kinds: bits }
    }

    /// Whether a kind is among them.
    pub const fn has(self, kind: DrillKind) -> bool {
        self.kinds & kind.bit() != 0
    }

    /// Whether there is none.
    pub const fn is_empty(self) -> bool {
        self.kinds == 0
    }

    /// Iterates over the kinds, fractions first.
    pub fn kinds(self) -> impl Iterator<Item = DrillKind> {
        DrillKind::ALL
            .into_iter()
            .filter(move |kind| self.has(*kind))
    }

    /// Iterates over the drills by kind: fractions, letters, numbers, metric.
    pub fn drills(self) -> impl Iterator<Item = Drill> {
        self.kinds().flat_map(DrillKind::drills)
    }

    /// Returns a label: `inch fractions and numbers`.
    pub fn name(self) -> String {
        if self == DrillKinds::ALL {
            return "drills of every kind".to_owned();
        }
        let names: Vec<&str> = self.kinds().map(DrillKind::name).collect();
        match names.split_last() {
            None => "no drills".to_owned(),
            Some((last, [])) => (*last).to_owned(),
            Some((last, others)) => format!("{} and {last}", others.join(", ")),
        }
    }
}

/// The keys with commas: `fractional,number`.
impl fmt::Display for DrillKinds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<&str> = self.kinds().map(DrillKind::key).collect();
        f.write_str(&words.join(","))
    }
}

/// Keys separated by commas, semicolons or spaces, in either case.
impl FromStr for DrillKinds {
    type Err = DrillKindsError;
    fn from_str(text: &str) -> Result<DrillKinds, DrillKindsError> {
        let words = text.split([',', ' ', ';']).map(str::trim);
        let mut kinds = 0;
        for word in words.filter(|word| !word.is_empty()) {
            kinds |= parse_kind(word)?.kinds;
        }
        if kinds == 0 {
            return Err(DrillKindsError::Empty);
        }
        Ok(DrillKinds { kinds })
    }
}

fn parse_kind(word: &str) -> Result<DrillKinds, DrillKindsError> {
    let plain = word.to_ascii_lowercase();
    Ok(match plain.trim_end_matches('s') {
        "inch" => DrillKinds::INCH,
        "metric" => DrillKinds::METRIC_FINE,
        "all" => DrillKinds::ALL,
        "fraction" => DrillKinds::of(&[DrillKind::Fractional]),
        one => {
            let kind = DrillKind::ALL.into_iter().find(|kind| kind.key() == one);
            let input = || word.chars().take(40).collect();
            DrillKinds::of(&[kind.ok_or_else(|| DrillKindsError::UnknownKind { input: input() })?])
        }
    })
}

impl Serialize for DrillKinds {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for DrillKinds {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<DrillKinds, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(de::Error::custom)
    }
}

/// Finds the smallest drill that is not below a diameter. Where kinds share a size, fractions come
/// first, then letters.
pub fn nearest_at_or_above(diameter: Length, kinds: &DrillKinds) -> Option<Drill> {
    kinds
        .drills()
        .filter(|drill| drill.diameter >= diameter)
        .min_by_key(|drill| drill.diameter)
}

/// Finds the largest drill that is not above a diameter.
pub fn nearest_at_or_below(diameter: Length, kinds: &DrillKinds) -> Option<Drill> {
    // `max_by_key` returns the last of equals; the negative minimum keeps the first kind.
    kinds
        .drills()
        .filter(|drill| drill.diameter <= diameter)
        .min_by_key(|drill| -drill.diameter)
}

/// Finds the drill nearest to a diameter.
pub fn nearest(diameter: Length, kinds: &DrillKinds) -> Option<Drill> {
    kinds
        .drills()
        .min_by_key(|drill| (drill.diameter - diameter).abs())
}

/// Finds the drill from `min` to `max` that is nearest to `aim`; `None` if there is none in
/// between.
pub fn between(min: Length, max: Length, aim: Length, kinds: &DrillKinds) -> Option<Drill> {
    kinds
        .drills()
        .filter(|drill| min <= drill.diameter && drill.diameter <= max)
        .min_by_key(|drill| (drill.diameter - aim).abs())
}
