//! Largest diameters of inch STI tapped holes, as in ASME B18.29.1.
//!
//! The least diameters follow from the wire's section. For the largest no formula is known here;
//! they are tighter than the class of the nominal thread. Source: a public transcription of ASME
//! B18.29.1 (secondary, a single one; the standard itself was not read). Its least diameters agree
//! with the formulas to .0001 in in every row.

use crate::length::Length;
use crate::thread::Thread;

/// Size, largest minor diameter after tapping, largest pitch diameter of class 2B; ten-thousandths
/// of an inch.
#[rustfmt::skip]
const INCH: [(&str, i64, i64); 30] = [
    ("4-40 UNC", 1252, 1308), ("5-40 UNC", 1373, 1438), ("6-32 UNC", 1527, 1611), ("8-32 UNC", 1781, 1872),
    ("10-24 UNC", 2080, 2203), ("12-24 UNC", 2340, 2464), ("1/4-20 UNC", 2704, 2864), ("5/16-18 UNC", 3342, 3529),
    ("3/8-16 UNC", 3987, 4203), ("7/16-14 UNC", 4639, 4890), ("1/2-13 UNC", 5273, 5554), ("9/16-12 UNC", 5918, 6225),
    ("5/8-11 UNC", 6564, 6903), ("3/4-10 UNC", 7838, 8216), ("7/8-9 UNC", 9119, 9543), ("1-8 UNC", 10421, 10890),
    ("4-48 UNF", 1229, 1279), ("6-40 UNF", 1503, 1569), ("8-36 UNF", 1771, 1849), ("10-32 UNF", 2041, 2133),
    ("1/4-28 UNF", 2646, 2765), ("5/16-24 UNF", 3288, 3433), ("3/8-24 UNF", 3910, 4059), ("7/16-20 UNF", 4561, 4744),
    ("1/2-20 UNF", 5186, 5371), ("9/16-18 UNF", 5826, 6035), ("5/8-18 UNF", 6451, 6661), ("3/4-16 UNF", 7720, 7961),
    ("7/8-14 UNF", 8994, 9274), ("1-12 UNF", 10281, 10608),
];

/// The largest diameters of a hole.
#[derive(Clone, Copy)]
pub(super) struct LargestDiameters {
    pub minor: Length,
    pub pitch_diameter: Length,
}

/// Returns the largest diameters for a thread; `None` if the table has no row for it.
pub(super) fn largest_diameters(thread: Thread) -> Option<LargestDiameters> {
    let size = thread.designation();
    let row = INCH.iter().find(|(listed, _, _)| *listed == size)?;
    Some(LargestDiameters {
        minor: Length::from_fraction(row.1, 10_000),
        pitch_diameter: Length::from_fraction(row.2, 10_000),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_row_is_a_standard_thread() {
        for (size, minor, pitch_diameter) in INCH {
            let thread = Thread::parse(size).unwrap();
            assert_eq!(thread.designation(), size);
            assert!(minor < pitch_diameter && largest_diameters(thread).is_some());
        }
    }

    #[test]
    fn every_drill_is_within_the_limits() {
        for (size, ..) in INCH {
            let thread = Thread::parse(size).unwrap();
            let inserts = crate::insert::Catalog::standard().inserts_for(&thread);
            let wire = inserts
                .iter()
                .find(|insert| insert.family == crate::insert::Family::WireThread)
                .unwrap();
            let drill = wire.drill.diameter;
            assert!(
                wire.hole_min <= drill && drill <= wire.hole_max,
                "{size}: {}",
                wire.drill
            );
        }
    }
}
