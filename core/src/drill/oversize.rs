//! How much drills cut oversize.

use crate::length::Length;

/// Drill diameter and mean oversize, both in ten-thousandths of an inch.
///
/// Source: FED-STD-H28/2B (1991) Table II.A.1 and paragraph 20.2.2: tests of 2,808 holes in cast
/// iron and steel, high-speed steel drills, 1.5 diameters deep. A range of diameters in the table
/// is entered here by both its ends.
const MEAN_OVERSIZE: [(i64, i64); 21] = [
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

/// Returns how much a twist drill cuts over its diameter on average, interpolated between the rows
/// of the table; `None` outside 1/16 to .81 in, where there were no tests.
pub fn mean_oversize(diameter: Length) -> Option<Length> {
    MEAN_OVERSIZE.windows(2).find_map(|pair| {
        let [(d0, o0), (d1, o1)] =
            [pair[0], pair[1]].map(|(drill, over)| (ten_thousandths(drill), ten_thousandths(over)));
        let share = (diameter - d0).mm() / (d1 - d0).mm();
        let over_mm = o0.mm() + share * (o1 - o0).mm();
        (d0 <= diameter && diameter <= d1).then(|| Length::from_computed_mm(over_mm))
    })
}

const fn ten_thousandths(of_a_thousandth: i64) -> Length {
    Length::from_fraction(of_a_thousandth, 10_000)
}
