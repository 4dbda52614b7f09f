//! Metric sizes: ISO 261 and ISO 262, first and second choice, M1.6 to M64.
//!
//! Source: thread lists of the public repository `FreeCAD/FreeCAD` (its hole feature), without the
//! third-choice sizes. M1.6x0.2, M1.8x0.2, M2x0.25 and M2.2x0.25 are omitted, since ISO 965-1 has
//! no class 6H for them.

use super::super::{Hand, Pitch, Series, Thread};
use crate::length::{Length, NM_PER_MM};

/// Coarse: diameter in tenths of a mm, pitch in hundredths of a mm.
const COARSE: &[(i64, i64)] = &[
    (16, 35),
    (18, 35),
    (20, 40),
    (22, 45),
    (25, 45),
    (30, 50),
    (35, 60),
    (40, 70),
    (45, 75),
    (50, 80),
    (60, 100),
    (70, 100),
    (80, 125),
    (100, 150),
    (120, 175),
    (140, 200),
    (160, 200),
    (180, 250),
    (200, 250),
    (220, 250),
    (240, 300),
    (270, 300),
    (300, 350),
    (330, 350),
    (360, 400),
    (390, 400),
    (420, 450),
    (450, 450),
    (480, 500),
    (520, 500),
    (560, 550),
    (600, 550),
    (640, 600),
];
/// Fine: diameter in tenths of a mm, pitches in hundredths of a mm.
const FINE: &[(i64, &[i64])] = &[
    (25, &[35]),
    (30, &[35]),
    (35, &[35]),
    (40, &[50]),
    (45, &[50]),
    (50, &[50]),
    (60, &[75]),
    (70, &[75]),
    (80, &[100, 75]),
    (100, &[125, 100, 75]),
    (120, &[150, 125, 100]),
    (140, &[150, 125, 100]),
    (160, &[150, 100]),
    (180, &[200, 150, 100]),
    (200, &[200, 150, 100]),
    (220, &[200, 150, 100]),
    (240, &[200, 150, 100]),
    (270, &[200, 150, 100]),
    (300, &[300, 200, 150, 100]),
    (330, &[300, 200, 150]),
    (360, &[300, 200, 150]),
    (390, &[300, 200, 150]),
    (420, &[400, 300, 200, 150]),
    (450, &[400, 300, 200, 150]),
    (480, &[400, 300, 200, 150]),
    (520, &[400, 300, 200, 150]),
    (560, &[400, 300, 200, 150]),
    (600, &[400, 300, 200, 150]),
    (640, &[400, 300, 200, 150]),
];

pub(super) fn threads() -> impl Iterator<Item = Thread> {
    let coarse = COARSE
        .iter()
        .map(|&(size, pitch)| thread(Series::MetricCoarse, size, pitch));
    let fine = FINE.iter().flat_map(|&(size, pitches)| {
        let of_size = move |&pitch: &i64| thread(Series::MetricFine, size, pitch);
        pitches.iter().map(of_size)
    });
    coarse.chain(fine)
}

fn thread(series: Series, tenths: i64, hundredths: i64) -> Thread {
    Thread {
        series,
        nominal: Length::from_nm(tenths * NM_PER_MM / 10),
        pitch: Pitch::Length(Length::from_nm(hundredths * NM_PER_MM / 100)),
        hand: Hand::Right,
        sti: false,
    }
}
