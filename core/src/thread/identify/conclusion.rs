//! What the readings can tell.

use super::tell_apart;
use crate::thread::Thread;
use serde::Serialize;
use std::fmt;

/// What can be said from the readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Conclusion {
    /// One thread kept here fits, and no other.
    Told {
        /// The thread.
        thread: Thread,
    },
    /// More than one fits, or the pitch was not read.
    Several {
        /// Those that fit, the most plausible first.
        threads: Vec<Thread>,
        /// The readings that would tell, each a part of a sentence.
        tells: Vec<String>,
    },
    /// None fits.
    None {
        /// What to do about it.
        advice: &'static str,
    },
}

const MEASURE_PITCH: &str = "the pitch: hold a pitch gauge to the threads, or measure over ten pitches, which is eleven crests, and write it as \
                             18.1mm/10";
const NO_READING: &str = "none that a shop takes: they differ by less than a caliper and a pitch gauge show, so try a bolt or a plug of each";
const NOTHING_FITS: &str = "measure again, over clean and unworn threads; if it stays so, it may be a special or an old one of the maker's own";

pub(super) fn conclude(possible: &[Thread], pitch_was_read: bool) -> Conclusion {
    let (&first, others) = match possible {
        [] => {
            return Conclusion::None {
                advice: NOTHING_FITS,
            };
        }
        [only] if pitch_was_read => return Conclusion::Told { thread: *only },
        [first, others @ ..] => (first, others),
    };
    let tells = if pitch_was_read {
        tells(first, others)
    } else {
        vec![MEASURE_PITCH.to_owned()]
    };
    Conclusion::Several {
        threads: possible.to_vec(),
        tells,
    }
}

/// What tells the first from each of the others.
fn tells(first: Thread, others: &[Thread]) -> Vec<String> {
    others
        .iter()
        .map(|&other| {
            tell_apart(first, other).map_or_else(
                || format!("between {first} and {other} {NO_READING}"),
                |tell| tell.words,
            )
        })
        .collect()
}

impl fmt::Display for Conclusion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Conclusion::Told { thread } => write!(
                f,
                "It is {thread}: no other thread kept here lies within these readings."
            ),
            Conclusion::Several { threads, .. } if threads.len() == 1 => {
                write!(f, "It may be {}, but the pitch decides.", threads[0])
            }
            Conclusion::Several { threads, .. } => write!(
                f,
                "These readings fit {} threads and cannot tell which it is.",
                threads.len()
            ),
            Conclusion::None { advice } => {
                write!(f, "No thread kept here fits these readings; {advice}.")
            }
        }
    }
}
