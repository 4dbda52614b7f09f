//! Whole sets of tools, to enter in one tap.

use super::{Item, TapItem};
use crate::drill::{Drill, DrillKind};
use crate::insert::TapChamfer;
use crate::thread::Thread;

/// A set as it is sold in one box. Which sizes a box has is common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemSet {
    /// Fractional drills, 1/16 to 1/2 by 64ths.
    FractionsToHalf,
    /// Fractional drills, 33/64 to 1 in by 64ths.
    FractionsToOne,
    /// Letter drills.
    Letters,
    /// Number drills, 1 to 60.
    NumbersTo60,
    /// Number drills, 61 to 80.
    NumbersTo80,
    /// Metric drills, 1 to 10 mm by 0.5 mm.
    MetricHalves,
    /// Metric drills, 1 to 10 mm by 0.1 mm.
    MetricTenths,
    /// Coarse plug taps, 1/4 to 1/2.
    CoarsePlugTaps,
    /// Coarse bottoming taps, 1/4 to 1/2.
    CoarseBottomingTaps,
    /// Fine plug taps, 1/4 to 1/2.
    FinePlugTaps,
    /// Metric coarse plug taps, M5 to M12.
    MetricPlugTaps,
    /// Metric coarse bottoming taps, M5 to M12.
    MetricBottomingTaps,
}

const COARSE: [&str; 5] = ["1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13"];
const FINE: [&str; 5] = ["1/4-28", "5/16-24", "3/8-24", "7/16-20", "1/2-20"];
const METRIC: [&str; 5] = ["M5", "M6", "M8", "M10", "M12"];

impl ItemSet {
    /// All sets.
    pub const ALL: [ItemSet; 12] = [
        ItemSet::FractionsToHalf,
        ItemSet::FractionsToOne,
        ItemSet::Letters,
        ItemSet::NumbersTo60,
        ItemSet::NumbersTo80,
        ItemSet::MetricHalves,
        ItemSet::MetricTenths,
        ItemSet::CoarsePlugTaps,
        ItemSet::CoarseBottomingTaps,
        ItemSet::FinePlugTaps,
        ItemSet::MetricPlugTaps,
        ItemSet::MetricBottomingTaps,
    ];

    /// Returns its short name for forms.
    pub const fn word(self) -> &'static str {
        match self {
            ItemSet::FractionsToHalf => "fractions-to-1-2",
            ItemSet::FractionsToOne => "fractions-to-1",
            ItemSet::Letters => "letters",
            ItemSet::NumbersTo60 => "numbers-1-60",
            ItemSet::NumbersTo80 => "numbers-61-80",
            ItemSet::MetricHalves => "metric-halves",
            ItemSet::MetricTenths => "metric-tenths",
            ItemSet::CoarsePlugTaps => "coarse-plug-taps",
            ItemSet::CoarseBottomingTaps => "coarse-bottoming-taps",
            ItemSet::FinePlugTaps => "fine-plug-taps",
            ItemSet::MetricPlugTaps => "metric-plug-taps",
            ItemSet::MetricBottomingTaps => "metric-bottoming-taps",
        }
    }

    /// Returns the set with a short name.
    pub fn from_word(word: &str) -> Option<ItemSet> {
        ItemSet::ALL.into_iter().find(|set| set.word() == word)
    }

    /// Returns what people read.
    pub const fn label(self) -> &'static str {
        match self {
            ItemSet::FractionsToHalf => "Fractional drills, 1/16 to 1/2 by 64ths",
            ItemSet::FractionsToOne => "Fractional drills, 33/64 to 1 in by 64ths",
            ItemSet::Letters => "Letter drills, A to Z",
            ItemSet::NumbersTo60 => "Number drills, 1 to 60",
            ItemSet::NumbersTo80 => "Number drills, 61 to 80",
            ItemSet::MetricHalves => "Metric drills, 1 to 10 mm by 0.5 mm",
            ItemSet::MetricTenths => "Metric drills, 1 to 10 mm by 0.1 mm",
            ItemSet::CoarsePlugTaps => "UNC plug taps, 1/4 to 1/2",
            ItemSet::CoarseBottomingTaps => "UNC bottoming taps, 1/4 to 1/2",
            ItemSet::FinePlugTaps => "UNF plug taps, 1/4 to 1/2",
            ItemSet::MetricPlugTaps => "Metric coarse plug taps, M5 to M12",
            ItemSet::MetricBottomingTaps => "Metric coarse bottoming taps, M5 to M12",
        }
    }

    /// Returns its items, smallest first.
    pub fn items(self) -> Vec<Item> {
        match self {
            ItemSet::FractionsToHalf => drills((4..=32).map(Drill::fraction)),
            ItemSet::FractionsToOne => drills((33..=64).map(Drill::fraction)),
            ItemSet::Letters => drills(DrillKind::Letter.drills()),
            ItemSet::NumbersTo60 => drills((1..=60).rev().filter_map(Drill::number)),
            ItemSet::NumbersTo80 => drills((61..=80).rev().filter_map(Drill::number)),
            ItemSet::MetricHalves => drills((2..=20).map(|halves| Drill::metric(halves * 50))),
            ItemSet::MetricTenths => drills((10..=100).map(|tenths| Drill::metric(tenths * 10))),
            ItemSet::CoarsePlugTaps => taps(COARSE, TapChamfer::Plug),
            ItemSet::CoarseBottomingTaps => taps(COARSE, TapChamfer::Bottoming),
            ItemSet::FinePlugTaps => taps(FINE, TapChamfer::Plug),
            ItemSet::MetricPlugTaps => taps(METRIC, TapChamfer::Plug),
            ItemSet::MetricBottomingTaps => taps(METRIC, TapChamfer::Bottoming),
        }
    }
}

fn drills(drills: impl Iterator<Item = Drill>) -> Vec<Item> {
    drills.map(Item::Drill).collect()
}

fn taps(threads: [&str; 5], chamfer: TapChamfer) -> Vec<Item> {
    let threads = threads.iter().filter_map(|name| Thread::parse(name).ok());
    threads
        .map(|thread| Item::Tap(TapItem { thread, chamfer }))
        .collect()
}
