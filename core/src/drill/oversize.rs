//! How much over their size drills cut.

use crate::length::Length;

/// Drill diameter and mean oversize, both in ten-thousandths of an inch.
///
/// FED-STD-H28/2B (1991) Table II.A.1 and paragraph 20.2.2: tests of 2 808 holes in cast iron and
/// steel, high speed drills, 1.5 diameters deep. Where the table gives a range of diameters both
/// its ends stand here.
const MEAN_TENTHS: [(i64, i64); 21] = [
    (625, 15),
    (1000, 23),
    (1360, 29),
    (1500, 32),
    (1600, 32),
    (2000, 38),
    (2200, 38),
    (2700, 41),
    (3100, 44),
    (3400, 44),
    (3600, 46),
    (4100, 46),
    (4200, 47),
    (4500, 47),
    (5000, 48),
    (5300, 49),
    (6100, 49),
    (6300, 50),
    (6900, 50),
    (7500, 52),
    (8100, 52),
];

/// By how much a twist drill cuts over its diameter in the mean, between the lines of the table by
/// straight interpolation; `None` outside 1/16 to 0.81 in, where there were no tests.
pub fn mean_oversize(diameter: Length) -> Option<Length> {
    MEAN_TENTHS.windows(2).find_map(|pair| {
        let [(d0, o0), (d1, o1)] =
            [pair[0], pair[1]].map(|(drill, over)| (tenths(drill), tenths(over)));
        let share = (diameter - d0).mm() / (d1 - d0).mm();
        let over_mm = o0.mm() + share * (o1 - o0).mm();
        (d0 <= diameter && diameter <= d1).then(|| Length::computed_mm(over_mm))
    })
}

const fn tenths(of_a_thousandth: i64) -> Length {
    Length::from_fraction(of_a_thousandth, 10_000)
}
