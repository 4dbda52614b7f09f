//! Bolt length: long enough to engage, short enough not to bottom, and sold in that length.

mod stock;
#[cfg(test)]
mod tests;

pub use stock::{length_tolerance, stock_lengths, stock_source, thread_length};

use crate::length::{Length, Rounding, Unit};
use crate::thread::Thread;
use serde::Serialize;
use std::fmt;

/// How deep the tip of a bolt may go.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TipRoom {
    /// To this depth below the finished face.
    #[serde(rename = "to_mm")]
    To(Length),
    /// Without limit: a through hole.
    Open,
    /// Unknown: a reading is missing.
    NotKnown,
}

/// Where a bolt engages. Depths are from the finished face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltSeat {
    /// The bolt's thread.
    pub bolt: Thread,
    /// Grip: part, gasket and washer.
    pub grip: Length,
    /// Depth at which the engaged thread starts.
    pub starts: Length,
    /// Depth to which the thread must be engaged.
    pub engaged_to: Length,
    /// Pitches that the tip must reach beyond that, since the point has no full thread.
    pub beyond_pitches: f64,
    /// How deep the hole is cut for the bolt.
    pub room: TipRoom,
    /// Pitches that the tip must stay above that.
    pub clear_pitches: f64,
}

/// The bolt lengths that engage fully and do not bottom. Lengths are under the head.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct BoltLength {
    /// The bolt's thread.
    pub thread: Thread,
    /// Grip.
    #[serde(rename = "grip_mm")]
    pub grip: Length,
    /// Shortest length that engages fully.
    #[serde(rename = "least_mm")]
    pub least: Length,
    /// Longest length that does not bottom; `None` for a through hole or a missing reading.
    #[serde(rename = "most_mm")]
    pub most: Option<Length>,
    /// Shortest stock length that does both, tolerance included; `None` if none does, and while a
    /// reading is missing.
    #[serde(rename = "shortest_stock_mm")]
    pub shortest: Option<Length>,
    /// The shortest bolt as the trade writes it: `3/8-16 x 1-3/4`, `M10 x 45`.
    pub name: Option<String>,
    /// Longest stock length that does both; `None` if unlimited.
    #[serde(rename = "longest_stock_mm")]
    pub longest: Option<Length>,
    /// What to do if no stock length does both, or what to check.
    #[serde(serialize_with = "as_sentence")]
    pub advice: Option<BoltLengthAdvice>,
    /// Whether the shortest must be fully threaded, since a plain shank would reach into the
    /// thread.
    pub threaded_to_head: bool,
    /// Source of the lengths.
    pub source: &'static str,
}

/// Why no stock length works, or what to check. `Display` gives the sentence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BoltLengthAdvice {
    /// A bolt that engages fully would bottom.
    TooShallow {
        /// By how much.
        by: Length,
    },
    /// No stock length is between the limits.
    CutOrWasher {
        /// The next longer stock length.
        stock: Length,
        /// Least and largest length to cut it to.
        cut_to: (Length, Length),
        /// Thinnest and thickest washer that makes it fit; `None` if none does.
        washer: Option<(Length, Length)>,
    },
    /// Longer than any stock length.
    Longer {
        /// The longest stock length.
        longest: Length,
    },
    /// The depth of the hole is not known.
    RoomNotKnown,
    /// A through hole.
    GoesThrough,
}

impl fmt::Display for BoltLengthAdvice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BoltLengthAdvice::TooShallow { by } => write!(
                f,
                "A bolt that engages all the thread would bottom: the hole is {} too shallow. Drill deeper, or plan for less thread.",
                by.both_rounded(Rounding::Up)
            ),
            BoltLengthAdvice::CutOrWasher { stock, cut_to, washer } => {
                write!(
                    f,
                    "No stock length both engages fully and clears the bottom: cut a {} bolt to ",
                    stock_both(*stock),
                )?;
                write_cut_to(f, *cut_to)?;
                match washer {
                    Some((thin, thick)) => write!(
                        f,
                        ", or add a washer {} to {} thick.",
                        thin.both_rounded(Rounding::Up),
                        thick.both_rounded(Rounding::Down)
                    ),
                    None => f.write_str("."),
                }
            }
            BoltLengthAdvice::Longer { longest } => {
                write!(f, "No stock bolt is longer than {}: use a stud or threaded rod.", stock_both(*longest))
            }
            BoltLengthAdvice::RoomNotKnown => f.write_str(
                "Measure the depth of the hole to see whether the bolt bottoms.",
            ),
            BoltLengthAdvice::GoesThrough => f.write_str(
                "Through hole: check that the tip hits nothing behind it, and seal it if it opens into a passage.",
            ),
        }
    }
}

/// Less play than this is not written as a range.
const WRITTEN_PLAY: Length = Length::from_fraction(2, 1000);

/// Writes the least and the largest length to cut a bolt to; without play, the largest.
fn write_cut_to(f: &mut fmt::Formatter<'_>, (least, most): (Length, Length)) -> fmt::Result {
    let longest = most.both_rounded(Rounding::Down);
    if most - least < WRITTEN_PLAY {
        return write!(f, "{longest} exactly");
    }
    write!(
        f,
        "between {} and {longest}",
        least.both_rounded(Rounding::Up)
    )
}

/// A stock length in both units, in inches as a fraction: `44.45 mm (1-3/4 in)`.
fn stock_both(stock: Length) -> String {
    match stock.fraction() {
        Some(inches) => format!("{} ({inches} in)", stock.show(Unit::Millimeter)),
        None => stock.both(),
    }
}

fn as_sentence<S: serde::Serializer>(
    advice: &Option<BoltLengthAdvice>,
    to: S,
) -> Result<S::Ok, S::Error> {
    match advice {
        Some(advice) => to.collect_str(advice),
        None => to.serialize_none(),
    }
}

/// Formats a bolt as the trade writes it: `3/8-16 x 1-3/4`, `M10 x 45`.
pub fn bolt_name(thread: &Thread, length: Length) -> String {
    let designation = thread.designation();
    // UNC and UNF are omitted; any other series is part of the name.
    let short = designation
        .strip_suffix(" UNC")
        .or_else(|| designation.strip_suffix(" UNF"));
    let thread_words = short.unwrap_or(&designation);
    if thread.series().is_metric() {
        format!("{thread_words} x {}", length.mm())
    } else {
        let length = length
            .fraction()
            .unwrap_or_else(|| length.number(Unit::Inch));
        format!("{thread_words} x {length}")
    }
}

/// Returns the shortest length that engages fully, and the longest that does not bottom; `None` for a
/// through hole or a missing reading.
pub fn length_limits(seat: &BoltSeat) -> (Length, Option<Length>) {
    let pitches = |count: f64| Length::from_computed_mm(count * seat.bolt.pitch_mm());
    let least = seat.grip + seat.engaged_to + pitches(seat.beyond_pitches);
    let most = match seat.room {
        TipRoom::To(deepest) => {
            Some((seat.grip + deepest - pitches(seat.clear_pitches)).clamp_at_zero())
        }
        TipRoom::Open | TipRoom::NotKnown => None,
    };
    (least, most)
}

/// Finds the bolt lengths that engage fully and do not bottom.
pub fn bolt_length(seat: &BoltSeat) -> BoltLength {
    let (least, most) = length_limits(seat);
    let stock = stock_lengths(&seat.bolt);
    let reaches = |length: &Length| *length - length_tolerance(&seat.bolt, *length).0 >= least;
    let known = seat.room != TipRoom::NotKnown;
    let clears = |length: &Length| {
        known && most.is_none_or(|most| *length + length_tolerance(&seat.bolt, *length).1 <= most)
    };
    let mut serving = stock
        .iter()
        .copied()
        .filter(|length| reaches(length) && clears(length));
    let shortest = serving.next();
    let longest = most.and(serving.next_back().or(shortest));
    BoltLength {
        thread: seat.bolt,
        grip: seat.grip,
        least,
        most,
        shortest,
        name: shortest.map(|length| bolt_name(&seat.bolt, length)),
        longest,
        advice: advice(seat, (least, most), shortest, &stock),
        threaded_to_head: shortest.is_some_and(|length| shank_meets_thread(seat, length)),
        source: stock_source(&seat.bolt),
    }
}

fn advice(
    seat: &BoltSeat,
    (least, most): (Length, Option<Length>),
    shortest: Option<Length>,
    stock: &[Length],
) -> Option<BoltLengthAdvice> {
    let by_room = match seat.room {
        TipRoom::To(_) => None,
        TipRoom::Open => Some(BoltLengthAdvice::GoesThrough),
        TipRoom::NotKnown => Some(BoltLengthAdvice::RoomNotKnown),
    };
    if shortest.is_some() || seat.room == TipRoom::NotKnown {
        return by_room;
    }
    if let Some(most) = most.filter(|most| *most < least) {
        return Some(BoltLengthAdvice::TooShallow { by: least - most });
    }
    let reaching = stock
        .iter()
        .copied()
        .find(|length| *length - length_tolerance(&seat.bolt, *length).0 >= least);
    match (reaching, most) {
        (Some(stock), Some(most)) => {
            let (short, long) = length_tolerance(&seat.bolt, stock);
            let (thin, thick) = (stock + long - most, stock - short - least);
            Some(BoltLengthAdvice::CutOrWasher {
                stock,
                cut_to: (least, most),
                washer: (thin <= thick).then_some((thin, thick)),
            })
        }
        _ => stock
            .last()
            .map(|longest| BoltLengthAdvice::Longer { longest: *longest }),
    }
}

/// Whether the plain shank of a standard bolt would reach into the thread.
fn shank_meets_thread(seat: &BoltSeat, length: Length) -> bool {
    length - thread_length(&seat.bolt, length) > seat.grip + seat.starts
}
