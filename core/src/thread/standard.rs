//! The threads that the standards list.
//!
//! Which size goes with which pitch is from memory of ASME B1.1 Table 1 and ISO 261; the sizes
//! 10-24 to 1-8 are confirmed by the rows of FED-STD-H28/2B (1991) Table II.A.1, and 11/16-11 NS,
//! 13/16-16 UN, 7/8-14 UNF and 1-1/8-12 UNF by MS51835B Tables II and III.
//!
//! Metric sizes stop where the tolerances kept in [`super::metric`] stop; a thread is only listed
//! when all its limits are known.

use super::{Pitch, Series, Thread};
use crate::length::{Length, NM_PER_MM};

/// Numbered sizes of the coarse series: number, threads per inch.
const UNC_NUMBERS: &[(i64, u32)] = &[
    (1, 64),
    (2, 56),
    (3, 48),
    (4, 40),
    (5, 40),
    (6, 32),
    (8, 32),
    (10, 24),
    (12, 24),
];
/// Numbered sizes of the fine series.
const UNF_NUMBERS: &[(i64, u32)] = &[
    (0, 80),
    (1, 72),
    (2, 64),
    (3, 56),
    (4, 48),
    (5, 44),
    (6, 40),
    (8, 36),
    (10, 32),
    (12, 28),
];
/// Coarse series in sixteenths of an inch.
const UNC: &[(i64, u32)] = &[
    (4, 20),
    (5, 18),
    (6, 16),
    (7, 14),
    (8, 13),
    (9, 12),
    (10, 11),
    (12, 10),
    (14, 9),
    (16, 8),
    (18, 7),
    (20, 7),
    (22, 6),
    (24, 6),
    (28, 5),
];
/// Fine series in sixteenths of an inch.
const UNF: &[(i64, u32)] = &[
    (4, 28),
    (5, 24),
    (6, 24),
    (7, 20),
    (8, 20),
    (9, 18),
    (10, 18),
    (12, 16),
    (14, 14),
    (16, 12),
    (18, 12),
    (20, 12),
    (22, 12),
    (24, 12),
];
/// Extra fine series in sixteenths of an inch.
const UNEF: &[(i64, u32)] = &[
    (4, 32),
    (5, 32),
    (6, 32),
    (7, 28),
    (8, 28),
    (9, 24),
    (10, 24),
    (11, 24),
    (12, 20),
    (13, 20),
    (14, 20),
    (15, 20),
    (16, 20),
    (17, 18),
    (18, 18),
    (19, 18),
    (20, 18),
    (21, 18),
    (22, 18),
    (23, 18),
    (24, 18),
];
/// Constant-pitch series in sixteenths of an inch, where no other series has the combination already.
const UN: &[(i64, u32)] = &[
    (5, 20),
    (5, 28),
    (6, 20),
    (6, 28),
    (7, 16),
    (7, 32),
    (8, 16),
    (8, 32),
    (9, 16),
    (9, 20),
    (9, 28),
    (9, 32),
    (10, 12),
    (10, 16),
    (10, 20),
    (10, 28),
    (10, 32),
    (11, 12),
    (11, 16),
    (11, 20),
    (11, 28),
    (11, 32),
    (12, 12),
    (12, 28),
    (12, 32),
    (13, 12),
    (13, 16),
    (13, 28),
    (13, 32),
    (14, 12),
    (14, 16),
    (14, 28),
    (14, 32),
    (15, 12),
    (15, 16),
    (15, 28),
    (15, 32),
    (16, 16),
    (16, 28),
    (16, 32),
    (17, 12),
    (17, 16),
    (17, 20),
    (17, 28),
    (18, 8),
    (18, 16),
    (18, 20),
    (18, 28),
    (20, 8),
    (20, 16),
    (20, 20),
    (20, 28),
    (22, 8),
    (22, 16),
    (24, 8),
    (24, 16),
    (24, 20),
    (24, 28),
];
/// Special combinations in sixteenths of an inch.
const UNS: &[(i64, u32)] = &[(16, 14)];
/// National special, outside threads of key-locking inserts.
const NS: &[(i64, u32)] = &[(11, 11)];
/// Metric coarse: diameter in mm, pitch in hundredths of a mm.
const METRIC_COARSE: &[(i64, i64)] = &[
    (5, 80),
    (6, 100),
    (7, 100),
    (8, 125),
    (10, 150),
    (12, 175),
    (14, 200),
    (16, 200),
    (18, 250),
    (20, 250),
    (22, 250),
];

/// A numbered size: 0.060 in and 0.013 in more for each number (ASME B1.1).
pub(super) const fn numbered_size(number: i64) -> Length {
    Length::from_fraction(60 + 13 * number, 1000)
}

/// Every thread kept here, smallest first within its series.
pub fn standard_threads() -> impl Iterator<Item = Thread> {
    numbered(Series::Unc, UNC_NUMBERS)
        .chain(sixteenths(Series::Unc, UNC))
        .chain(numbered(Series::Unf, UNF_NUMBERS))
        .chain(sixteenths(Series::Unf, UNF))
        .chain(numbered(Series::Unef, &[(12, 32)]))
        .chain(sixteenths(Series::Unef, UNEF))
        .chain(sixteenths(Series::Un, UN))
        .chain(sixteenths(Series::Uns, UNS))
        .chain(sixteenths(Series::Ns, NS))
        .chain(metric(Series::MetricCoarse, METRIC_COARSE))
}

fn numbered(series: Series, sizes: &'static [(i64, u32)]) -> impl Iterator<Item = Thread> {
    sizes.iter().map(move |&(number, n)| Thread {
        series,
        nominal: numbered_size(number),
        pitch: Pitch::PerInch(n),
    })
}

fn sixteenths(series: Series, sizes: &'static [(i64, u32)]) -> impl Iterator<Item = Thread> {
    sizes.iter().map(move |&(sixteenths, n)| Thread {
        series,
        nominal: Length::from_fraction(sixteenths, 16),
        pitch: Pitch::PerInch(n),
    })
}

fn metric(series: Series, sizes: &'static [(i64, i64)]) -> impl Iterator<Item = Thread> {
    sizes.iter().map(move |&(mm, hundredths)| Thread {
        series,
        nominal: Length::from_nm(mm * NM_PER_MM),
        pitch: Pitch::Length(Length::from_nm(hundredths * NM_PER_MM / 100)),
    })
}
