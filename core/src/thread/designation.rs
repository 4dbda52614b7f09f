//! Writing thread designations.

use super::standard::{numbered_size, pipe};
use super::{Hand, Pitch, Series, Thread};
use crate::length::Length;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// Places of a decimal inch that always tell two nanometres apart.
const MOST_PLACES: usize = 9;

pub(super) fn write(thread: Thread) -> String {
    let plain = match (thread.series, thread.pitch) {
        (_, Pitch::Length(pitch)) => format!("M{}x{}", number(thread.nominal), number(pitch)),
        (Series::BspParallel, _) => format!("G {}", called(thread)),
        (Series::BspTaper, _) => format!("R {}", called(thread)),
        (series, Pitch::PerInch(n)) => format!("{}-{n} {series}", called(thread)),
    };
    match thread.hand {
        Hand::Right => plain,
        Hand::Left => format!("{plain} LH"),
    }
}

/// Millimetres without their unit.
fn number(length: Length) -> String {
    length.exact().trim_end_matches(" mm").to_owned()
}

/// The size of an inch thread as it is called, which for a pipe thread is not what it measures.
fn called(thread: Thread) -> String {
    let size = pipe(thread).map_or(thread.nominal, |pipe| pipe.size());
    // A special of a numbered size is written in decimals: 1-48 UNS would be read as one inch.
    let has_numbers = matches!(
        thread.series,
        Series::Unc | Series::Unf | Series::Unef | Series::Un
    );
    let numbered = (0..=12).find(|&n| has_numbers && numbered_size(n) == size);
    numbered.map_or_else(|| inch_size(size), |number| number.to_string())
}

/// `3/8`, `1-1/8`, and `.39` for what is no 64th.
fn inch_size(size: Length) -> String {
    let upper = (size.inches() * 64.0).round() as i64;
    if Length::from_fraction(upper, 64) == size {
        fraction(upper)
    } else {
        decimal(size)
    }
}

fn fraction(sixty_fourths: i64) -> String {
    let (mut upper, mut lower) = (sixty_fourths, 64);
    while upper % 2 == 0 && lower > 1 {
        upper /= 2;
        lower /= 2;
    }
    match (upper / lower, upper % lower) {
        (whole, 0) => whole.to_string(),
        (0, part) => format!("{part}/{lower}"),
        (whole, part) => format!("{whole}-{part}/{lower}"),
    }
}

/// With as many places as tell it from its neighbours.
fn decimal(size: Length) -> String {
    let at = |places: usize| format!("{:.places$}", size.inches());
    let same = |text: &String| {
        let read = text.parse().ok().and_then(|n| Length::from_inches(n).ok());
        read == Some(size)
    };
    let text = (1..MOST_PLACES).map(at).find(same);
    let text = text.unwrap_or_else(|| at(MOST_PLACES));
    text.strip_prefix('0').unwrap_or(&text).to_owned()
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&write(*self))
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
