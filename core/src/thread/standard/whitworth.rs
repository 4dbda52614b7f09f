//! Whitworth sizes, coarse (BSW) and fine (BSF), 1/8 to 2 in.
//!
//! Source: BS 84 lists of the public repository `FreeCAD/FreeCAD` (its hole feature). BSW 5/32,
//! 7/32, 1-3/8, 1-5/8 and 1-7/8 are missing there and come from a fastener maker's table of
//! Whitworth threads (secondary source, which agrees in every other row).

use super::super::{Hand, Pitch, Series, Thread, ThreadsPerInch};
use crate::length::Length;

/// Size in 1/32 in, half threads per inch.
const BSW: &[(i64, u32)] = &[
    (4, 80),
    (5, 64),
    (6, 48),
    (7, 48),
    (8, 40),
    (10, 36),
    (12, 32),
    (14, 28),
    (16, 24),
    (18, 24),
    (20, 22),
    (22, 22),
    (24, 20),
    (28, 18),
    (32, 16),
    (36, 14),
    (40, 14),
    (44, 12),
    (48, 12),
    (52, 10),
    (56, 10),
    (60, 9),
    (64, 9),
];
/// Size in 1/32 in, half threads per inch.
const BSF: &[(i64, u32)] = &[
    (6, 64),
    (7, 56),
    (8, 52),
    (9, 52),
    (10, 44),
    (12, 40),
    (14, 36),
    (16, 32),
    (18, 32),
    (20, 28),
    (22, 28),
    (24, 24),
    (28, 22),
    (32, 20),
    (36, 18),
    (40, 18),
    (44, 16),
    (48, 16),
    (52, 16),
    (56, 14),
    (64, 14),
];

pub(super) fn threads() -> impl Iterator<Item = Thread> {
    let of = |series: Series, sizes: &'static [(i64, u32)]| {
        sizes.iter().map(move |&(thirty_seconds, halves)| Thread {
            series,
            nominal: Length::from_fraction(thirty_seconds, 32),
            pitch: Pitch::PerInch(ThreadsPerInch::halves(halves)),
            hand: Hand::Right,
            sti: false,
        })
    };
    of(Series::Bsw, BSW).chain(of(Series::Bsf, BSF))
}
