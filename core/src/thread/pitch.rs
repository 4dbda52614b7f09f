//! Pitch, the way each series states it.

use crate::length::{Length, NM_PER_INCH, NM_PER_MM};
use serde::{Serialize, Serializer};
use std::fmt;

/// Threads per inch, in whole or half threads: 16, or the 4 1/2 of 2 in UNC and the 11 1/2 of NPT.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ThreadsPerInch {
    halves: u32,
}

impl ThreadsPerInch {
    /// The most that is read; no thread of a machine is so fine.
    const MOST: u32 = 200;

    /// A whole number of them.
    pub const fn whole(count: u32) -> ThreadsPerInch {
        ThreadsPerInch { halves: count * 2 }
    }

    /// A number of half threads: 9 for 4 1/2.
    pub const fn halves(halves: u32) -> ThreadsPerInch {
        ThreadsPerInch { halves }
    }

    /// As a number.
    pub fn count(self) -> f64 {
        f64::from(self.halves) / 2.0
    }

    /// Reads `20`, `4.5`, `4 1/2` and `4-1/2`; `None` for anything else, for less than one, and for more than 200.
    pub fn parse(text: &str) -> Option<ThreadsPerInch> {
        let text = text.trim();
        let half = ["-1/2", " 1/2", ".5", ",5"]
            .iter()
            .find_map(|half| text.strip_suffix(half));
        let whole = half.unwrap_or(text);
        let plain = !whole.is_empty() && whole.bytes().all(|b| b.is_ascii_digit());
        let count: u32 = whole.parse().ok().filter(|_| plain)?;
        ((1..=Self::MOST).contains(&count))
            .then(|| Self::halves(count * 2 + u32::from(half.is_some())))
    }
}

impl From<ThreadsPerInch> for f64 {
    fn from(threads: ThreadsPerInch) -> f64 {
        threads.count()
    }
}

/// `16`, `4.5`, as designations have it.
impl fmt::Display for ThreadsPerInch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.count())
    }
}

/// A number, whole where it is whole.
impl Serialize for ThreadsPerInch {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.halves.is_multiple_of(2) {
            serializer.serialize_u32(self.halves / 2)
        } else {
            serializer.serialize_f64(self.count())
        }
    }
}

/// Pitch as the series states it, so that it stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pitch {
    /// Threads per inch.
    PerInch(ThreadsPerInch),
    /// From one thread to the next.
    Length(Length),
}

impl Pitch {
    /// In millimetres.
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
