#![allow(clippy::unwrap_used)]

use super::*;
use crate::insert::Catalog;
use crate::thread::Form;
use proptest::prelude::*;

fn thread(text: &str) -> Thread {
    Thread::parse(text).unwrap()
}

const MM2: f64 = 25.4 * 25.4;

/// FED-STD-H28/2B paragraph 90.2: 1-1/8-7 steel screw of 60,000 psi in cast iron of 20,000 psi.
/// Printed: LE 1.729.
#[test]
fn standard_example_of_steel_in_cast_iron() {
    let per_mm =
        internal_shear_area_mm2_per_mm(1.1064 * 25.4, 1.0416 * 25.4, 25.4 / 7.0, Form::Sixty);
    assert!((per_mm / 25.4 - 2.6482).abs() < 1e-4, "{}", per_mm / 25.4);
    let screw = areas::external_shear_area_max_mm2_per_mm(0.970 * 25.4);
    assert!((engagement::r1(screw, per_mm) - 0.8630).abs() < 1e-4);
    let le_15 = engagement::internal_stronger_mm(0.763 * MM2, screw) / 25.4;
    assert!((le_15 - 0.6677).abs() < 1e-4);
    let le = engagement_mm(0.763 * MM2, per_mm, engagement::r2(20.0, 60.0)) / 25.4;
    assert!((le - 1.729).abs() < 5e-4, "{le}");
    let by_ratio = le_15 * engagement::r1(screw, per_mm) / engagement::r2(20.0, 60.0);
    assert!((le - by_ratio).abs() < 1e-9);
}

#[test]
fn both_forms_of_the_shear_areas_agree() {
    for t in crate::thread::standard_threads().filter(|t| t.form() == Form::Sixty) {
        let (screw, hole) = (t.usual_external(), t.usual_internal());
        let (d, p, basic) = (t.nominal().mm(), t.pitch_mm(), t.basic());
        let es = d - screw.major_max.mm();
        let a = internal_shear_area_mm2_per_mm(
            screw.major_min.mm(),
            hole.pitch_diameter_max.mm(),
            p,
            Form::Sixty,
        );
        let b = areas::internal_shear_area_by_tolerances_mm2_per_mm(
            screw.major_min.mm(),
            p,
            (screw.major_max - screw.major_min).mm(),
            hole.pitch_diameter_max.mm() - basic.pitch_diameter_mm,
            es,
        );
        assert!((a / b - 1.0).abs() < 1e-9, "{t}: {a} {b}");
        let a = external_shear_area_mm2_per_mm(
            hole.minor_max.mm(),
            screw.pitch_diameter_min.mm(),
            p,
            Form::Sixty,
        );
        let b = areas::external_shear_area_by_tolerances_mm2_per_mm(
            hole.minor_max.mm(),
            p,
            hole.minor_max.mm() - basic.minor_mm,
            basic.pitch_diameter_mm - screw.pitch_diameter_min.mm() - es,
            es,
        );
        assert!((a / b - 1.0).abs() < 1e-9, "{t}: {a} {b}");
    }
}

/// Formula (13) is twice the stress area over the area (7) of both threads failing together.
#[test]
fn equal_strength_follows_from_the_combined_area() {
    let t = thread("1/2-13");
    let pitch_diameter = t.basic().pitch_diameter_mm;
    let by_area = 2.0 * t.stress_area_mm2() / areas::combined_shear_area_mm2_per_mm(pitch_diameter);
    assert!(
        (engagement::equal_strength_mm(t.stress_area_mm2(), pitch_diameter) - by_area).abs() < 1e-9
    );
}

/// A published nut-factor page: 3/8-16 grade 5 at 75 % of proof, 4,940 lb; K 0.20 and 0.15 give 30
/// and 23 ft-lb.
#[test]
fn torque_of_a_three_eighths_bolt() {
    let t = thread("3/8-16");
    let proof = Grade::Sae5.strength(&t).unwrap().proof_mpa;
    let preload = 0.75 * proof * t.stress_area_mm2();
    assert!((preload / 4.448_221_6 - 4940.0).abs() < 2.0);
    let ft_lb = |k| torque_nm_torque(k, &t, preload) / 1.355_817_9;
    assert!((ft_lb(0.20) - 30.88).abs() < 0.02);
    assert!((ft_lb(0.15) - 23.16).abs() < 0.02);
}

#[test]
fn torque_is_limited_by_the_weaker_of_bolt_and_iron() {
    let t = thread("3/8-16");
    let strong = torque(&t, &Grade::Sae5, 1e6, Lubrication::Oiled).unwrap();
    assert_eq!(strong.preload_limit, PreloadLimit::Bolt);
    assert!(
        strong.low_nm_torque < strong.usual_nm_torque
            && strong.usual_nm_torque < strong.high_nm_torque
    );
    assert_eq!(strong.hole_limit_nm_torque, None);
    assert!((strong.usual_nm_torque - strong.bolt_nm_torque).abs() < 1e-9);
    assert!((strong.preload_max_n / strong.preload_n - 1.25).abs() < 1e-9);
    let weak = torque(&t, &Grade::Sae5, 10_000.0, Lubrication::Dry).unwrap();
    assert_eq!(
        (weak.preload_limit, weak.preload_cap_n),
        (PreloadLimit::ParentMetal, 5_000.0)
    );
    // K D F at half the strip load, .20 times 9.525 mm times 5 kN.
    assert!((weak.hole_limit_nm_torque.unwrap() - 9.525).abs() < 1e-9);
    assert!(weak.usual_nm_torque < weak.bolt_nm_torque && weak.preload_max_n < 10_000.0);
    for wrong in [0.0, -1.0, f64::NAN] {
        assert!(torque(&t, &Grade::Sae5, wrong, Lubrication::Dry).is_err());
    }
}

/// The least shear areas of the overhaul manual's table against formula (2a) over the insert's
/// length. The insert's ends are chamfered and cut by the keys, so the published area must be
/// smaller: it is 0.44 (No. 10) to 0.77 (3/4 in) of the formula.
#[test]
fn published_insert_shear_areas_are_below_the_formula() {
    for size in [
        "10-24", "1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13", "9/16-12", "5/8-11", "3/4-10",
    ] {
        for insert in Catalog::standard().inserts_for(&thread(size)) {
            let Some(published) = insert.published_shear_area_mm2 else {
                continue;
            };
            let ours = parent_shear_area_mm2_per_mm(&insert.outside) * insert.length.mm();
            let ratio = published / ours;
            assert!(
                (0.4..1.0).contains(&ratio),
                "{size} {}: {ratio}",
                insert.family
            );
        }
    }
}

#[test]
fn grades_and_irons_parse_from_their_names() {
    for grade in Grade::ALL {
        assert_eq!(grade.to_string().parse::<Grade>().unwrap(), grade);
        let json = serde_json::to_string(&grade).unwrap();
        assert_eq!(serde_json::from_str::<Grade>(&json).unwrap(), grade);
        let strength = grade.strength(&thread("1/2-13")).unwrap();
        assert!(
            strength.proof_mpa < strength.yield_mpa && strength.yield_mpa < strength.tensile_mpa
        );
    }
    assert_eq!("grade 5".parse::<Grade>().unwrap(), Grade::Sae5);
    assert_eq!("8.8".parse::<Grade>().unwrap(), Grade::Iso8_8);
    assert!("8".parse::<Grade>().is_err());
    assert!(
        Grade::Sae5
            .strength(&thread("10-24"))
            .unwrap_err()
            .to_string()
            .contains("1/4 in")
    );
    for iron in Iron::ALL {
        assert_eq!(iron.to_string().parse::<Iron>().unwrap(), iron);
    }
    assert_eq!("class 25".parse::<Iron>().unwrap(), Iron::Class25);
    assert!("steel".parse::<Iron>().is_err());
    assert_eq!(
        Iron::Unknown.tensile_min_mpa(),
        Iron::Class20.tensile_min_mpa()
    );
}

proptest! {
    #[test]
    fn a_weaker_iron_needs_more_thread(index in 0_usize..5) {
        let t = thread(["1/4-20", "3/8-16", "1/2-13", "5/8-11", "M10"][index]);
        let (area, bolt_mpa) = (tapped_shear_area_mm2_per_mm(&t), Grade::Sae5.strength(&t).unwrap().tensile_mpa);
        for basis in [ShearBasis::Planning, ShearBasis::Floor] {
            let shear = |iron| Metal::Gray(iron).shear_strength_mpa(basis);
            let needed = |iron| engagement::engagement_by_shear_mm(t.stress_area_mm2(), bolt_mpa, area, shear(iron));
            let lengths: Vec<f64> = Iron::ALL[..5].iter().map(|&iron| needed(iron)).collect();
            prop_assert!(lengths.windows(2).all(|w| w[0] > w[1]));
            // At that length the strip load of the iron equals the bolt's strength.
            let strip = area * lengths[0] * shear(Iron::Class20);
            prop_assert!((strip / bolt_strength_n(&t, &Grade::Sae5).unwrap() - 1.0).abs() < 1e-9);
            // With half the tensile strength it is formula (16).
            let by_16 = engagement_mm(t.stress_area_mm2(), area, Iron::Class20.tensile_min_mpa() / bolt_mpa);
            prop_assert!(basis == ShearBasis::Planning || (lengths[0] / by_16 - 1.0).abs() < 1e-9);
        }
    }
}

/// The forms of 3/8-16 UNC and BSW differ by little, so with tolerances their strip loads do too.
#[test]
fn a_whitworth_hole_strips_like_a_unified_one() {
    let [unc, bsw] = ["3/8-16", "3/8 BSW"].map(|size| tapped_shear_area_mm2_per_mm(&thread(size)));
    assert!((0.98..1.08).contains(&(bsw / unc)), "{}", bsw / unc);
}
