//! Loads and torques as text for people.

use super::{POUND_FOOT_NM_TORQUE, POUND_FORCE_N};
use crate::length::Unit;

/// Below this, in foot-pounds, a torque is given in inch-pounds.
const LEAST_FOOT_POUNDS: f64 = 15.0;
/// Loads and torques are known no better than to three figures.
const FIGURES: i32 = 3;

/// The unit that a torque is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TorqueUnit {
    /// Inch-pounds, for small torques.
    InchPound,
    /// Foot-pounds.
    FootPound,
    /// Newton meters.
    NewtonMeter,
}

impl TorqueUnit {
    /// The unit for a torque in newton meters: inch-pounds below 15 ft-lb, else foot-pounds; newton
    /// meters where lengths are read in millimeters.
    ///
    /// For a table or range, choose by its largest torque.
    pub fn of(torque_nm_torque: f64, unit: Unit) -> TorqueUnit {
        match unit {
            Unit::Millimeter => TorqueUnit::NewtonMeter,
            // What would be written as 15 ft-lb is no longer below it.
            Unit::Inch if (torque_nm_torque / POUND_FOOT_NM_TORQUE).round() < LEAST_FOOT_POUNDS => {
                TorqueUnit::InchPound
            }
            Unit::Inch => TorqueUnit::FootPound,
        }
    }

    /// The unit's symbol: `in-lb`, `ft-lb` or `N·m`.
    pub const fn symbol(self) -> &'static str {
        match self {
            TorqueUnit::InchPound => "in-lb",
            TorqueUnit::FootPound => "ft-lb",
            TorqueUnit::NewtonMeter => "N·m",
        }
    }

    /// Formats a torque given in newton meters as a number of this unit.
    ///
    /// Whole numbers, three figures at most; below 10 N·m one decimal.
    pub fn number(self, torque_nm_torque: f64) -> String {
        let value = match self {
            TorqueUnit::InchPound => torque_nm_torque / POUND_FOOT_NM_TORQUE * 12.0,
            TorqueUnit::FootPound => torque_nm_torque / POUND_FOOT_NM_TORQUE,
            TorqueUnit::NewtonMeter if torque_nm_torque.abs() < 9.95 => {
                return format!("{torque_nm_torque:.1}");
            }
            TorqueUnit::NewtonMeter => torque_nm_torque,
        };
        with_commas(to_figures(value).round())
    }
}

/// Formats a torque for people: `120 in-lb`, `31 ft-lb`, `42 N·m`.
pub fn show_torque(torque_nm_torque: f64, unit: Unit) -> String {
    let unit = TorqueUnit::of(torque_nm_torque, unit);
    format!("{} {}", unit.number(torque_nm_torque), unit.symbol())
}

/// Formats a range of torques, its unit once: `23-31 ft-lb`.
pub fn show_torque_range(least_nm_torque: f64, most_nm_torque: f64, unit: Unit) -> String {
    let unit = TorqueUnit::of(most_nm_torque, unit);
    let (least, most) = (unit.number(least_nm_torque), unit.number(most_nm_torque));
    range(&least, &most, unit.symbol())
}

/// Formats a torque in both units: `42 N·m (31 ft-lb)`.
///
/// [`crate::length::in_unit`] reduces such text to the reader's unit.
pub fn show_torque_both(torque_nm_torque: f64) -> String {
    let (metric, inch) = (
        show_torque(torque_nm_torque, Unit::Millimeter),
        show_torque(torque_nm_torque, Unit::Inch),
    );
    format!("{metric} ({inch})")
}

/// Formats a load in newtons for people, to three figures: `4,940 lbf`, `22 kN`, `850 N`.
pub fn show_load(load_n: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{} lbf", figures(load_n / POUND_FORCE_N)),
        Unit::Millimeter if load_n.abs() < 999.5 => format!("{} N", figures(load_n)),
        Unit::Millimeter => format!("{} kN", figures(load_n / 1000.0)),
    }
}

/// Formats a range of loads, its unit once: `3,210-6,670 lbf`.
pub fn show_load_range(least_n: f64, most_n: f64, unit: Unit) -> String {
    let scale = match unit {
        Unit::Inch => POUND_FORCE_N,
        Unit::Millimeter if most_n.abs() < 999.5 => 1.0,
        Unit::Millimeter => 1000.0,
    };
    let most = show_load(most_n, unit);
    let symbol = most.rsplit(' ').next().unwrap_or_default();
    range(&figures(least_n / scale), &figures(most_n / scale), symbol)
}

/// Formats a load in newtons in both units: `22 kN (4,940 lbf)`.
///
/// [`crate::length::in_unit`] reduces such text to the reader's unit.
pub fn show_load_both(load_n: f64) -> String {
    let (metric, inch) = (
        show_load(load_n, Unit::Millimeter),
        show_load(load_n, Unit::Inch),
    );
    format!("{metric} ({inch})")
}

fn range(least: &str, most: &str, symbol: &str) -> String {
    if least == most {
        format!("{least} {symbol}")
    } else {
        format!("{least}-{most} {symbol}")
    }
}

/// Rounds to [`FIGURES`] significant figures.
fn to_figures(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let magnitude = value.abs().log10().floor() as i32;
    let step = 10_f64.powi((magnitude + 1 - FIGURES).max(-9));
    (value / step).round() * step
}

/// To three figures, without zeros behind the point: `4,940`, `22`, `4.94`, `0.5`.
fn figures(value: f64) -> String {
    let rounded = to_figures(value);
    let places = match rounded.abs() {
        large if large >= 100.0 => return with_commas(rounded),
        medium if medium >= 10.0 => 1,
        _ => 2,
    };
    let shown = format!("{rounded:.places$}");
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A whole number with commas between thousands.
fn with_commas(value: f64) -> String {
    let shown = format!("{value:.0}");
    let (sign, digits) = match shown.strip_prefix('-') {
        Some(digits) => ("-", digits),
        None => ("", shown.as_str()),
    };
    let mut grouped = String::from(sign);
    for (at, digit) in digits.char_indices() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::length::in_unit;
    use proptest::prelude::*;

    const FT_LB: f64 = POUND_FOOT_NM_TORQUE;

    /// The switch at 15 ft-lb is that of bolt torque charts (common practice, no source).
    #[test]
    fn torques_in_the_unit_of_the_wrench() {
        assert_eq!(show_torque(10.0 * FT_LB, Unit::Inch), "120 in-lb");
        assert_eq!(show_torque(14.4 * FT_LB, Unit::Inch), "173 in-lb");
        assert_eq!(show_torque(14.6 * FT_LB, Unit::Inch), "15 ft-lb");
        assert_eq!(show_torque(30.88 * FT_LB, Unit::Inch), "31 ft-lb");
        assert_eq!(show_torque(1234.0 * FT_LB, Unit::Inch), "1,230 ft-lb");
        assert_eq!(show_torque(4.25, Unit::Millimeter), "4.2 N·m");
        assert_eq!(show_torque(41.87, Unit::Millimeter), "42 N·m");
        assert_eq!(show_torque(9.97, Unit::Millimeter), "10 N·m");
        assert_eq!(
            show_torque_range(23.16 * FT_LB, 30.88 * FT_LB, Unit::Inch),
            "23-31 ft-lb"
        );
        assert_eq!(
            show_torque_range(13.0 * FT_LB, 17.0 * FT_LB, Unit::Inch),
            "13-17 ft-lb"
        );
    }

    /// 1 lbf is 4.4482216152605 N by definition.
    #[test]
    fn loads_to_three_figures() {
        let lbf = |pounds: f64| show_load(pounds * POUND_FORCE_N, Unit::Inch);
        assert_eq!(lbf(4941.2), "4,940 lbf");
        assert_eq!(lbf(12_345.0), "12,300 lbf");
        assert_eq!(lbf(85.04), "85 lbf");
        assert_eq!(lbf(0.0), "0 lbf");
        assert_eq!(show_load(21_978.0, Unit::Millimeter), "22 kN");
        assert_eq!(show_load(4_941.0, Unit::Millimeter), "4.94 kN");
        assert_eq!(show_load(999.6, Unit::Millimeter), "1 kN");
        assert_eq!(show_load(850.2, Unit::Millimeter), "850 N");
        let (least, most) = (3_211.0 * POUND_FORCE_N, 6_669.0 * POUND_FORCE_N);
        assert_eq!(show_load_range(least, most, Unit::Inch), "3,210-6,670 lbf");
        assert_eq!(
            show_load_range(850.2, 22_000.0, Unit::Millimeter),
            "0.85-22 kN"
        );
    }

    #[test]
    fn both_units_reduce_to_the_reader_s() {
        let text = format!(
            "{} at {}",
            show_load_both(21_978.0),
            show_torque_both(41.87)
        );
        assert_eq!(text, "22 kN (4,940 lbf) at 42 N·m (31 ft-lb)");
        assert_eq!(in_unit(&text, Unit::Inch), "4,940 lbf at 31 ft-lb");
        assert_eq!(in_unit(&text, Unit::Millimeter), "22 kN at 42 N·m");
    }

    proptest! {
        #[test]
        fn a_load_reads_back_to_half_of_its_third_figure(load_n in 1.0_f64..5e6) {
            for (unit, scale) in [(Unit::Inch, POUND_FORCE_N), (Unit::Millimeter, 1.0)] {
                let shown = show_load(load_n, unit);
                let (number, symbol) = shown.split_once(' ').unwrap();
                let scale = if symbol == "kN" { 1000.0 } else { scale };
                let read: f64 = number.replace(',', "").parse().unwrap();
                // Below one of its unit two decimals are shown, not three figures.
                let half = (load_n / scale * 5e-3).max(5e-3) * 1.000_001;
                prop_assert!((read - load_n / scale).abs() <= half, "{}", shown);
            }
        }
    }
}
