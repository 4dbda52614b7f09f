#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

#[test]
fn every_metal_parses_from_its_name() {
    for metal in Metal::named() {
        assert_eq!(metal.to_string().parse::<Metal>().unwrap(), metal);
        let json = serde_json::to_string(&metal).unwrap();
        assert_eq!(serde_json::from_str::<Metal>(&json).unwrap(), metal);
        let [planning, floor] =
            [ShearBasis::Planning, ShearBasis::Floor].map(|basis| metal.shear_strength_mpa(basis));
        assert!(floor <= planning && planning < metal.tensile_min_mpa());
    }
}

#[test]
fn short_names_are_parsed() {
    for (text, name) in [
        ("class 25", "ASTM A48 class 25"),
        ("65-45-12", "ASTM A536 grade 65-45-12"),
        ("a36", "ASTM A36"),
        ("Steel, 60 ksi", "steel of 60000 psi"),
        ("aluminum 230 mpa", "aluminum of 230 MPa"),
        ("aluminium of 230 MPa", "aluminum of 230 MPa"),
        (
            "aluminium 356.0-T6, sand cast",
            "aluminum 356.0-T6, sand cast",
        ),
        ("gray iron of 180 N/mm2", "gray iron of 180 MPa"),
        ("unknown", "unknown"),
    ] {
        assert_eq!(text.parse::<Metal>().unwrap().to_string(), name);
    }
}

#[test]
fn unknown_metals_are_refused_with_an_example() {
    for wrong in [
        "",
        "cheese",
        "steel",
        "steel of",
        "steel of psi",
        "steel of 60000",
        "steel of NaN MPa",
        "steel of inf MPa",
        "65-45",
    ] {
        let error = wrong.parse::<Metal>().unwrap_err().to_string();
        assert!(error.contains("steel of 60000 psi"), "{wrong}: {error}");
    }
    for absurd in [
        "steel of 60000 MPa",
        "steel of 60 psi",
        "steel of -5 MPa",
        "aluminum of 99999999 MPa",
    ] {
        let error = absurd.parse::<Metal>().unwrap_err().to_string();
        assert!(
            error.contains("check the number and unit"),
            "{absurd}: {error}"
        );
    }
}

/// A grade's name gives its tensile strength in ksi.
#[test]
fn grade_names_give_the_tensile_strength() {
    for metal in Metal::named().filter(|metal| matches!(metal, Metal::Ductile(_) | Metal::Steel(_)))
    {
        let name = metal.to_string();
        let grade = name.rsplit(' ').next().unwrap();
        let Some((ksi, _)) = grade.split_once('-') else {
            continue;
        };
        let ksi: f64 = ksi.parse().unwrap();
        assert!(
            (metal.tensile_min_mpa() - ksi * MPA_PER_KSI).abs() < 1e-9,
            "{name}"
        );
    }
}

proptest! {
    #[test]
    fn a_stated_strength_parses_from_its_text(psi in 3_000_u32..300_000, mpa in 20_u16..2500) {
        for tensile in [Tensile::Psi(psi), Tensile::Mpa(mpa)] {
            let metal = Metal::Stated(MetalKind::Steel, tensile);
            prop_assert_eq!(metal.to_string().parse::<Metal>().unwrap(), metal);
        }
    }
}
