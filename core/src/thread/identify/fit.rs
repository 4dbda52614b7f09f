//! How well one thread matches the readings.

use super::reading::{Measured, PitchReading, Readings};
use crate::length::Length;
use crate::thread::{Series, System, Thread, taper_allowance};

/// Wear and rust allowed for, below the diameter of a screw or above the bore of a hole: 15 % of
/// the pitch, an eighth of the flank height (judgment).
const WEAR_OF_PITCH: f64 = 0.15;
/// How far below nominal a sound Whitworth screw (10 % of the pitch) or pipe end (25 %) may measure
/// (judgment; ISO 228-1 allows 16 to 24 %).
const SCREW_BELOW: [f64; 2] = [0.10, 0.25];

/// The comparison of one thread with the readings.
pub(super) struct ReadingFit {
    /// How far the diameter lies below the least size.
    pub below: Length,
    /// How far the diameter lies above the largest size.
    pub above: Length,
    pub pitch_off_mm: Option<f64>,
    /// Whether diameter and pitch match within tolerance and wear.
    pub possible: bool,
    /// Lower is more plausible.
    pub cost: f64,
}

impl ReadingFit {
    /// Whether the diameter lies within the sizes of a sound thread.
    pub fn is_within(&self) -> bool {
        !self.below.is_positive() && !self.above.is_positive()
    }
}

/// Returns the least and largest size of a sound thread; for a taper thread from its small end to
/// its large end.
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
            let below = Length::from_computed_mm(below * pitch_mm);
            (screw.major_min - below, screw.major_max)
        }
        Measured::Inside(_) => (thread.usual_internal().minor_min, thread.intact_bore_max()),
    };
    let (narrower, wider) = taper_allowance(thread);
    (least - narrower, largest + wider)
}

pub(super) fn fit(thread: Thread, readings: &Readings) -> ReadingFit {
    let (least, largest) = sizes(thread, readings.measured);
    let (Measured::Outside(reading) | Measured::Inside(reading)) = readings.measured;
    let (below, above) = (
        (least - reading).clamp_at_zero(),
        (reading - largest).clamp_at_zero(),
    );
    let wear = Length::from_computed_mm(WEAR_OF_PITCH * thread.pitch_mm());
    // Wear makes a screw smaller and a hole larger.
    let (worn, unworn) = match readings.measured {
        Measured::Outside(_) => (below, above),
        Measured::Inside(_) => (above, below),
    };
    let error = readings.diameter_tolerance;
    let pitch_off_mm = readings
        .pitch
        .map(|read| (read.pitch.mm() - thread.pitch_mm()).abs());
    let pitch_fits = readings.pitch.is_none_or(|read| {
        pitch_off_mm.is_none_or(|off| off <= read.tolerance.mm() + ROUNDING_SLACK_MM)
    });
    ReadingFit {
        below,
        above,
        pitch_off_mm,
        possible: worn <= wear + error
            && unworn <= error + old_depth(thread, readings.measured)
            && pitch_fits,
        cost: share(worn, wear + error)
            + share(unworn, error)
            + pitch_cost(pitch_off_mm, readings.pitch)
            + rarity(thread.series()),
    }
}

/// Returns how much smaller than the least minor diameter an old American hole may be: its thread had
/// a depth of 3/4 of the sharp height (the American National form), today it has 5/8. Zero for other
/// systems and for screws.
fn old_depth(thread: Thread, measured: Measured) -> Length {
    match (measured, thread.series().system()) {
        (Measured::Inside(_), System::Unified) => {
            let full =
                Length::from_computed_mm(2.0 * thread.form().full_thread_mm(thread.pitch_mm()));
            (thread.usual_internal().minor_min - (thread.nominal() - full)).clamp_at_zero()
        }
        _ => Length::ZERO,
    }
}

/// Keeps a pitch rounded to the nanometer within its own limit.
const ROUNDING_SLACK_MM: f64 = 1e-6;
/// Least tolerance used for ranking, so that a reading stated as exact still ranks nearby threads.
const MIN_TOLERANCE_MM: f64 = 0.01;

fn share(off: Length, allowed: Length) -> f64 {
    off.mm() / allowed.mm().max(MIN_TOLERANCE_MM)
}

fn pitch_cost(off_mm: Option<f64>, read: Option<PitchReading>) -> f64 {
    let error = read.map_or(Length::ZERO, |read| read.tolerance);
    off_mm.unwrap_or(0.0) / error.mm().max(MIN_TOLERANCE_MM)
}

/// Cost of a rarer series (judgment). Less than one reading tolerance, so that it only breaks ties.
const fn rarity(series: Series) -> f64 {
    match series {
        Series::Unc | Series::Unf | Series::MetricCoarse => 0.0,
        Series::Bsw | Series::Bsf | Series::MetricFine => 0.2,
        Series::BspParallel | Series::BspTaper | Series::Npt => 0.3,
        Series::Unef | Series::Un | Series::Uns | Series::Ns => 0.5,
    }
}
