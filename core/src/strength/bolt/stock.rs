//! Stock lengths of bolts, their tolerances and thread lengths.

use crate::length::{Length, NM_PER_MM};
use crate::thread::Thread;

/// Source of inch bolt lengths.
pub const INCH_LENGTHS: &str = "inch hex bolts by 1/8 in to 1-1/2 in, by 1/4 in to 4 in, by 1/2 in to 8 in (common practice, no source)";
/// Source of metric bolt lengths.
pub const METRIC_LENGTHS: &str = "lengths of ISO 4014 and ISO 4017 (transcribed)";

/// Source: ISO 4014 and ISO 4017 in the data of the package bd-warehouse 0.4.0; the shortest are
/// from ISO 4017, fully threaded.
const METRIC_MM: [i64; 27] = [
    6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140,
    150, 160, 180, 200,
];

/// Returns the stock lengths under the head of a hex bolt with this thread, shortest first. Lengths
/// below the nominal diameter are omitted, since they are not sold as bolts.
pub fn stock_lengths(thread: &Thread) -> Vec<Length> {
    let all: Vec<Length> = if thread.series().is_metric() {
        METRIC_MM.map(|mm| Length::from_nm(mm * NM_PER_MM)).into()
    } else {
        let eighths = (2..=12).map(|n| Length::from_fraction(n, 8));
        let quarters = (7..=16).map(|n| Length::from_fraction(n, 4));
        let halves = (9..=16).map(|n| Length::from_fraction(n, 2));
        eighths.chain(quarters).chain(halves).collect()
    };
    all.into_iter()
        .filter(|length| *length >= thread.nominal())
        .collect()
}

/// Returns the source of [`stock_lengths`].
pub fn stock_source(thread: &Thread) -> &'static str {
    if thread.series().is_metric() {
        METRIC_LENGTHS
    } else {
        INCH_LENGTHS
    }
}

/// Returns how much shorter and longer than nominal a bolt may be.
///
/// Inch: ASME B18.2.1 as a bolt supplier publishes it (secondary source); never longer. Metric:
/// product grade A of ISO 4759-1, js15 up to 150 mm and js17 beyond (a published guide to ISO 888,
/// secondary source), with figures from a published table (deepri.com, secondary source).
pub fn length_tolerance(thread: &Thread, length: Length) -> (Length, Length) {
    if thread.series().is_metric() {
        let hundredths = metric_hundredths(length);
        let off = Length::from_nm(hundredths * NM_PER_MM / 100);
        (off, off)
    } else {
        let hundredths = inch_short_hundredths(thread.nominal(), length);
        (Length::from_fraction(hundredths, 100), Length::ZERO)
    }
}

fn inch_short_hundredths(nominal: Length, length: Length) -> i64 {
    // Up to 1 in, 2-1/2 in, 4 in, 6 in, and longer.
    let row = match nominal {
        size if size <= Length::from_fraction(3, 8) => [3, 4, 6, 10, 18],
        size if size <= Length::from_fraction(1, 2) => [3, 6, 8, 10, 18],
        size if size <= Length::from_fraction(3, 4) => [3, 8, 10, 10, 18],
        size if size <= Length::from_fraction(1, 1) => [10, 10, 14, 16, 20],
        _ => [12, 12, 16, 18, 22],
    };
    let limits = [(1, 1), (5, 2), (4, 1), (6, 1)].map(|(up, down)| Length::from_fraction(up, down));
    let column = limits.iter().position(|limit| length <= *limit);
    row[column.unwrap_or(4)]
}

fn metric_hundredths(length: Length) -> i64 {
    match length.mm() {
        mm if mm <= 6.0 => 24,
        mm if mm <= 10.0 => 29,
        mm if mm <= 18.0 => 35,
        mm if mm <= 30.0 => 42,
        mm if mm <= 50.0 => 50,
        mm if mm <= 80.0 => 60,
        mm if mm <= 120.0 => 70,
        mm if mm <= 150.0 => 80,
        mm if mm <= 180.0 => 200,
        _ => 230,
    }
}

/// Returns the thread length of a bolt that is not fully threaded.
///
/// Inch: twice the diameter plus 1/4 in, or 1/2 in for bolts over 6 in (ASME B18.2.1 as suppliers
/// publish it, secondary source). Metric: twice the diameter plus 6 mm up to 125 mm, 12 mm up to
/// 200 mm, 25 mm beyond (ISO 888 as a supplier publishes it, secondary source).
pub fn thread_length(thread: &Thread, length: Length) -> Length {
    let more = if thread.series().is_metric() {
        let mm = match length.mm() {
            mm if mm <= 125.0 => 6,
            mm if mm <= 200.0 => 12,
            _ => 25,
        };
        Length::from_nm(mm * NM_PER_MM)
    } else if length <= Length::from_fraction(6, 1) {
        Length::from_fraction(1, 4)
    } else {
        Length::from_fraction(1, 2)
    };
    (thread.nominal() * 2 + more).min(length)
}
