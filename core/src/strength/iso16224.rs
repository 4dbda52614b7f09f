//! A second opinion on shear areas and length of engagement: ISO/TR 16224:2012, section 4.2.
//!
//! Source: the package screw-thread-lib 0.0.6 (the report itself was not read). The formulas are
//! for steel nuts, with a shear strength of 0.6 of the tensile strength; for iron use
//! [`super::engagement`]. Basic sizes throughout; lengths in mm, areas in mm² per mm of engagement.

use super::{MetalKind, ShearBasis};
use crate::thread::{SQRT_3, Thread};
use std::f64::consts::PI;

/// Shear strength of steel threads as a fraction of the tensile strength.
const SHEAR_SHARE: f64 = MetalKind::Steel.shear_share(ShearBasis::Planning);

/// Returns the shear area of the bolt's thread, with the nut bell-mouthed over 0.4 of its length.
pub fn bolt_shear_area_mm2_per_mm(thread: &Thread) -> f64 {
    let (basic, p) = (thread.basic(), thread.pitch_mm());
    let at = |minor: f64| PI / p * minor * (p / 2.0 + (basic.pitch_diameter_mm - minor) / SQRT_3);
    0.6 * at(basic.minor_mm) + 0.4 * at(1.026 * basic.minor_mm)
}

/// Returns the shear area of the nut's thread.
pub fn nut_shear_area_mm2_per_mm(thread: &Thread) -> f64 {
    let (d, p) = (thread.nominal().mm(), thread.pitch_mm());
    PI / p * d * (p / 2.0 + (d - thread.basic().pitch_diameter_mm) / SQRT_3)
}

/// Returns C1, for the dilation of a nut, from its width across flats over diameter; `None` below
/// 1.4, where the formula ends. From 1.8 on it is 1, as in the body of a casting.
pub fn widening(width_over_diameter: f64) -> Option<f64> {
    match width_over_diameter {
        s if s >= 1.8 => Some(1.0),
        s if s >= 1.4 => Some(-s * s + 3.8 * s - 2.6),
        _ => None,
    }
}

/// Returns C2, for bending of the bolt's threads, from the strength ratio Rs of nut threads over
/// bolt threads; `None` from 2.2 on.
pub fn bolt_thread_bending(rs: f64) -> Option<f64> {
    match rs {
        r if r <= 1.0 => Some(0.897),
        r if r < 2.2 => Some(5.594 + r * (-13.682 + r * (14.107 + r * (-6.057 + r * 0.9353)))),
        _ => None,
    }
}

/// Returns C3, for bending of the nut's threads, from the same ratio; `None` up to 0.4, the range
/// of soft metals on hard bolts.
pub fn nut_thread_bending(rs: f64) -> Option<f64> {
    match rs {
        r if r >= 1.0 => Some(0.897),
        r if r > 0.4 => Some(0.728 + r * (1.769 + r * (-2.896 + r * 1.296))),
        _ => None,
    }
}

/// Returns the length of engagement at which the bolt breaks before either thread strips, in mm;
/// `None` outside the range of the factors.
pub fn engagement_mm(
    thread: &Thread,
    bolt_tensile_mpa: f64,
    nut_tensile_mpa: f64,
    width_over_diameter: f64,
) -> Option<f64> {
    let (bolt, nut) = (
        bolt_shear_area_mm2_per_mm(thread),
        nut_shear_area_mm2_per_mm(thread),
    );
    let rs = nut_tensile_mpa * nut / (bolt_tensile_mpa * bolt);
    let c1 = widening(width_over_diameter)?;
    let area = stress_area_mm2(thread);
    let by_bolt = area / (SHEAR_SHARE * bolt * c1 * bolt_thread_bending(rs)?);
    let by_nut = area * bolt_tensile_mpa
        / (SHEAR_SHARE * nut_tensile_mpa * nut * c1 * nut_thread_bending(rs)?);
    Some(by_bolt.max(by_nut))
}

/// Returns the stress area in mm² on the mean of pitch diameter and d3, for inch threads too.
pub fn stress_area_mm2(thread: &Thread) -> f64 {
    let d = thread.nominal().mm() - 13.0 * SQRT_3 / 24.0 * thread.pitch_mm();
    PI / 4.0 * d * d
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn factors_are_continuous_at_the_ends_of_their_ranges() {
        assert!((widening(1.8).unwrap() - 1.0).abs() < 1e-9);
        assert_eq!(widening(1.3), None);
        assert!((bolt_thread_bending(1.000_001).unwrap() - 0.897).abs() < 1e-3);
        assert!((nut_thread_bending(0.999_999).unwrap() - 0.897).abs() < 1e-3);
        assert_eq!(bolt_thread_bending(2.2), None);
        assert_eq!(nut_thread_bending(0.4), None);
    }

    #[test]
    fn softer_nuts_need_more_thread() {
        let m10 = Thread::parse("M10").unwrap();
        let hard = engagement_mm(&m10, 800.0, 800.0, 1.8).unwrap();
        let soft = engagement_mm(&m10, 800.0, 500.0, 1.8).unwrap();
        assert!(hard < soft);
        assert!((4.0..6.0).contains(&hard), "{hard}");
    }
}
