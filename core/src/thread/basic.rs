//! Basic sizes, which also serve as limits for Whitworth and pipe threads.
//!
//! The tolerances of ISO 228-1, ISO 7-1 and ASME B1.20.1 are not included, and those of BS 84 count
//! for strength only ([`super::Thread::toleranced_internal`]), so both limits
//! are the basic sizes. Inch sizes are rounded to .0001 in, as BS 84 prints them, and pipe sizes to
//! the micrometer, as ISO 228-1 does.

use super::class::{ExternalClass, InternalClass};
use super::limits::{ExternalLimits, InternalLimits};
use super::{Series, System, Thread, standard};
use crate::length::Length;

/// Basic diameters of a thread in millimeters, the reference for all limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BasicSizes {
    /// Basic major diameter.
    pub major_mm: f64,
    /// Basic pitch diameter: D - 0.64951905 P (60 degrees), D - 0.640327 P (Whitworth).
    pub pitch_diameter_mm: f64,
    /// Basic minor diameter of the hole: D - 1.08253175 P (60 degrees), D - 1.280654 P (Whitworth).
    pub minor_mm: f64,
}

pub(super) fn basic_sizes(thread: Thread) -> BasicSizes {
    let (form, pitch) = (thread.form(), thread.pitch_mm());
    let major_mm = match thread.series() {
        Series::Npt => npt_major_mm(thread),
        _ => thread.nominal().mm(),
    };
    BasicSizes {
        major_mm,
        pitch_diameter_mm: major_mm - 2.0 * form.addendum_mm(pitch),
        minor_mm: major_mm - 2.0 * form.depth_mm(pitch),
    }
}

/// Returns the major diameter of an NPT thread at the hand-tight plane: 0.8 P above the pitch
/// diameter E1 = E0 + L1/16 with E0 = D - (0.05 D + 1.1) P (ASME B1.20.1, from memory).
fn npt_major_mm(thread: Thread) -> f64 {
    let (outside, pitch) = (thread.nominal().mm(), thread.pitch_mm());
    let small_end = outside - (0.05 * outside / 25.4 + 1.1) * pitch;
    let gauge_length = standard::pipe(thread).and_then(|pipe| pipe.gauge_length);
    small_end + gauge_length.unwrap_or_default().mm() / 16.0 + 0.8 * pitch
}

/// The basic diameters, rounded as the standards print them.
struct Sizes {
    major: Length,
    pitch_diameter: Length,
    minor: Length,
}

fn sizes(thread: Thread) -> Sizes {
    let basic = thread.basic();
    if thread.series().system() == System::Pipe {
        let whole_um = |mm: f64| Length::from_nm((mm * 1000.0).round() as i64 * 1000);
        // ISO 228-1 rounds the depth first, then subtracts it once and twice.
        let depth = whole_um(thread.form().depth_mm(thread.pitch_mm()));
        let major = whole_um(basic.major_mm);
        return Sizes {
            major,
            pitch_diameter: major - depth,
            minor: major - depth * 2,
        };
    }
    let printed = |mm: f64| Length::from_fraction((mm / 25.4 * 10_000.0).round() as i64, 10_000);
    Sizes {
        major: printed(basic.major_mm),
        pitch_diameter: printed(basic.pitch_diameter_mm),
        minor: printed(basic.minor_mm),
    }
}

pub(super) fn internal(thread: Thread) -> InternalLimits {
    let sizes = sizes(thread);
    InternalLimits {
        class: None::<InternalClass>,
        minor_min: sizes.minor,
        minor_max: sizes.minor,
        pitch_diameter_min: sizes.pitch_diameter,
        pitch_diameter_max: sizes.pitch_diameter,
        major_min: sizes.major,
    }
}

pub(super) fn external(thread: Thread) -> ExternalLimits {
    let sizes = sizes(thread);
    ExternalLimits {
        class: None::<ExternalClass>,
        major_min: sizes.major,
        major_max: sizes.major,
        pitch_diameter_min: sizes.pitch_diameter,
        pitch_diameter_max: sizes.pitch_diameter,
        minor_max: sizes.minor,
        rounded_root_max: sizes.minor,
    }
}

/// Returns how far a taper thread's diameters vary below and above the gauge plane: 1 in 16 over
/// the gauge length on each side (beyond the gauge plane: judgment). Zero for a parallel thread.
pub(crate) fn taper_allowance(thread: Thread) -> (Length, Length) {
    let gauge_length = standard::pipe(thread)
        .filter(|_| thread.series().is_taper())
        .and_then(|pipe| pipe.gauge_length);
    let reach = gauge_length.unwrap_or_default() / 16;
    (reach, reach)
}
