//! Unified sizes, No. 0 to 2 in: ASME B1.1 Table 1.
//!
//! UNC, UNF, UNEF and 8-UN are as in Machinery's Handbook 31, pages 1978 to 1980 and 1983 (page
//! views read), and 6-UN as in its 27th edition on page 1767. The sizes of the other constant
//! pitches are from memory of the standard's table; 11/16-11 NS, 13/16-16 UN and 1-1/8-12 UNF are
//! confirmed by MS51835B Tables II and III.

use super::super::{Hand, Pitch, Series, Thread, ThreadsPerInch};
use super::numbered_size;
use crate::length::Length;

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
/// Numbered sizes of the extra fine series.
const UNEF_NUMBERS: &[(i64, u32)] = &[(12, 32)];
/// Coarse series in sixteenths of an inch; 2 in is separate because of its half thread.
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
    (25, 18),
    (26, 18),
    (27, 18),
];
/// Constant-pitch series: threads per inch, from and to which sixteenth of an inch. 4-UN begins
/// above 2 in.
const CONSTANT: &[(u32, i64, i64)] = &[
    (6, 22, 32),
    (8, 16, 32),
    (12, 9, 32),
    (16, 6, 32),
    (20, 4, 32),
    (28, 4, 24),
    (32, 4, 16),
];
/// Special combinations in sixteenths of an inch.
const UNS: &[(i64, u32)] = &[(16, 14)];
/// National special, outside threads of key-locking inserts.
const NS: &[(i64, u32)] = &[(11, 11)];

pub(super) fn threads() -> Vec<Thread> {
    let two_inch = Thread {
        pitch: Pitch::PerInch(ThreadsPerInch::halves(9)),
        ..sixteenth(Series::Unc, 32, 4)
    };
    let mut threads: Vec<Thread> = numbered(Series::Unc, UNC_NUMBERS)
        .chain(sixteenths(Series::Unc, UNC))
        .chain([two_inch])
        .chain(numbered(Series::Unf, UNF_NUMBERS))
        .chain(sixteenths(Series::Unf, UNF))
        .chain(numbered(Series::Unef, UNEF_NUMBERS))
        .chain(sixteenths(Series::Unef, UNEF))
        .collect();
    let constant = constant_pitch(&threads);
    threads.extend(constant);
    threads.extend(sixteenths(Series::Uns, UNS));
    threads.extend(sixteenths(Series::Ns, NS));
    threads
}

/// Returns the constant-pitch threads that no other series has, smallest first.
fn constant_pitch(others: &[Thread]) -> Vec<Thread> {
    let is_new = |thread: &Thread| {
        !others
            .iter()
            .any(|other| other.nominal == thread.nominal && other.pitch == thread.pitch)
    };
    (4..=32)
        .flat_map(|size| {
            let of_size = CONSTANT
                .iter()
                .filter(move |&&(_, from, to)| from <= size && size <= to);
            of_size.map(move |&(per_inch, _, _)| sixteenth(Series::Un, size, per_inch))
        })
        .filter(is_new)
        .collect()
}

fn numbered(series: Series, sizes: &'static [(i64, u32)]) -> impl Iterator<Item = Thread> {
    sizes.iter().map(move |&(number, per_inch)| Thread {
        nominal: numbered_size(number),
        ..sixteenth(series, 1, per_inch)
    })
}

fn sixteenths(series: Series, sizes: &'static [(i64, u32)]) -> impl Iterator<Item = Thread> {
    sizes
        .iter()
        .map(move |&(size, per_inch)| sixteenth(series, size, per_inch))
}

fn sixteenth(series: Series, sixteenths: i64, per_inch: u32) -> Thread {
    Thread {
        series,
        nominal: Length::from_fraction(sixteenths, 16),
        pitch: Pitch::PerInch(ThreadsPerInch::whole(per_inch)),
        hand: Hand::Right,
        sti: false,
    }
}
