//! Shear areas of threads per millimeter of engagement: FED-STD-H28/2B (1991) Table II.B.1.
//!
//! Diameters and pitch in mm, results in mm² per mm. "Screw" is the external thread, "hole" the
//! internal one. (2a) and (4a) are geometric and valid for every form, with the tangent of half its
//! angle in place of the standard's 0.57735; the other formulas are for the 60 degree form.

use crate::thread::Form;
use std::f64::consts::PI;

/// 1/√3, printed 0.57735: half the width of a thread per unit of height on one flank.
const FLANK: f64 = 0.577_350_269_189_625_8;

/// Formula (2a): least shear area of the hole, from the least screw and the largest hole:
/// pi n dmin (1/(2n) + tan(half angle) (dmin - D2max)).
pub fn internal_shear_area_mm2_per_mm(
    screw_major_min_mm: f64,
    hole_pitch_diameter_max_mm: f64,
    pitch_mm: f64,
    form: Form,
) -> f64 {
    let n = 1.0 / pitch_mm;
    PI * n
        * screw_major_min_mm
        * (pitch_mm / 2.0
            + form.tan_half_angle() * (screw_major_min_mm - hole_pitch_diameter_max_mm))
}

/// Formula (2b): the same from the tolerances of the screw's major diameter and the hole's pitch
/// diameter, and the allowance.
pub fn internal_shear_area_by_tolerances_mm2_per_mm(
    screw_major_min_mm: f64,
    pitch_mm: f64,
    major_tolerance_mm: f64,
    hole_pitch_diameter_tolerance_mm: f64,
    allowance_mm: f64,
) -> f64 {
    let sum = major_tolerance_mm + hole_pitch_diameter_tolerance_mm + allowance_mm;
    PI * screw_major_min_mm * (0.875 - FLANK * sum / pitch_mm)
}

/// Formula (3), simplified, for .250 in and above: 3/4 of a cylinder on the basic pitch diameter.
pub fn internal_shear_area_simplified_mm2_per_mm(pitch_diameter_mm: f64) -> f64 {
    PI * pitch_diameter_mm * 0.75
}

/// Formula (4a): least shear area of the screw, from the largest minor diameter of the hole and the
/// least pitch diameter of the screw.
pub fn external_shear_area_mm2_per_mm(
    hole_minor_max_mm: f64,
    screw_pitch_diameter_min_mm: f64,
    pitch_mm: f64,
    form: Form,
) -> f64 {
    let n = 1.0 / pitch_mm;
    PI * n
        * hole_minor_max_mm
        * (pitch_mm / 2.0
            + form.tan_half_angle() * (screw_pitch_diameter_min_mm - hole_minor_max_mm))
}

/// Formula (4b): the same from the tolerances of the hole's minor diameter and the screw's pitch
/// diameter, and the allowance.
pub fn external_shear_area_by_tolerances_mm2_per_mm(
    hole_minor_max_mm: f64,
    pitch_mm: f64,
    minor_tolerance_mm: f64,
    screw_pitch_diameter_tolerance_mm: f64,
    allowance_mm: f64,
) -> f64 {
    let sum = minor_tolerance_mm + screw_pitch_diameter_tolerance_mm + allowance_mm;
    PI * hole_minor_max_mm * (0.75 - FLANK * sum / pitch_mm)
}

/// Formula (5), simplified: 5/8 of a cylinder on the basic pitch diameter.
pub fn external_shear_area_simplified_mm2_per_mm(pitch_diameter_mm: f64) -> f64 {
    PI * pitch_diameter_mm * 0.625
}

/// Formula (6b): largest shear area of the screw from basic sizes: 3/4 of a cylinder on the basic
/// minor diameter.
pub fn external_shear_area_max_mm2_per_mm(minor_mm: f64) -> f64 {
    PI * minor_mm * 0.75
}

/// Formula (7): threads of equal strength that fail together: half a cylinder on the basic pitch
/// diameter.
pub fn combined_shear_area_mm2_per_mm(pitch_diameter_mm: f64) -> f64 {
    PI * pitch_diameter_mm / 2.0
}
