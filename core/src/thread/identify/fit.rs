//! How well one thread fits the readings.

use super::reading::{Measured, PitchReading, Readings};
use crate::length::Length;
use crate::thread::{Series, System, Thread, taper_between};

/// Off the diameter of a screw, or onto the bore of a hole, that wear and rust may have taken: 15 % of the pitch, an eighth of the
/// flanks' height (judgement).
const WEAR_OF_PITCH: f64 = 0.15;
/// Below its nominal size a sound Whitworth screw may measure 10 % of the pitch, a pipe end 25 % (judgement; ISO 228-1 allows 16 to
/// 24 %).
const SCREW_BELOW: [f64; 2] = [0.10, 0.25];

/// One thread against the readings.
pub(super) struct Fit {
    /// How far the reading lies below the least size.
    pub below: Length,
    /// How far it lies above the largest.
    pub above: Length,
    pub pitch_off_mm: Option<f64>,
    /// Whether diameter and pitch may be those of the thread, errors and wear reckoned in.
    pub possible: bool,
    /// The smaller, the more plausible.
    pub cost: f64,
}

impl Fit {
    /// Whether the diameter lies within the sizes of a sound thread.
    pub fn is_within(&self) -> bool {
        !self.below.is_positive() && !self.above.is_positive()
    }
}

/// Sizes that a sound thread may measure. For taper threads from the small end to the large one.
pub(super) fn sizes(thread: Thread, measured: Measured) -> (Length, Length) {
    let pitch_mm = thread.pitch_mm();
    let (least, largest) = match measured {
        Measured::Outside(_) => {
            let screw = thread.usual_external();
            let below = match thread.series().system() {
                System::Whitworth => SCREW_BELOW[0],
                System::Pipe => SCREW_BELOW[1],
                System::Unified | System::Metric => 0.0,
            };
            let below = Length::computed_mm(below * pitch_mm);
            (screw.major_min - below, screw.major_max)
        }
        Measured::Inside(_) => (thread.usual_internal().minor_min, thread.whole_bore_max()),
    };
    let (narrower, wider) = taper_between(thread);
    (least - narrower, largest + wider)
}

pub(super) fn fit(thread: Thread, readings: &Readings) -> Fit {
    let (least, largest) = sizes(thread, readings.measured);
    let (Measured::Outside(reading) | Measured::Inside(reading)) = readings.measured;
    let (below, above) = ((least - reading).or_zero(), (reading - largest).or_zero());
    let wear = Length::computed_mm(WEAR_OF_PITCH * thread.pitch_mm());
    // Wear takes a screw's crests down and opens a hole.
    let (worn, unworn) = match readings.measured {
        Measured::Outside(_) => (below, above),
        Measured::Inside(_) => (above, below),
    };
    let error = readings.diameter_error;
    let pitch_off_mm = readings
        .pitch
        .map(|read| (read.pitch.mm() - thread.pitch_mm()).abs());
    let pitch_fits = readings
        .pitch
        .is_none_or(|read| pitch_off_mm.is_none_or(|off| off <= read.error.mm() + A_TRIFLE_MM));
    Fit {
        below,
        above,
        pitch_off_mm,
        possible: worn <= wear + error && unworn <= error && pitch_fits,
        cost: share(worn, wear + error)
            + share(unworn, error)
            + pitch_cost(pitch_off_mm, readings.pitch)
            + rarity(thread.series()),
    }
}

/// So that a pitch rounded to the nanometre does not miss its own limit.
const A_TRIFLE_MM: f64 = 1e-6;
/// Half a tool's least error, so that a reading stated as exact still ranks what is near it.
const LEAST_ERROR_MM: f64 = 0.01;

fn share(off: Length, allowed: Length) -> f64 {
    off.mm() / allowed.mm().max(LEAST_ERROR_MM)
}

fn pitch_cost(off_mm: Option<f64>, read: Option<PitchReading>) -> f64 {
    let error = read.map_or(Length::ZERO, |read| read.error);
    off_mm.unwrap_or(0.0) / error.mm().max(LEAST_ERROR_MM)
}

/// A shop meets some series more often than others (judgement). Less than one reading error, so that it settles ties only.
const fn rarity(series: Series) -> f64 {
    match series {
        Series::Unc | Series::Unf | Series::MetricCoarse => 0.0,
        Series::Bsw | Series::Bsf | Series::MetricFine => 0.2,
        Series::BspParallel | Series::BspTaper | Series::Npt => 0.3,
        Series::Unef | Series::Un | Series::Uns | Series::Ns => 0.5,
    }
}
