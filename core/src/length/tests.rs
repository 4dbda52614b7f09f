#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

mod formatting;
mod printing;

fn nm(text: &str) -> i64 {
    Length::parse(text, None).unwrap().nm()
}

fn refusal(text: &str, bare: Option<Unit>) -> String {
    Length::parse(text, bare).unwrap_err().to_string()
}

#[test]
fn fractions_are_exact_inches() {
    // 1 in = 25.4 mm exactly, so 1/64 in = 396 875 nm.
    assert_eq!(nm("25/64"), 9_921_875);
    assert_eq!(nm("1/64 in"), 396_875);
    assert_eq!(nm("1-1/8"), 28_575_000);
    assert_eq!(nm("1 1/8 in"), 28_575_000);
    assert_eq!(nm("1⅛\""), 28_575_000);
    assert_eq!(nm("-3/8"), -9_525_000);
    assert_eq!(Length::from_fraction(25, 64).nm(), 9_921_875);
}

#[test]
fn drill_names_are_diameters() {
    let nm = |text: &str| Length::parse_diameter(text, None).unwrap().nm();
    assert_eq!(nm("#7"), 5_105_400); // .2010 in
    assert_eq!(nm("No. 7"), 5_105_400);
    assert_eq!(nm("U"), 9_347_200); // .368 in
    assert_eq!(nm(" x "), 10_083_800); // .397 in
    assert_eq!(nm(".390"), 9_906_000);
    let refusal = |text: &str| Length::parse_diameter(text, None).unwrap_err().to_string();
    assert!(refusal("#81").contains("#80"));
    assert!(refusal("#0").contains("#1"));
}

#[test]
fn a_stray_letter_is_not_a_length() {
    for text in ["U", "x", " e", "#7", "no. 7"] {
        for unit in [None, Some(Unit::Inch), Some(Unit::Millimeter)] {
            let error = Length::parse(text, unit).unwrap_err();
            assert!(
                matches!(error, LengthError::DrillName { .. }),
                "{text}: {error}"
            );
        }
    }
}

#[test]
fn decimals_name_their_unit() {
    assert_eq!(nm(".390"), 9_906_000);
    assert_eq!(nm("0.39 in"), 9_906_000);
    assert_eq!(nm("0.39\""), 9_906_000);
    assert_eq!(nm("9.9mm"), 9_900_000);
    assert_eq!(nm("9,9 mm"), 9_900_000);
    assert_eq!(nm("0,390 in"), 9_906_000);
    assert_eq!(nm("15 thou"), 381_000);
    assert_eq!(nm("-0.05 mm"), -50_000);
    assert_eq!(nm("0.0000004 mm"), 0);
}

#[test]
fn a_bare_number_needs_a_default_unit() {
    let error = refusal("9.9", None);
    assert!(
        error.contains("9.9 in") && error.contains("9.9 mm"),
        "{error}"
    );
    assert_eq!(
        Length::parse("9.9", Some(Unit::Millimeter)).unwrap().nm(),
        9_900_000
    );
    assert_eq!(
        Length::parse("0.5", Some(Unit::Inch)).unwrap().nm(),
        12_700_000
    );
    let error = refusal(".5", Some(Unit::Millimeter));
    assert!(
        error.contains(".5 in") && error.contains("0.5 mm"),
        "{error}"
    );
}

#[test]
fn invalid_lengths_are_refused_in_one_sentence() {
    for text in [
        "",
        "  ",
        "nan",
        "NaN mm",
        "inf",
        "1e3 mm",
        "--1 mm",
        "1/0",
        "1/2/3",
        "3 mm 4",
        "1..2 in",
        ".",
        "/",
        "-",
        "1,250 mm",
        "1,2,3 mm",
        "5 cm",
        "3 ft",
        "1/2 mm",
        "200000 mm",
        "5000 in",
        "99999999999999999999 mm",
        "1-1-1/8",
        "#",
        "#7.5",
        "½½",
    ] {
        let error = refusal(text, Some(Unit::Millimeter));
        assert!(error.len() > 20 && !error.ends_with('.'), "{text}: {error}");
    }
    assert!(Length::parse(&"9".repeat(5000), None).is_err());
    assert!(refusal("1,250 mm", None).contains("1.250"));
    assert!(Length::from_mm(f64::NAN).is_err());
    assert!(Length::from_mm(f64::INFINITY).is_err());
    assert!(Length::from_inches(-1e9).is_err());
    assert!(Length::from_mm(100_000.0).is_ok());
    assert!(Length::from_mm(100_000.000_001).is_err());
}

#[test]
fn halves_round_away_from_zero() {
    assert_eq!((Length::from_nm(5) / 2).nm(), 3);
    assert_eq!((Length::from_nm(-5) / 2).nm(), -3);
    assert_eq!((Length::from_nm(5) / -2).nm(), -3);
    assert_eq!(Length::from_nm(-3).clamp_at_zero(), Length::ZERO);
    let sum: Length = [Length::from_nm(1), Length::from_nm(2)].iter().sum();
    assert_eq!(sum.nm(), 3);
}

#[test]
fn json_is_a_number_of_millimeters() {
    let x: Length = serde_json::from_str("9.921875").unwrap();
    assert_eq!(x, Length::from_fraction(25, 64));
    assert_eq!(serde_json::to_string(&x).unwrap(), "9.921875");
    assert_eq!(
        serde_json::from_str::<Length>("32").unwrap().nm(),
        32_000_000
    );
    assert_eq!(
        serde_json::from_str::<Length>("-1").unwrap().nm(),
        -1_000_000
    );
    for wrong in ["1e99", "\"9\"", "null", "100001"] {
        assert!(serde_json::from_str::<Length>(wrong).is_err(), "{wrong}");
    }
    assert_eq!(serde_json::to_string(&Unit::Inch).unwrap(), "\"in\"");
}

proptest! {
    #[test]
    fn converting_to_a_unit_and_back_is_exact(nm in -MAX_NM..=MAX_NM) {
        let x = Length::from_nm(nm);
        prop_assert_eq!(Length::from_mm(x.mm()).unwrap(), x);
        prop_assert_eq!(Length::from_inches(x.inches()).unwrap(), x);
    }

    #[test]
    fn no_text_makes_the_parser_panic(text in "\\PC{0,40}", inch in any::<bool>()) {
        let bare = if inch { Some(Unit::Inch) } else { None };
        if let Err(e) = Length::parse(&text, bare) {
            prop_assert!(!e.to_string().contains('\n'));
        }
    }

    #[test]
    fn every_sixty_fourth_is_whole(n in 0_i64..6400) {
        let x = Length::from_fraction(n, 64);
        prop_assert_eq!(x.nm() * 64, n * NM_PER_INCH);
        prop_assert_eq!(Length::parse(&format!("{n}/64"), None).unwrap(), x);
    }
}
