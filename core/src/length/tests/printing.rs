//! What is written reads back: every way of writing a length, for every length.

use super::*;
use crate::length::named;

/// Half of the last place that people are shown, in nanometres: 0.0001 in and 0.01 mm.
const HALF_SHOWN: [(Unit, i64); 2] = [(Unit::Inch, 1_270), (Unit::Millimetre, 5_000)];
/// What is shown to people may round up by this much, and must still be within what is read.
const SLACK_NM: i64 = 5_000;

/// Lengths of all sizes and both signs: of the order of a casting and of a screw thread, a few nanometres, the
/// largest that are read, and those that fall on the marks of a scale.
fn any_length() -> impl Strategy<Value = Length> {
    let largest = LARGEST_NM - SLACK_NM;
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

/// A length that is exact in the places shown of a unit.
fn shown_exactly(unit: Unit) -> impl Strategy<Value = Length> {
    let step = match unit {
        Unit::Inch => NM_PER_INCH / 10_000,
        Unit::Millimetre => NM_PER_MM / 100,
    };
    let most = LARGEST_NM / step;
    prop_oneof![-most..=most, -200_000_i64..=200_000, -100_i64..=100]
        .prop_map(move |n| Length::from_nm(n * step))
}

fn read(text: &str) -> Length {
    Length::parse(text, None).unwrap_or_else(|e| panic!("{text}: {e}"))
}

/// Where bare numbers mean the other unit, the unit that is written still decides.
fn read_in_any_setting(text: &str) -> Length {
    let readings = [None, Some(Unit::Inch), Some(Unit::Millimetre)]
        .map(|bare| Length::parse(text, bare).unwrap());
    assert!(readings.iter().all(|r| *r == readings[0]), "{text}");
    readings[0]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1024))]

    #[test]
    fn exact_reads_back_as_itself(x in any_length()) {
        prop_assert_eq!(read_in_any_setting(&x.exact()), x);
        prop_assert_eq!(read_in_any_setting(&x.to_string()), x);
    }

    #[test]
    fn json_reads_back_as_itself(x in any_length()) {
        let json = serde_json::to_string(&x).unwrap();
        prop_assert_eq!(serde_json::from_str::<Length>(&json).unwrap(), x);
        let inside = serde_json::to_value(vec![Some(x), None]).unwrap();
        prop_assert_eq!(serde_json::from_value::<Vec<Option<Length>>>(inside).unwrap(), vec![Some(x), None]);
    }

    #[test]
    fn what_a_unit_shows_exactly_reads_back_as_itself(
        inch in shown_exactly(Unit::Inch),
        mm in shown_exactly(Unit::Millimetre),
    ) {
        prop_assert_eq!(read_in_any_setting(&inch.show(Unit::Inch)), inch);
        prop_assert_eq!(read_in_any_setting(&mm.show(Unit::Millimetre)), mm);
    }

    #[test]
    fn what_is_shown_typed_back_shows_the_same(x in any_length()) {
        for (unit, half) in HALF_SHOWN {
            let shown = x.show(unit);
            let typed = read_in_any_setting(&shown);
            prop_assert_eq!(typed.show(unit), shown);
            prop_assert!((typed - x).abs().nm() <= half);
        }
    }

    #[test]
    fn any_number_of_places_typed_back_shows_the_same(x in any_length(), places in 0_usize..=9) {
        for (unit, nm) in [(Unit::Inch, NM_PER_INCH), (Unit::Millimetre, NM_PER_MM)] {
            let shown = x.show_places(unit, places);
            // A whole inch or millimetre more than the largest length is not read.
            let Ok(typed) = Length::parse(&shown, None) else {
                prop_assert!(places < 3 && x.abs().nm() > LARGEST_NM - NM_PER_INCH);
                continue;
            };
            // More places than these are finer than the nanometre that a length is kept to.
            if 10_i64.pow(places as u32) <= nm {
                prop_assert_eq!(typed.show_places(unit, places), shown);
            } else {
                prop_assert_eq!(typed, x);
            }
        }
    }

    #[test]
    fn both_units_are_each_what_that_unit_alone_shows(x in any_length()) {
        let both = x.both();
        let (mm, inch) = both.strip_suffix(')').unwrap().split_once(" (").unwrap();
        for ((unit, half), written) in HALF_SHOWN.into_iter().zip([inch, mm]) {
            prop_assert_eq!(written, x.show(unit));
            prop_assert!((read(written) - x).abs().nm() <= half);
        }
    }

    #[test]
    fn spaces_that_do_not_break_and_decimal_commas_read_the_same(x in any_length()) {
        let exact = x.exact();
        prop_assert_eq!(read(&exact.replace(' ', "\u{a0}")), x);
        prop_assert_eq!(read(&exact.replace(' ', "")), x);
        // Three places behind a comma could be thousands, and are asked about.
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
            prop_assert_eq!(read_in_any_setting(&text), x);
        }
    }
}

#[test]
fn every_named_drill_reads_back_as_its_diameter() {
    for n in 1..=80 {
        for text in [format!("#{n}"), format!("No. {n}"), format!("no {n}")] {
            assert_eq!(read_in_any_setting(&text), named::number(n).unwrap());
        }
    }
    for letter in 'A'..='Z' {
        assert_eq!(
            read_in_any_setting(&letter.to_string()),
            named::letter(letter).unwrap()
        );
    }
}
