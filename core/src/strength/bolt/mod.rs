//! The whole bolt: how long it must be to reach, how long it may be before it bottoms, and which length of the shop does both.

mod stock;
#[cfg(test)]
mod tests;

pub use stock::{length_tolerance, stock_lengths, stock_source, thread_length};

use crate::drill::Drill;
use crate::length::Length;
use crate::thread::Thread;
use serde::Serialize;
use std::fmt;

/// How much room the tip of a bolt has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Room {
    /// Down to so far below the finished face.
    #[serde(rename = "to_mm")]
    To(Length),
    /// The hole goes through.
    Open,
    /// A reading is missing.
    NotKnown,
}

/// Where a bolt finds its thread. Depths run from the finished face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// The bolt's thread.
    pub bolt: Thread,
    /// Thickness of all that is bolted on: part, gasket and washer.
    pub grip: Length,
    /// Where the thread that it engages starts.
    pub starts: Length,
    /// Where the thread that it shall engage ends.
    pub engaged_to: Length,
    /// How many pitches its tip shall stand beyond that, since its point carries no full thread.
    pub beyond_pitches: f64,
    /// How deep its tip may go.
    pub room: Room,
}

/// Between the tip and the bottom, one pitch is left (judgement).
const CLEAR_PITCHES: f64 = 1.0;

/// Which bolt reaches and does not bottom. Lengths are under the head.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reach {
    /// The bolt's thread.
    pub thread: Thread,
    /// Thickness bolted on.
    #[serde(rename = "grip_mm")]
    pub grip: Length,
    /// Shortest that engages all the thread it shall.
    #[serde(rename = "least_mm")]
    pub least: Length,
    /// Longest that does not bottom; none where the hole goes through or a reading is missing.
    #[serde(rename = "most_mm")]
    pub most: Option<Length>,
    /// Shortest length that is sold and does both, its tolerance counted.
    #[serde(rename = "shortest_stock_mm")]
    pub shortest: Option<Length>,
    /// The shortest as the trade writes it: `3/8-16 x 1-3/4`, `M10 x 45`.
    pub name: Option<String>,
    /// Longest that is sold and does both; none where nothing bounds it.
    #[serde(rename = "longest_stock_mm")]
    pub longest: Option<Length>,
    /// What to do where none that is sold does both, or what to look at.
    #[serde(serialize_with = "as_words")]
    pub advice: Option<ReachAdvice>,
    /// Whether the shortest must be threaded to its head: the plain shank of a usual one would reach into the thread.
    pub threaded_to_head: bool,
    /// Where the lengths come from.
    pub source: &'static str,
}

/// Why no length that is sold serves, or what to look at. Its `Display` is the sentence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ReachAdvice {
    /// A bolt that reaches would bottom.
    TooShallow {
        /// By how much.
        by: Length,
    },
    /// None between the two is sold.
    CutOrWasher {
        /// The next longer one that is sold.
        stock: Length,
        /// What to cut it to.
        cut_to: (Length, Length),
        /// Washers that bring it within, thinnest and thickest; none where no thickness does.
        washer: Option<(Length, Length)>,
    },
    /// Longer than any that is sold.
    Longer {
        /// The longest kept here.
        longest: Length,
    },
    /// Nothing is known about the bottom.
    RoomNotKnown,
    /// The hole goes through.
    GoesThrough,
}

impl fmt::Display for ReachAdvice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ReachAdvice::TooShallow { by } => write!(
                f,
                "A bolt that engages all the thread would bottom: the hole is {} too shallow for it. Make the hole deeper, or plan with less thread.",
                by.both()
            ),
            ReachAdvice::CutOrWasher { stock, cut_to, washer } => {
                write!(
                    f,
                    "No length that is sold both reaches and clears: cut one of {} to between {} and {}",
                    stock.both(),
                    cut_to.0.both(),
                    cut_to.1.both()
                )?;
                match washer {
                    Some((thin, thick)) => write!(f, ", or add a washer of {} to {}.", thin.both(), thick.both()),
                    None => f.write_str("."),
                }
            }
            ReachAdvice::Longer { longest } => {
                write!(f, "No bolt kept here is longer than {}: take a stud or threaded rod.", longest.both())
            }
            ReachAdvice::RoomNotKnown => f.write_str(
                "The depth below the finished face is not known, so nothing says whether the bolt bottoms: measure the hole.",
            ),
            ReachAdvice::GoesThrough => f.write_str(
                "The hole goes through: see that the tip meets nothing behind it, and seal it where it meets a passage.",
            ),
        }
    }
}

fn as_words<S: serde::Serializer>(advice: &Option<ReachAdvice>, to: S) -> Result<S::Ok, S::Error> {
    match advice {
        Some(advice) => to.collect_str(advice),
        None => to.serialize_none(),
    }
}

/// A bolt as the trade writes it: `3/8-16 x 1-3/4`, `M10 x 45`.
pub fn bolt_name(thread: &Thread, length: Length) -> String {
    let designation = thread.designation();
    // A Unified series goes without saying; any other is part of the name.
    let short = designation
        .strip_suffix(" UNC")
        .or_else(|| designation.strip_suffix(" UNF"));
    let thread_words = short.unwrap_or(&designation);
    if thread.series().is_metric() {
        format!("{thread_words} x {}", length.mm())
    } else {
        let sixty_fourths = (length.inches() * 64.0).round() as u16;
        format!("{thread_words} x {}", Drill::fraction(sixty_fourths))
    }
}

/// Finds the bolts that reach and do not bottom.
pub fn reach(seat: &Seat) -> Reach {
    let pitches = |count: f64| Length::computed_mm(count * seat.bolt.pitch_mm());
    let least = seat.grip + seat.engaged_to + pitches(seat.beyond_pitches);
    let most = match seat.room {
        Room::To(deepest) => Some((seat.grip + deepest - pitches(CLEAR_PITCHES)).or_zero()),
        Room::Open | Room::NotKnown => None,
    };
    let stock = stock_lengths(&seat.bolt);
    let reaches = |length: &Length| *length - length_tolerance(&seat.bolt, *length).0 >= least;
    let clears = |length: &Length| {
        most.is_none_or(|most| *length + length_tolerance(&seat.bolt, *length).1 <= most)
    };
    let mut serving = stock
        .iter()
        .copied()
        .filter(|length| reaches(length) && clears(length));
    let shortest = serving.next();
    let longest = most.and(serving.next_back().or(shortest));
    Reach {
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
    seat: &Seat,
    (least, most): (Length, Option<Length>),
    shortest: Option<Length>,
    stock: &[Length],
) -> Option<ReachAdvice> {
    let by_room = match seat.room {
        Room::To(_) => None,
        Room::Open => Some(ReachAdvice::GoesThrough),
        Room::NotKnown => Some(ReachAdvice::RoomNotKnown),
    };
    if shortest.is_some() {
        return by_room;
    }
    if let Some(most) = most.filter(|most| *most < least) {
        return Some(ReachAdvice::TooShallow { by: least - most });
    }
    let reaching = stock
        .iter()
        .copied()
        .find(|length| *length - length_tolerance(&seat.bolt, *length).0 >= least);
    match (reaching, most) {
        (Some(stock), Some(most)) => {
            let (short, long) = length_tolerance(&seat.bolt, stock);
            let (thin, thick) = (stock + long - most, stock - short - least);
            Some(ReachAdvice::CutOrWasher {
                stock,
                cut_to: (least, most),
                washer: (thin <= thick).then_some((thin, thick)),
            })
        }
        _ => stock
            .last()
            .map(|longest| ReachAdvice::Longer { longest: *longest }),
    }
}

/// Whether the plain shank of a usual bolt is longer than what is bolted on and the way to the thread.
fn shank_meets_thread(seat: &Seat, length: Length) -> bool {
    length - thread_length(&seat.bolt, length) > seat.grip + seat.starts
}
