//! Worked examples of the standards and handbooks.

use holebook_core::insert::{TapChamfer, inserts_for};
use holebook_core::strength::{
    Grade, areas, engagement, internal_shear_area_mm2_per_mm, torque_nm_torque,
};
use holebook_core::thread::Thread;
use holebook_core::thread::unified::{minor_tolerance_2b_in, pitch_diameter_tolerance_2a_in};

fn near(ours: f64, published: f64, tolerance: f64) {
    assert!(
        (ours - published).abs() <= tolerance,
        "published {published}, ours {ours}"
    );
}

/// FED-STD-H28/2B (1991) paragraph 90.2, steel screw in cast iron, formula (16).
///
/// In print: R1 0.863, LE 1.729 in. Misprints there: step h has x for +, "R1 = .333" means R2, and
/// step f has LE .656 for .666.
#[test]
fn steel_screw_in_cast_iron() {
    let hole = internal_shear_area_mm2_per_mm(1.1064 * 25.4, 1.0416 * 25.4, 25.4 / 7.0);
    let screw = areas::external_shear_area_max_mm2_per_mm(0.970 * 25.4);
    let area = 0.763 * 25.4 * 25.4;
    let (r1, r2) = (
        engagement::r1(screw, hole),
        engagement::r2(20_000.0, 60_000.0),
    );
    near(r1, 0.863, 0.0005);
    near(r2, 0.333, 0.0005);
    near(
        engagement::engagement_mm(area, hole, r2) / 25.4,
        1.729,
        0.0005,
    );
    near(
        engagement::internal_stronger_mm(area, screw) / 25.4,
        0.6677,
        0.0001,
    );
    // The example's first guess: R1 from the simplified formulas (5) and (3).
    let simple = areas::external_shear_area_simplified_mm2_per_mm(1.0)
        / areas::internal_shear_area_simplified_mm2_per_mm(1.0);
    near(simple, 0.833, 0.0005);
    // The thread itself, from the designation alone: 1-1/8-7 UNC.
    let thread = Thread::parse("1-1/8-7").unwrap();
    near(thread.stress_area_mm2() / (25.4 * 25.4), 0.763, 0.0005);
    near(thread.usual_external().major_min.inches(), 1.1064, 0.00005);
    near(
        thread.usual_internal().pitch_diameter_max.inches(),
        1.0416,
        0.00005,
    );
    near(thread.usual_internal().minor_min.inches(), 0.970, 0.00005);
}

/// Machinery's Handbook 31, Tables 3 and 4 (from ASME B1.1): 1/2-28 UNEF-2A/2B. TD2 .0048 and D1
/// max .470 were computed from the formulas.
#[test]
fn half_inch_extra_fine() {
    let thread = Thread::parse("1/2-28 UNEF").unwrap();
    near(
        pitch_diameter_tolerance_2a_in(0.5, 9.0 / 28.0, 28.0),
        0.003668,
        0.0000005,
    );
    let (screw, hole) = (thread.usual_external(), thread.usual_internal());
    for (ours, published) in [
        (screw.major_max, 0.4989),
        (screw.major_min, 0.4924),
        (screw.pitch_diameter_max, 0.4757),
        (screw.pitch_diameter_min, 0.4720),
        (screw.minor_max, 0.4602),
        (screw.rounded_root_max, 0.4564),
        (hole.minor_min, 0.461),
        (hole.minor_max, 0.470),
        (hole.pitch_diameter_min, 0.4768),
        (hole.pitch_diameter_max, 0.4816),
    ] {
        near(ours.inches(), published, 1e-9);
    }
}

/// FED-STD-H28/2B (1991) 5.4: 2.500-28 UNS with 1 in of engagement. The print takes 1.25 times the
/// tolerance at nine pitches (28 pitches lie between 15 and 30) and 0.3 times it for the allowance;
/// the plain formula with LE 1 in gives 0.0052 and disagrees with its 0.0056.
#[test]
fn long_engagement_of_a_special() {
    let at_nine = pitch_diameter_tolerance_2a_in(2.5, 9.0 / 28.0, 28.0);
    let (allowance, tolerance) = (0.3 * at_nine, 1.25 * at_nine);
    near(2.5 - allowance, 2.4986, 0.00005);
    near(tolerance, 0.0056, 0.00005);
    near(1.3 * tolerance, 0.0073, 0.00005);
    near(
        pitch_diameter_tolerance_2a_in(2.5, 1.0, 28.0),
        0.0052,
        0.00005,
    );
    near(0.75 * minor_tolerance_2b_in(2.5, 28.0), 0.0063, 0.00005);
}

/// A published nut-factor page (mobiletechengineering.com): 3/8-16 grade 5 at 75 % of 85 ksi, 4 940
/// lb, 30 and 23 lb ft.
#[test]
fn bolt_torque() {
    let thread = Thread::parse("3/8-16").unwrap();
    let preload_n =
        0.75 * Grade::Sae5.strength(&thread).unwrap().proof_mpa * thread.stress_area_mm2();
    near(preload_n / 4.448_222, 4_940.0, 2.0);
    near(
        torque_nm_torque(0.20, &thread, preload_n) / 1.355_818,
        30.88,
        0.02,
    );
    near(
        torque_nm_torque(0.15, &thread, preload_n) / 1.355_818,
        23.16,
        0.02,
    );
}

/// A published calculator (obliczenia.icad.pl): M10-6g.
#[test]
fn m10_screw() {
    let screw = Thread::parse("M10").unwrap().usual_external();
    near(screw.major_max.mm(), 9.968, 1e-9);
    near(screw.major_min.mm(), 9.732, 1e-9);
    near(screw.pitch_diameter_max.mm(), 8.994, 1e-9);
    near(screw.pitch_diameter_min.mm(), 8.862, 1e-9);
    // The calculator gives d3 of the basic form.
    near((screw.rounded_root_max.mm()) + 0.032, 8.160, 1e-9);
}

/// Machinery's Handbook 31 p. 1746 example 3 (ASME B18.29.2M): M8x1.25, insert 12 mm, hole 23.5 mm
/// deep for a plug tap.
#[test]
fn wire_insert_depth() {
    let inserts = inserts_for(&Thread::parse("M8x1.25").unwrap());
    let insert = inserts
        .iter()
        .find(|i| i.length.nm() == 12_000_000)
        .unwrap();
    near(insert.drill_depth_min(TapChamfer::Plug).mm(), 23.5, 1e-9);
}

/// ISO 898-1 prints stress areas (from memory): M5 14.2, M6 20.1, M8 36.6, M10 58.0, M12 84.3, M14
/// 115, M16 157, M20 245.
#[test]
fn printed_stress_areas() {
    for (size, area, half_unit) in [
        ("M5", 14.2, 0.05),
        ("M6", 20.1, 0.05),
        ("M8", 36.6, 0.05),
        ("M10", 58.0, 0.05),
        ("M12", 84.3, 0.05),
        ("M14", 115.0, 0.5),
        ("M16", 157.0, 0.5),
        ("M20", 245.0, 0.5),
    ] {
        near(
            Thread::parse(size).unwrap().stress_area_mm2(),
            area,
            half_unit,
        );
    }
}
