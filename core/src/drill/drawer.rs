//! Which drills are at hand, and the nearest of them for a purpose.

use super::Drill;
use crate::length::Length;
use serde::{Deserialize, Serialize};

/// Kinds of drills that a shop has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Drawer {
    /// Inch fractions, 1/64 to 2 in by 1/64.
    pub fractional: bool,
    /// Number drills, 1 to 80.
    pub number: bool,
    /// Letter drills, A to Z.
    pub letter: bool,
    /// Metric drills: 0.5 to 14 mm by 0.1 mm, then by 0.25 mm to 32 mm. Common practice, no source.
    pub metric: bool,
}

impl Drawer {
    /// Fractions, numbers and letters.
    pub const INCH: Drawer = Drawer {
        fractional: true,
        number: true,
        letter: true,
        metric: false,
    };
    /// Metric drills only.
    pub const METRIC: Drawer = Drawer {
        fractional: false,
        number: false,
        letter: false,
        metric: true,
    };
    /// Every kind.
    pub const ALL: Drawer = Drawer {
        metric: true,
        ..Drawer::INCH
    };

    /// The drills in it, kind by kind: fractions, letters, numbers, metric.
    pub fn drills(self) -> impl Iterator<Item = Drill> {
        let fractions = (1..=128).map(Drill::fraction);
        let letters = ('A'..='Z').filter_map(Drill::letter);
        let numbers = (1..=80).filter_map(Drill::number);
        let tenths = (5..=140).map(|tenths| Drill::metric(tenths * 10));
        let quarters = (57..=128).map(|quarters| Drill::metric(quarters * 25));
        fractions
            .filter(move |_| self.fractional)
            .chain(letters.filter(move |_| self.letter))
            .chain(numbers.filter(move |_| self.number))
            .chain(tenths.chain(quarters).filter(move |_| self.metric))
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
