//! The conclusion of an identification.

use super::tell_apart;
use crate::thread::Thread;
use serde::Serialize;
use std::fmt;

/// What the readings show.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Conclusion {
    /// Exactly one thread matches.
    OnlyMatch {
        /// The thread.
        thread: Thread,
    },
    /// Several threads match, or the pitch was not measured.
    SeveralMatch {
        /// Matching threads, most plausible first.
        threads: Vec<Thread>,
        /// What to measure to decide, each as part of a sentence.
        deciding_checks: Vec<String>,
    },
    /// No thread matches.
    NoMatch {
        /// What to do next.
        advice: &'static str,
    },
}

const MEASURE_PITCH: &str = "the pitch: use a pitch gauge, or measure over ten pitches (eleven crests) and enter it as .72in/10 or 18.1mm/10";
const NO_READING: &str =
    "neither caliper nor pitch gauge can tell; try a bolt or plug gauge of each";
const NOTHING_FITS: &str = "measure again on clean, unworn threads; if nothing fits then, it may be a special or the maker's own thread";

pub(super) fn conclude(possible: &[Thread], pitch_was_read: bool) -> Conclusion {
    let (&first, others) = match possible {
        [] => {
            return Conclusion::NoMatch {
                advice: NOTHING_FITS,
            };
        }
        [only] if pitch_was_read => return Conclusion::OnlyMatch { thread: *only },
        [first, others @ ..] => (first, others),
    };
    let tells = if pitch_was_read {
        told_apart_by(first, others)
    } else {
        vec![MEASURE_PITCH.to_owned()]
    };
    Conclusion::SeveralMatch {
        threads: possible.to_vec(),
        deciding_checks: tells,
    }
}

/// Returns what tells the first thread apart from each of the others.
fn told_apart_by(first: Thread, others: &[Thread]) -> Vec<String> {
    others
        .iter()
        .map(|&other| {
            tell_apart(first, other).map_or_else(
                || format!("between {first} and {other}, {NO_READING}"),
                |difference| difference.text,
            )
        })
        .collect()
}

impl fmt::Display for Conclusion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Conclusion::OnlyMatch { thread } => write!(
                f,
                "This is {thread}: no other known thread matches the readings."
            ),
            Conclusion::SeveralMatch { threads, .. } if threads.len() == 1 => {
                write!(f, "It may be {}; the pitch decides.", threads[0])
            }
            Conclusion::SeveralMatch { threads, .. } => {
                write!(f, "{} threads match these readings.", threads.len())
            }
            Conclusion::NoMatch { advice } => {
                write!(f, "No known thread matches these readings; {advice}.")
            }
        }
    }
}
