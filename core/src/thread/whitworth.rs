//! Limits of Whitworth threads in the medium class of BS 84.
//!
//! T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 P^(1/2), in inches, is the tolerance of the effective
//! diameter of bolt and hole, with a length of engagement L of one diameter. The bolt's major
//! diameter has T + 0.01 P^(1/2); the hole's minor diameter 0.2 P + 0.004 from 26 threads per inch
//! on, 0.2 P + 0.005 at 24 and 22, 0.2 P + 0.007 from 20 down. Source: BS 84:2007 as transcribed in
//! the public repository `matthewmcneill/FusionThreadsGenerator` (secondary), and T from memory
//! too. The clearance that the standard gives small bolts for plating is not included.

use super::{ExternalLimits, InternalLimits, Thread};
use crate::length::Length;

/// Fewest threads per inch of the two finer rows for the hole's minor diameter, with what is added.
const MINOR_ADDED_IN: [(f64, f64); 2] = [(26.0, 0.004), (22.0, 0.005)];
const MINOR_ADDED_COARSE_IN: f64 = 0.007;

/// Returns T, the tolerance of the effective diameter, in inches.
fn effective_tolerance_in(thread: Thread) -> f64 {
    let (diameter, pitch) = (thread.nominal().inches(), thread.pitch_mm() / 25.4);
    0.002 * diameter.cbrt() + 0.003 * diameter.sqrt() + 0.005 * pitch.sqrt()
}

/// Returns the limits of the tapped hole; the class stays `None`, since it is not in this program's
/// lists.
pub(super) fn medium_internal(thread: Thread) -> InternalLimits {
    let basic = thread.usual_internal();
    let pitch = thread.pitch_mm() / 25.4;
    let added = MINOR_ADDED_IN
        .into_iter()
        .find(|(fewest, _)| 1.0 / pitch >= fewest - 1e-9);
    let minor = 0.2 * pitch + added.map_or(MINOR_ADDED_COARSE_IN, |(_, added)| added);
    InternalLimits {
        minor_max: basic.minor_max + four_places(minor),
        pitch_diameter_max: basic.pitch_diameter_max + four_places(effective_tolerance_in(thread)),
        ..basic
    }
}

/// Returns the limits of the bolt; the class stays `None`, as in [`medium_internal`].
pub(super) fn medium_external(thread: Thread) -> ExternalLimits {
    let basic = thread.usual_external();
    let effective = effective_tolerance_in(thread);
    let major = effective + 0.01 * (thread.pitch_mm() / 25.4).sqrt();
    ExternalLimits {
        major_min: basic.major_min - four_places(major),
        pitch_diameter_min: basic.pitch_diameter_min - four_places(effective),
        ..basic
    }
}

fn four_places(inches: f64) -> Length {
    Length::from_fraction((inches * 10_000.0).round() as i64, 10_000)
}
