//! Which drills are at hand, and the nearest of them for a diameter.

use super::{Drill, Kind};
use crate::length::Length;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// The kinds of drills that a shop has.
///
/// Written as words with commas: `fractional,number`. `inch`, `metric` and `all` stand for several.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Drawer {
    kinds: u8,
}

/// Why a drawer was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DrawerError {
    /// A word that is no kind of drill.
    #[error(
        "`{asked}` is not a kind of drill; write fractional, letter, number, metric-tenth or metric-half-tenth with commas between, or inch, metric or all"
    )]
    NoSuchKind {
        /// What was written.
        asked: String,
    },
    /// No kind at all.
    #[error("the drawer is empty; name at least one kind of drill, such as fractional")]
    Empty,
}

impl Drawer {
    /// Fractions, numbers and letters.
    pub const INCH: Drawer = Drawer::of(&[Kind::Fractional, Kind::Letter, Kind::Number]);
    /// Metric drills by tenths.
    pub const METRIC: Drawer = Drawer::of(&[Kind::MetricTenth]);
    /// Metric drills by tenths and half-tenths.
    pub const METRIC_FINE: Drawer = Drawer::of(&[Kind::MetricTenth, Kind::MetricHalfTenth]);
    /// Every kind.
    pub const ALL: Drawer = Drawer::of(&Kind::ALL);

    /// A drawer of these kinds.
    pub const fn of(kinds: &[Kind]) -> Drawer {
        let (mut bits, mut at) = (0, 0);
        while at < kinds.len() {
            bits |= kinds[at].bit();
            at += 1;
        }
        Drawer { kinds: bits }
    }

    /// Whether it has drills of that kind.
    pub const fn has(self, kind: Kind) -> bool {
        self.kinds & kind.bit() != 0
    }

    /// Whether there is nothing in it.
    pub const fn is_empty(self) -> bool {
        self.kinds == 0
    }

    /// Its kinds, fractions first.
    pub fn kinds(self) -> impl Iterator<Item = Kind> {
        Kind::ALL.into_iter().filter(move |kind| self.has(*kind))
    }

    /// The drills in it, kind by kind: fractions, letters, numbers, metric.
    pub fn drills(self) -> impl Iterator<Item = Drill> {
        self.kinds().flat_map(Kind::drills)
    }

    /// What people call it: `inch fractions and numbers`.
    pub fn name(self) -> String {
        if self == Drawer::ALL {
            return "drills of every kind".to_owned();
        }
        let names: Vec<&str> = self.kinds().map(Kind::name).collect();
        match names.split_last() {
            None => "no drills".to_owned(),
            Some((last, [])) => (*last).to_owned(),
            Some((last, others)) => format!("{} and {last}", others.join(", ")),
        }
    }
}

/// The words: `fractional,number`.
impl fmt::Display for Drawer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let words: Vec<&str> = self.kinds().map(Kind::word).collect();
        f.write_str(&words.join(","))
    }
}

/// Words with commas or spaces between, in either case.
impl FromStr for Drawer {
    type Err = DrawerError;
    fn from_str(text: &str) -> Result<Drawer, DrawerError> {
        let words = text.split([',', ' ', ';']).map(str::trim);
        let mut kinds = 0;
        for word in words.filter(|word| !word.is_empty()) {
            kinds |= read(word)?.kinds;
        }
        if kinds == 0 {
            return Err(DrawerError::Empty);
        }
        Ok(Drawer { kinds })
    }
}

fn read(word: &str) -> Result<Drawer, DrawerError> {
    let plain = word.to_ascii_lowercase();
    Ok(match plain.trim_end_matches('s') {
        "inch" => Drawer::INCH,
        "metric" => Drawer::METRIC_FINE,
        "all" => Drawer::ALL,
        "fraction" => Drawer::of(&[Kind::Fractional]),
        one => {
            let kind = Kind::ALL.into_iter().find(|kind| kind.word() == one);
            let asked = || word.chars().take(40).collect();
            Drawer::of(&[kind.ok_or_else(|| DrawerError::NoSuchKind { asked: asked() })?])
        }
    })
}

impl Serialize for Drawer {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Drawer {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Drawer, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(de::Error::custom)
    }
}

/// The smallest drill that is not below a diameter. Where two kinds share a size, fractions come
/// first, then letters.
pub fn nearest_at_or_above(diameter: Length, drawer: &Drawer) -> Option<Drill> {
    drawer
        .drills()
        .filter(|drill| drill.diameter >= diameter)
        .min_by_key(|drill| drill.diameter)
}

/// The largest drill that is not above a diameter.
pub fn nearest_at_or_below(diameter: Length, drawer: &Drawer) -> Option<Drill> {
    // The last of equal maxima would win; the negative keeps the first kind in front here too.
    drawer
        .drills()
        .filter(|drill| drill.diameter <= diameter)
        .min_by_key(|drill| -drill.diameter)
}

/// The drill nearest to a diameter, from either side.
pub fn nearest(diameter: Length, drawer: &Drawer) -> Option<Drill> {
    drawer
        .drills()
        .min_by_key(|drill| (drill.diameter - diameter).abs())
}

/// The drill nearest to `aim` of those from `min` to `max`; `None` where no drill lies between.
pub fn between(min: Length, max: Length, aim: Length, drawer: &Drawer) -> Option<Drill> {
    drawer
        .drills()
        .filter(|drill| min <= drill.diameter && drill.diameter <= max)
        .min_by_key(|drill| (drill.diameter - aim).abs())
}
