//! Formats thread designations, and (de)serializes threads as designations.

use super::standard::{numbered_size, pipe, standard_threads};
use super::{Hand, Pitch, Series, Thread};
use crate::length::Length;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// Decimal places of an inch that distinguish any two nanometers.
const MAX_PLACES: usize = 9;

pub(super) fn format_thread(thread: Thread) -> String {
    if thread.sti {
        return sti(thread.bolt());
    }
    let plain = match (thread.series, thread.pitch) {
        (_, Pitch::Length(pitch)) => format!("M{}x{}", mm_number(thread.nominal), mm_number(pitch)),
        (Series::BspParallel, _) => format!("G {}", size_name(thread)),
        (Series::BspTaper, _) => format!("R {}", size_name(thread)),
        (series, Pitch::PerInch(n)) => format!("{}-{n} {series}", size_name(thread)),
    };
    match thread.hand {
        Hand::Right => plain,
        Hand::Left => format!("{plain} LH"),
    }
}

/// Formats an STI hole. A size without its series means the 60 degree thread that standards list.
fn sti(bolt: Thread) -> String {
    let right = bolt.with_hand(Hand::Right);
    let full = right.designation();
    let listed = match bolt.series {
        Series::Bsw | Series::Bsf => false,
        Series::Uns => standard_threads().any(|thread| thread == right),
        _ => true,
    };
    let size = full.split(' ').next().filter(|_| listed);
    let plain = size.unwrap_or(&full);
    match bolt.hand {
        Hand::Right => format!("{plain} STI"),
        Hand::Left => format!("{plain} STI LH"),
    }
}

/// Formats millimeters without the unit.
fn mm_number(length: Length) -> String {
    length.exact().trim_end_matches(" mm").to_owned()
}

/// Formats the size in the thread's name, which for a pipe thread is not its diameter.
fn size_name(thread: Thread) -> String {
    let size = pipe(thread).map_or(thread.nominal, |pipe| pipe.size());
    // A special of a numbered size is written in decimals: 1-48 UNS would be parsed as one inch.
    let has_numbers = matches!(
        thread.series,
        Series::Unc | Series::Unf | Series::Unef | Series::Un
    );
    let numbered = (0..=12).find(|&n| has_numbers && numbered_size(n) == size);
    numbered.map_or_else(|| inch_size(size), |number| number.to_string())
}

/// `3/8`, `1-1/8`, or `.39` for a size that is not a 64th.
fn inch_size(size: Length) -> String {
    size.fraction().unwrap_or_else(|| decimal(size))
}

/// Formats with the fewest places that parse back to the same size.
fn decimal(size: Length) -> String {
    let at = |places: usize| format!("{:.places$}", size.inches());
    let same = |text: &String| {
        let read = text.parse().ok().and_then(|n| Length::from_inches(n).ok());
        read == Some(size)
    };
    let text = (1..MAX_PLACES).map(at).find(same);
    let text = text.unwrap_or_else(|| at(MAX_PLACES));
    text.strip_prefix('0').unwrap_or(&text).to_owned()
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&format_thread(*self))
    }
}

impl FromStr for Thread {
    type Err = super::ThreadError;
    fn from_str(text: &str) -> Result<Thread, super::ThreadError> {
        Thread::parse(text)
    }
}

impl Serialize for Thread {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.designation())
    }
}

impl<'de> Deserialize<'de> for Thread {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Thread, D::Error> {
        Thread::parse(&String::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}
