//! Pipe threads, 1/16 to 2 in. The nominal size is a historic bore: G 1/2 measures 20.955 mm.
//!
//! British: sizes, threads per inch and major diameters of ISO 228-1 from the data of the package
//! bd-warehouse 0.4.0; the taper series (ISO 7-1) has the same diameters at its gauge plane, in
//! fewer sizes; its gauge lengths are from memory. American: pipe outside diameters and threads per
//! inch of ASME B1.20.1 agree with the list of the public repository `FreeCAD/FreeCAD`; the
//! hand-tight lengths L1 are from memory.

use super::super::{Hand, Pitch, Series, Thread, ThreadsPerInch};
use crate::length::Length;

/// A pipe size.
pub(in super::super) struct Pipe {
    /// Size in its name, in sixteenths of an inch.
    sixteenths: i64,
    halves_per_inch: u32,
    /// Major diameter at the gauge plane; for American threads the outside diameter of the pipe.
    across: Length,
    /// Length from the small end of a taper thread to the gauge plane; `None` if the size has no
    /// taper thread.
    pub gauge_length: Option<Length>,
}

const fn british(
    sixteenths: i64,
    per_inch: u32,
    across_um: i64,
    gauge_hundredths: Option<i64>,
) -> Pipe {
    let gauge_length = match gauge_hundredths {
        Some(hundredths) => Some(Length::from_nm(hundredths * 10_000)),
        None => None,
    };
    Pipe {
        sixteenths,
        halves_per_inch: per_inch * 2,
        across: Length::from_nm(across_um * 1000),
        gauge_length,
    }
}

/// Creates an American size; `across` and `l1` in ten-thousandths of an inch.
const fn american(sixteenths: i64, halves_per_inch: u32, across: i64, l1: i64) -> Pipe {
    Pipe {
        sixteenths,
        halves_per_inch,
        across: Length::from_fraction(across, 10_000),
        gauge_length: Some(Length::from_fraction(l1, 10_000)),
    }
}

const BRITISH: [Pipe; 14] = [
    british(1, 28, 7_723, Some(400)),
    british(2, 28, 9_728, Some(400)),
    british(4, 19, 13_157, Some(600)),
    british(6, 19, 16_662, Some(640)),
    british(8, 14, 20_955, Some(820)),
    british(10, 14, 22_911, None),
    british(12, 14, 26_441, Some(950)),
    british(14, 14, 30_201, None),
    british(16, 11, 33_249, Some(1040)),
    british(18, 11, 37_897, None),
    british(20, 11, 41_910, Some(1270)),
    british(24, 11, 47_803, Some(1270)),
    british(28, 11, 53_746, None),
    british(32, 11, 59_614, Some(1590)),
];

const AMERICAN: [Pipe; 10] = [
    american(1, 54, 3_125, 1_600),
    american(2, 54, 4_050, 1_615),
    american(4, 36, 5_400, 2_278),
    american(6, 36, 6_750, 2_400),
    american(8, 28, 8_400, 3_200),
    american(12, 28, 10_500, 3_390),
    american(16, 23, 13_150, 4_000),
    american(20, 23, 16_600, 4_200),
    american(24, 23, 19_000, 4_200),
    american(32, 23, 23_750, 4_360),
];

impl Pipe {
    /// Returns the size in its name.
    pub const fn size(&self) -> Length {
        Length::from_fraction(self.sixteenths, 16)
    }

    fn thread(&self, series: Series) -> Thread {
        Thread {
            series,
            nominal: self.across,
            pitch: Pitch::PerInch(ThreadsPerInch::halves(self.halves_per_inch)),
            hand: Hand::Right,
            sti: false,
        }
    }
}

fn of_series(series: Series) -> &'static [Pipe] {
    match series {
        Series::BspParallel | Series::BspTaper => &BRITISH,
        Series::Npt => &AMERICAN,
        _ => &[],
    }
}

/// Returns the pipe size of a thread; `None` if it is not a pipe thread.
pub(in super::super) fn pipe(thread: Thread) -> Option<&'static Pipe> {
    of_series(thread.series)
        .iter()
        .find(|pipe| pipe.across == thread.nominal)
}

pub(super) fn threads() -> impl Iterator<Item = Thread> {
    [Series::BspParallel, Series::BspTaper, Series::Npt]
        .into_iter()
        .flat_map(|series| {
            let sizes = of_series(series)
                .iter()
                .filter(move |pipe| !series.is_taper() || pipe.gauge_length.is_some());
            sizes.map(move |pipe| pipe.thread(series))
        })
}
