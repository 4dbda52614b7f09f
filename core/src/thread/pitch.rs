//! Pitch, in the unit in which each series states it.

use crate::length::{Length, NM_PER_INCH, NM_PER_MM};
use serde::{Serialize, Serializer};
use std::fmt;

/// Threads per inch in whole or half threads, such as 16, 4 1/2 (2 in UNC) or 11 1/2 (NPT).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ThreadsPerInch {
    halves: u32,
}

impl ThreadsPerInch {
    /// Largest count accepted; no machine thread is that fine.
    const MAX: u32 = 200;

    /// Creates a whole number of threads per inch.
    pub const fn whole(count: u32) -> ThreadsPerInch {
        ThreadsPerInch { halves: count * 2 }
    }

    /// Creates a count from half threads: 9 for 4 1/2.
    pub const fn halves(halves: u32) -> ThreadsPerInch {
        ThreadsPerInch { halves }
    }

    /// Returns the count as a number.
    pub fn count(self) -> f64 {
        f64::from(self.halves) / 2.0
    }

    /// Parses `20`, `4.5`, `4 1/2` or `4-1/2`; `None` for anything else, below 1, or above 200.
    pub fn parse(text: &str) -> Option<ThreadsPerInch> {
        let text = text.trim();
        let half = ["-1/2", " 1/2", ".5", ",5"]
            .iter()
            .find_map(|half| text.strip_suffix(half));
        let whole = half.unwrap_or(text);
        let plain = !whole.is_empty() && whole.bytes().all(|b| b.is_ascii_digit());
        let count: u32 = whole.parse().ok().filter(|_| plain)?;
        ((1..=Self::MAX).contains(&count))
            .then(|| Self::halves(count * 2 + u32::from(half.is_some())))
    }
}

impl From<ThreadsPerInch> for f64 {
    fn from(threads: ThreadsPerInch) -> f64 {
        threads.count()
    }
}

/// `16` or `4.5`, as in designations.
impl fmt::Display for ThreadsPerInch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.count())
    }
}

/// A JSON integer where the count is whole.
impl Serialize for ThreadsPerInch {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.halves.is_multiple_of(2) {
            serializer.serialize_u32(self.halves / 2)
        } else {
            serializer.serialize_f64(self.count())
        }
    }
}

/// Pitch as the series states it, which keeps it exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pitch {
    /// Threads per inch.
    PerInch(ThreadsPerInch),
    /// Distance from one thread to the next.
    Length(Length),
}

impl Pitch {
    /// Returns the pitch in millimeters.
    pub fn mm(self) -> f64 {
        match self {
            Pitch::PerInch(n) => NM_PER_INCH as f64 / NM_PER_MM as f64 / n.count(),
            Pitch::Length(pitch) => pitch.mm(),
        }
    }
}

/// `14 threads per inch`, `1.5 mm`.
impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Pitch::PerInch(n) => write!(f, "{n} threads per inch"),
            Pitch::Length(pitch) => f.write_str(&pitch.exact()),
        }
    }
}
