//! Length of engagement at which the screw breaks before either thread strips: FED-STD-H28/2B
//! (1991) Table II.B.2.
//!
//! The factor 2 in these formulas means a shear strength of half the tensile strength. It comes
//! from tests of 1929 in steel and brass (1.7 to 2.0), not in iron. [`engagement_by_shear_mm`] is
//! the same with another shear strength. For a hollow screw subtract
//! 0.7854 of its bore squared from the stress area. Count about half the depth of a countersink as
//! engaged, and use more length where a joint is taken apart often (70.7.2, 70.7.6).

/// Formula (8): R1, largest shear area of the screw (6b) over least shear area of the hole (2a).
pub fn r1(screw_shear_area: f64, hole_shear_area: f64) -> f64 {
    screw_shear_area / hole_shear_area
}

/// Formula (9): R2, tensile strength of the metal around the hole over that of the screw.
pub fn r2(hole_tensile: f64, screw_tensile: f64) -> f64 {
    hole_tensile / screw_tensile
}

/// Returns the length at which a thread strips at the load that breaks the screw: stress area times
/// the screw's tensile strength, over the thread's shear area times its shear strength; in mm.
///
/// With a shear strength of half the tensile strength this is formula (14) for the screw's thread,
/// and (16) for the hole's.
pub fn engagement_by_shear_mm(
    stress_area_mm2: f64,
    screw_tensile_mpa: f64,
    shear_area_mm2_per_mm: f64,
    shear_strength_mpa: f64,
) -> f64 {
    stress_area_mm2 * screw_tensile_mpa / (shear_area_mm2_per_mm * shear_strength_mpa)
}

/// Formula (13): both threads of equal strength, from stress area (mm²) and basic pitch diameter
/// (mm); in mm.
pub fn equal_strength_mm(stress_area_mm2: f64, pitch_diameter_mm: f64) -> f64 {
    4.0 * stress_area_mm2 / (std::f64::consts::PI * pitch_diameter_mm)
}

/// Formula (14) with the area of (4a), (15) with that of (6b): the hole is stronger; in mm.
pub fn internal_stronger_mm(stress_area_mm2: f64, screw_shear_area_mm2_per_mm: f64) -> f64 {
    2.0 * stress_area_mm2 / screw_shear_area_mm2_per_mm
}

/// Formula (16): the screw is stronger, as steel in gray iron: (15) times R1/R2, which is twice the
/// stress area over the hole's shear area, over R2; in mm.
pub fn engagement_mm(stress_area_mm2: f64, hole_shear_area_mm2_per_mm: f64, r2: f64) -> f64 {
    2.0 * stress_area_mm2 / hole_shear_area_mm2_per_mm / r2
}
