//! Clearance holes for the bolt in the part above.

use crate::length::{Length, NM_PER_MM};
use crate::thread::Thread;

/// Nominal size in 1/16 in, clearance hole in 1/32 in: ASME B18.2.8, normal fit, as transcribed in
/// the data of the package bd-warehouse 0.4.0.
const INCH: [(i64, i64); 8] = [
    (4, 9),
    (5, 11),
    (6, 13),
    (7, 15),
    (8, 18),
    (10, 22),
    (12, 26),
    (14, 30),
];
/// Nominal size in mm, clearance hole in tenths of a mm: ISO 273, medium series, from memory.
const METRIC: [(i64, i64); 10] = [
    (5, 55),
    (6, 66),
    (8, 90),
    (10, 110),
    (12, 135),
    (14, 155),
    (16, 175),
    (18, 200),
    (20, 220),
    (22, 240),
];

/// Clearance hole of normal (medium) fit for a screw; `None` for a size that the tables kept here
/// do not give.
pub fn clearance(thread: &Thread) -> Option<Length> {
    let nominal = thread.nominal();
    if thread.series().is_metric() {
        METRIC
            .iter()
            .find(|&&(mm, _)| nominal == Length::from_nm(mm * NM_PER_MM))
            .map(|&(_, tenths)| Length::from_nm(tenths * NM_PER_MM / 10))
    } else {
        INCH.iter()
            .find(|&&(sixteenths, _)| nominal == Length::from_fraction(sixteenths, 16))
            .map(|&(_, thirty_seconds)| Length::from_fraction(thirty_seconds, 32))
    }
}
