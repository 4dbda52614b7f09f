#![allow(clippy::unwrap_used)]

use super::*;
use proptest::prelude::*;

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
fn drills_are_read_by_name() {
    assert_eq!(nm("#7"), 5_105_400); // .2010 in
    assert_eq!(nm("No. 7"), 5_105_400);
    assert_eq!(nm("U"), 9_347_200); // .368 in
    assert_eq!(nm("x"), 10_083_800); // .397 in
    assert!(refusal("#81", None).contains("#80"));
    assert!(refusal("#0", None).contains("#1"));
}

#[test]
fn decimals_say_their_unit() {
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
fn a_bare_number_needs_an_agreed_unit() {
    let said = refusal("9.9", None);
    assert!(said.contains("9.9 in") && said.contains("9.9 mm"), "{said}");
    assert_eq!(
        Length::parse("9.9", Some(Unit::Millimetre)).unwrap().nm(),
        9_900_000
    );
    assert_eq!(
        Length::parse("0.5", Some(Unit::Inch)).unwrap().nm(),
        12_700_000
    );
    let said = refusal(".5", Some(Unit::Millimetre));
    assert!(said.contains(".5 in") && said.contains("0.5 mm"), "{said}");
}

#[test]
fn what_is_not_a_length_is_refused_in_one_sentence() {
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
        let said = refusal(text, Some(Unit::Millimetre));
        assert!(said.len() > 20 && !said.ends_with('.'), "{text}: {said}");
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
fn shown_as_a_machinist_writes_it() {
    let x = Length::from_fraction(25, 64);
    assert_eq!(x.show(Unit::Inch), "0.3906 in");
    assert_eq!(x.show(Unit::Millimetre), "9.92 mm");
    assert_eq!(x.exact(), "9.921875 mm");
    let y = Length::from_fraction(39, 100);
    assert_eq!(y.show(Unit::Inch), "0.390 in");
    assert_eq!(y.show(Unit::Millimetre), "9.91 mm");
    assert_eq!(Length::from_nm(12_000_000).show(Unit::Millimetre), "12 mm");
    assert_eq!(Length::from_nm(10_000_000).show(Unit::Millimetre), "10 mm");
    assert_eq!(Length::from_nm(-500_000).show(Unit::Millimetre), "-0.5 mm");
    assert_eq!(Length::from_nm(-4).show(Unit::Millimetre), "0 mm");
    assert_eq!(x.show_places(Unit::Inch, 3), "0.391 in");
    assert_eq!(x.show_places(Unit::Millimetre, 0), "10 mm");
}

#[test]
fn halves_go_away_from_zero() {
    assert_eq!((Length::from_nm(5) / 2).nm(), 3);
    assert_eq!((Length::from_nm(-5) / 2).nm(), -3);
    assert_eq!((Length::from_nm(5) / -2).nm(), -3);
    assert_eq!(Length::from_nm(-3).or_zero(), Length::ZERO);
    let sum: Length = [Length::from_nm(1), Length::from_nm(2)].iter().sum();
    assert_eq!(sum.nm(), 3);
}

#[test]
fn json_is_a_number_of_millimetres() {
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
    fn a_unit_there_and_back_gives_the_same_length(nm in -LARGEST_NM..=LARGEST_NM) {
        let x = Length::from_nm(nm);
        prop_assert_eq!(Length::from_mm(x.mm()).unwrap(), x);
        prop_assert_eq!(Length::from_inches(x.inches()).unwrap(), x);
    }

    #[test]
    fn no_text_makes_it_fall_over(text in "\\PC{0,40}", inch in any::<bool>()) {
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
