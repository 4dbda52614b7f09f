//! Expected forms: how American shop drawings write lengths (ASME Y14.5: no zero before the point
//! of an inch decimal, no trailing zeros in millimeters); for the rest common practice, no source.

use super::*;

fn inch(text: &str) -> String {
    Length::parse_diameter(text, None).unwrap().show(Unit::Inch)
}

fn mm(text: &str) -> String {
    Length::parse(text, None).unwrap().show(Unit::Millimeter)
}

#[test]
fn inches_have_three_decimals_and_no_leading_zero() {
    assert_eq!(inch(".02"), ".020 in");
    assert_eq!(inch(".711"), ".711 in");
    assert_eq!(inch("1-1/8"), "1.125 in");
    assert_eq!(inch("3/8"), ".375 in");
    assert_eq!(inch("9.9 mm"), ".390 in");
    assert_eq!(inch("-0.5 mm"), "-.020 in");
    assert_eq!(inch("0 mm"), "0 in");
    assert_eq!(inch("-0.001 mm"), "0 in");
    assert_eq!(inch("12 in"), "12.000 in");
}

#[test]
fn sixty_fourths_that_are_no_thousandths_stay_fractions() {
    assert_eq!(inch("9/16"), "9/16 in");
    assert_eq!(inch("29/64"), "29/64 in");
    assert_eq!(inch("1-1/64"), "1-1/64 in");
    assert_eq!(inch("-1/16"), "-1/16 in");
    assert_eq!(Length::from_fraction(72, 64).fraction().unwrap(), "1-1/8");
    assert_eq!(Length::from_fraction(128, 64).fraction().unwrap(), "2");
    assert_eq!(Length::ZERO.fraction().unwrap(), "0");
    assert_eq!(Length::from_nm(1).fraction(), None);
}

#[test]
fn a_fourth_decimal_only_where_the_length_has_one() {
    assert_eq!(inch(".3906"), ".3906 in");
    assert_eq!(inch(".0005"), ".0005 in");
    assert_eq!(inch("#5"), ".2055 in");
    assert_eq!(inch("11.51 mm"), ".453 in");
}

#[test]
fn millimeters_have_no_trailing_zeros() {
    assert_eq!(mm("25/64"), "9.92 mm");
    assert_eq!(mm(".390"), "9.91 mm");
    assert_eq!(mm(".4"), "10.16 mm");
    assert_eq!(mm("12 mm"), "12 mm");
    assert_eq!(mm("10 mm"), "10 mm");
    assert_eq!(mm("-0.5 mm"), "-0.5 mm");
    assert_eq!(Length::from_nm(-4).show(Unit::Millimeter), "0 mm");
    assert_eq!(Length::from_fraction(25, 64).exact(), "9.921875 mm");
}

#[test]
fn limits_have_the_places_of_their_standards() {
    let x = Length::from_fraction(25, 64);
    assert_eq!(x.show_limit(Unit::Inch), ".3906 in");
    assert_eq!(x.show_limit(Unit::Millimeter), "9.922 mm");
    assert_eq!(
        Length::from_inches(0.4).unwrap().limit_number(Unit::Inch),
        ".4000"
    );
    assert_eq!(x.show_places(Unit::Inch, 3), ".391 in");
    assert_eq!(x.show_places(Unit::Millimeter, 0), "10 mm");
    assert_eq!(x.show_places(Unit::Inch, 0), "0 in");
}

#[test]
fn drill_equivalents() {
    let shown = |text: &str, unit| {
        let diameter = Length::parse_diameter(text, None).unwrap();
        diameter.drill_equivalent(unit)
    };
    assert_eq!(shown("29/64", Unit::Inch), ".453");
    assert_eq!(shown("25/64", Unit::Inch), ".3906");
    assert_eq!(shown("#69", Unit::Inch), ".0292");
    assert_eq!(shown("#5", Unit::Inch), ".2055");
    assert_eq!(shown("X", Unit::Inch), ".397");
    assert_eq!(shown("29/64", Unit::Millimeter), "11.51");
}

#[test]
fn computed_depths_are_rounded_to_the_safe_side() {
    let depth = Length::from_inches(0.71149).unwrap();
    assert_eq!(depth.rounded(Unit::Inch, Rounding::Down), ".711 in");
    assert_eq!(depth.rounded(Unit::Inch, Rounding::Up), ".712 in");
    assert_eq!(depth.rounded(Unit::Inch, Rounding::Nearest), ".711 in");
    assert_eq!(depth.rounded(Unit::Millimeter, Rounding::Up), "18.08 mm");
    assert_eq!(
        depth.rounded_number(Unit::Millimeter, Rounding::Down),
        "18.07"
    );
    let sixteenth = Length::from_fraction(1, 16);
    assert_eq!(sixteenth.rounded(Unit::Inch, Rounding::Down), ".062 in");
    assert_eq!(sixteenth.rounded(Unit::Inch, Rounding::Up), ".063 in");
    assert_eq!((-sixteenth).rounded(Unit::Inch, Rounding::Down), "-.063 in");
}

#[test]
fn a_range_has_its_unit_once() {
    let range = |a: &str, b: &str, unit| {
        show_range(
            Length::parse(a, None).unwrap(),
            Length::parse(b, None).unwrap(),
            unit,
        )
    };
    assert_eq!(range(".325", ".334", Unit::Inch), ".325-.334 in");
    assert_eq!(range("1-1/16", "1-1/8", Unit::Inch), "1.0625-1.125 in");
    assert_eq!(range(".325", ".334", Unit::Millimeter), "8.26-8.48 mm");
    assert_eq!(range(".325", ".325", Unit::Inch), ".325 in");
    assert_eq!(range("-.005", ".010", Unit::Inch), "-.005 to .010 in");
    assert_eq!(
        show_range_both(
            Length::from_fraction(325, 1000),
            Length::from_fraction(334, 1000)
        ),
        "8.26-8.48 mm (.325-.334 in)"
    );
}

#[test]
fn a_tolerance_of_a_rule_is_a_fraction() {
    let shown = |value: &str, tolerance: &str, unit| {
        let tolerance = Length::parse(tolerance, None).unwrap();
        Length::parse(value, None)
            .unwrap()
            .show_tolerance(tolerance, unit)
    };
    assert_eq!(shown("1-1/8", "1/64", Unit::Inch), "1-1/8 ±1/64 in");
    assert_eq!(shown(".453", ".001", Unit::Inch), ".453 ±.001 in");
    assert_eq!(shown("9/16", ".001", Unit::Inch), ".5625 ±.001 in");
    assert_eq!(
        shown("9.92 mm", "0.05 mm", Unit::Millimeter),
        "9.92 ±0.05 mm"
    );
}

#[test]
fn areas() {
    assert_eq!(show_area(50.0, Unit::Inch), ".0775 sq in");
    assert_eq!(show_area(50.0, Unit::Millimeter), "50.0 mm²");
    assert_eq!(show_area(700.0, Unit::Inch), "1.0850 sq in");
}

#[test]
fn text_in_both_units_is_reduced_to_the_reader_s() {
    let text = "Drill to 12.7 mm (.500 in) (see above), at most 8.26-8.48 mm (.325-.334 in); it holds 4.94 kN \
                (1,110 lbf) at 42 N·m (31 ft-lb).";
    assert_eq!(
        in_unit(text, Unit::Inch),
        "Drill to .500 in (see above), at most .325-.334 in; it holds 1,110 lbf at 31 ft-lb."
    );
    assert_eq!(
        in_unit(text, Unit::Millimeter),
        "Drill to 12.7 mm (see above), at most 8.26-8.48 mm; it holds 4.94 kN at 42 N·m."
    );
    for other in [
        "",
        "M10 (metric)",
        "29/64 (.453)",
        "a (b",
        "9 mm (oil)",
        "( 3 in)",
        "x (9 in) y",
    ] {
        assert_eq!(in_unit(other, Unit::Inch), other);
        assert_eq!(in_unit(other, Unit::Millimeter), other);
    }
    let nested = "(at 12 mm (.472 in))";
    assert_eq!(in_unit(nested, Unit::Inch), "(at .472 in)");
}

proptest! {
    #[test]
    fn rounding_keeps_to_its_side(nm in -MAX_NM / 2..=MAX_NM / 2) {
        let x = Length::from_nm(nm);
        for (unit, step) in [(Unit::Inch, NM_PER_INCH / 1000), (Unit::Millimeter, NM_PER_MM / 100)] {
            let read = |rounding| Length::parse(&x.rounded(unit, rounding), None).unwrap();
            let (down, up) = (read(Rounding::Down), read(Rounding::Up));
            prop_assert!(down <= x && x <= up);
            prop_assert!((up - down).nm() <= step);
            let near = read(Rounding::Nearest);
            prop_assert!(near == down || near == up);
            prop_assert!((near - x).abs().nm() * 2 <= step);
        }
    }

    #[test]
    fn numbers_read_back_in_their_unit(nm in -5_000_000_000_i64..5_000_000_000) {
        let x = Length::from_nm(nm);
        for (unit, half) in [(Unit::Inch, NM_PER_INCH / 2000), (Unit::Millimeter, NM_PER_MM / 200)] {
            let read = Length::parse(&x.number(unit), Some(unit)).unwrap();
            prop_assert!((read - x).abs().nm() <= half);
        }
    }

    #[test]
    fn a_limit_reads_back_within_half_its_last_place(nm in -5_000_000_000_i64..5_000_000_000) {
        let x = Length::from_nm(nm);
        for (unit, half) in [(Unit::Inch, NM_PER_INCH / 20_000), (Unit::Millimeter, NM_PER_MM / 2000)] {
            let read = Length::parse(&x.show_limit(unit), None).unwrap();
            prop_assert!((read - x).abs().nm() <= half);
        }
    }

    #[test]
    fn every_fraction_reads_back(n in -6400_i64..6400) {
        let x = Length::from_fraction(n, 64);
        let text = format!("{} in", x.fraction().unwrap());
        prop_assert_eq!(Length::parse(&text, None).unwrap(), x);
    }

    #[test]
    fn both_units_reduce_to_what_that_unit_shows(nm in -5_000_000_000_i64..5_000_000_000) {
        let x = Length::from_nm(nm);
        let text = format!("to {} deep", x.both());
        for unit in [Unit::Inch, Unit::Millimeter] {
            prop_assert_eq!(in_unit(&text, unit), format!("to {} deep", x.show(unit)));
        }
    }

    #[test]
    fn no_text_breaks_the_reduction(text in "[0-9 .()mnib/-]{0,40}") {
        let reduced = in_unit(&text, Unit::Inch);
        prop_assert!(reduced.len() <= text.len());
    }
}

#[test]
fn limits_show_a_fourth_decimal_only_if_it_is_not_zero() {
    let inches = |ten_thousandths: i64| Length::from_nm(ten_thousandths * 2_540);
    let shown = |least, most| show_limits(inches(least), inches(most), Unit::Inch);
    assert_eq!(shown(3_906, 3_970), ".3906-.397 in");
    assert_eq!(shown(3_250, 3_340), ".325-.334 in");
    let (least, most) = (Length::from_nm(9_921_875), Length::from_nm(10_000_000));
    assert_eq!(show_limits(least, most, Unit::Millimeter), "9.922-10 mm");
}
