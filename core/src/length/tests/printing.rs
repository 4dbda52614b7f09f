//! Round trips: every way of formatting a length is parsed back, for all lengths.

use super::*;
use crate::length::named_drills;

/// Half of the last place that people are shown, in nanometers: .001 in and 0.01 mm.
const HALF_SHOWN: [(Unit, i64); 2] = [(Unit::Inch, 12_700), (Unit::Millimeter, 5_000)];
/// A shown length may be rounded up by this much, and must still be within what is read.
const ROUNDING_NM: i64 = 12_700;

/// Lengths of all sizes and both signs: of the order of a casting and of a screw thread, a few
/// nanometers, the largest accepted, and those on the marks of a scale.
fn any_length() -> impl Strategy<Value = Length> {
    let largest = MAX_NM - ROUNDING_NM;
    let steps = |step: i64| (-largest / step..=largest / step).prop_map(move |n| n * step);
    prop_oneof![
        -largest..=largest,
        -50_000_000_i64..=50_000_000,
        -20_000_i64..=20_000,
        (largest - 1_000_000)..=largest,
        -largest..=(1_000_000 - largest),
        steps(NM_PER_INCH / 64),
        steps(NM_PER_INCH / 10_000),
        steps(10_000),
        Just(0),
    ]
    .prop_map(Length::from_nm)
}

/// Lengths that are exact in the places shown of a unit.
fn shown_exactly(unit: Unit) -> impl Strategy<Value = Length> {
    let step = match unit {
        Unit::Inch => NM_PER_INCH / 10_000,
        Unit::Millimeter => NM_PER_MM / 100,
    };
    let most = MAX_NM / step;
    prop_oneof![-most..=most, -200_000_i64..=200_000, -100_i64..=100]
        .prop_map(move |n| Length::from_nm(n * step))
}

fn read(text: &str) -> Length {
    Length::parse(text, None).unwrap_or_else(|e| panic!("{text}: {e}"))
}

/// Parses with every default unit: the unit that is written decides.
fn read_with_any_default(text: &str) -> Length {
    let readings = [None, Some(Unit::Inch), Some(Unit::Millimeter)]
        .map(|bare| Length::parse(text, bare).unwrap());
    assert!(readings.iter().all(|r| *r == readings[0]), "{text}");
    readings[0]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1024))]

    #[test]
    fn exact_reads_back_as_itself(x in any_length()) {
        prop_assert_eq!(read_with_any_default(&x.exact()), x);
        prop_assert_eq!(read_with_any_default(&x.to_string()), x);
    }

    #[test]
    fn json_reads_back_as_itself(x in any_length()) {
        let json = serde_json::to_string(&x).unwrap();
        prop_assert_eq!(serde_json::from_str::<Length>(&json).unwrap(), x);
        let inside = serde_json::to_value(vec![Some(x), None]).unwrap();
        prop_assert_eq!(serde_json::from_value::<Vec<Option<Length>>>(inside).unwrap(), vec![Some(x), None]);
    }

    #[test]
    fn a_length_exact_in_the_places_shown_reads_back_as_itself(
        inch in shown_exactly(Unit::Inch),
        mm in shown_exactly(Unit::Millimeter),
    ) {
        prop_assert_eq!(read_with_any_default(&inch.show(Unit::Inch)), inch);
        prop_assert_eq!(read_with_any_default(&mm.show(Unit::Millimeter)), mm);
    }

    #[test]
    fn a_shown_length_typed_back_shows_the_same(x in any_length()) {
        for (unit, half) in HALF_SHOWN {
            let shown = x.show(unit);
            let typed = read_with_any_default(&shown);
            prop_assert_eq!(typed.show(unit), shown);
            prop_assert!((typed - x).abs().nm() <= half);
        }
    }

    #[test]
    fn any_number_of_places_typed_back_shows_the_same(x in any_length(), places in 0_usize..=9) {
        for (unit, nm) in [(Unit::Inch, NM_PER_INCH), (Unit::Millimeter, NM_PER_MM)] {
            let shown = x.show_places(unit, places);
            // Rounding up may pass the largest length that is accepted.
            let Ok(typed) = Length::parse(&shown, None) else {
                prop_assert!(places < 3 && x.abs().nm() > MAX_NM - NM_PER_INCH);
                continue;
            };
            // More places are finer than the nanometer that a length is stored to.
            if 10_i64.pow(places as u32) <= nm {
                prop_assert_eq!(typed.show_places(unit, places), shown);
            } else {
                prop_assert_eq!(typed, x);
            }
        }
    }

    #[test]
    fn both_is_what_each_unit_alone_shows(x in any_length()) {
        let both = x.both();
        let (mm, inch) = both.strip_suffix(')').unwrap().split_once(" (").unwrap();
        for ((unit, half), written) in HALF_SHOWN.into_iter().zip([inch, mm]) {
            prop_assert_eq!(written, x.show(unit));
            prop_assert!((read(written) - x).abs().nm() <= half);
        }
    }

    #[test]
    fn no_break_spaces_and_decimal_commas_read_the_same(x in any_length()) {
        let exact = x.exact();
        prop_assert_eq!(read(&exact.replace(' ', "\u{a0}")), x);
        prop_assert_eq!(read(&exact.replace(' ', "")), x);
        // Three places after a comma could be thousands and are refused.
        let decimals = exact.split_once('.').map_or(0, |(_, part)| part.len() - " mm".len());
        if decimals != 3 || x.abs().nm() < NM_PER_MM {
            prop_assert_eq!(read(&exact.replace('.', ",")), x);
        } else {
            prop_assert!(Length::parse(&exact.replace('.', ","), None).is_err());
        }
    }

    #[test]
    fn fractions_of_an_inch_read_back_as_themselves(
        whole in 0_i64..3_800,
        upper in 1_i64..128,
        power in 1_u32..=7,
        minus in any::<bool>(),
    ) {
        let lower = 2_i64.pow(power);
        let sign = if minus { -1 } else { 1 };
        let x = Length::from_fraction(sign * (whole * lower + upper), lower);
        let minus = if minus { "-" } else { "" };
        for text in [format!("{minus}{whole}-{upper}/{lower}"), format!("{minus}{whole} {upper}/{lower} in")] {
            prop_assert_eq!(read_with_any_default(&text), x);
        }
    }
}

#[test]
fn every_named_drill_reads_back_as_its_diameter() {
    let read_with_any_default = |text: &str| {
        let readings = [None, Some(Unit::Inch), Some(Unit::Millimeter)]
            .map(|bare| Length::parse_diameter(text, bare).unwrap());
        assert!(readings.iter().all(|r| *r == readings[0]), "{text}");
        readings[0]
    };
    for n in 1..=80 {
        for text in [format!("#{n}"), format!("No. {n}"), format!("no {n}")] {
            assert_eq!(
                read_with_any_default(&text),
                named_drills::number(n).unwrap()
            );
        }
    }
    for letter in 'A'..='Z' {
        assert_eq!(
            read_with_any_default(&letter.to_string()),
            named_drills::letter(letter).unwrap()
        );
    }
}
