//! Lengths as text for people and for exact reading back.
//!
//! All rounding is whole-number arithmetic on nanometers, so no printed digit is a guess.

use super::arithmetic::divide_to_nearest;
use super::{Length, NM_PER_INCH, NM_PER_MM, Unit};
use std::fmt;

/// Decimal places of an inch that a shop writes: `.453`.
const INCH_PLACES: usize = 3;
/// Decimal places of an inch for limits and micrometer readings: `.3906`.
const INCH_LIMIT_PLACES: usize = 4;
/// Decimal places of a millimeter that a shop writes at most: `10.16`.
const MM_PLACES: usize = 2;
/// Decimal places of a millimeter for limits: `9.922`.
const MM_LIMIT_PLACES: usize = 3;
/// A drill's diameter is given to three places of an inch where they come closer than .0002 in.
const DRILL_SLACK: Length = Length::from_fraction(2, 10_000);

/// Which way a displayed length is rounded.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rounding {
    /// To the next smaller: for what may not be exceeded.
    Down,
    /// To the next larger: for what must be reached.
    Up,
    /// To the nearest, halves away from zero.
    Nearest,
}

impl Unit {
    /// The unit's symbol after a number: `in` or `mm`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Millimeter => "mm",
        }
    }

    const fn nm(self) -> i64 {
        match self {
            Unit::Inch => NM_PER_INCH,
            Unit::Millimeter => NM_PER_MM,
        }
    }

    const fn places(self) -> usize {
        match self {
            Unit::Inch => INCH_PLACES,
            Unit::Millimeter => MM_PLACES,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// The exact form, in millimeters.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.exact())
    }
}

impl Length {
    /// Formats the length for people: `.453 in`, `1.125 in`, `9/16 in`, `10.16 mm`.
    ///
    /// In inches: a fraction where the length is a whole number of 64ths and not of thousandths,
    /// otherwise three decimals, or four where the length is a whole number of ten-thousandths
    /// (`.3906 in`). In millimeters: two decimals at most, without trailing zeros.
    /// [`Length::parse`] reads it back to within half of the last place.
    pub fn show(self, unit: Unit) -> String {
        format!("{} {unit}", self.number(unit))
    }

    /// Formats as [`Length::show`] does, without the unit.
    pub fn number(self, unit: Unit) -> String {
        match self.fraction() {
            Some(fraction) if unit == Unit::Inch && !self.is_whole(1_000) => fraction,
            _ => self.decimal(unit),
        }
    }

    /// Formats a computed length, rounded to the safe side: `.711 in`, `18.06 mm`.
    ///
    /// Three decimals of an inch, always; two of a millimeter, without trailing zeros.
    pub fn rounded(self, unit: Unit, rounding: Rounding) -> String {
        format!("{} {unit}", self.rounded_number(unit, rounding))
    }

    /// Formats as [`Length::rounded`] does, without the unit.
    pub fn rounded_number(self, unit: Unit, rounding: Rounding) -> String {
        self.round_to(unit, rounding).decimal(unit)
    }

    /// Rounds to a whole number of .001 in or 0.01 mm.
    ///
    /// `Down` never gives more than the length itself and `Up` never less, signs included.
    pub fn round_to(self, unit: Unit, rounding: Rounding) -> Length {
        let step = unit.nm() / 10_i64.pow(unit.places() as u32);
        let down = self.0.div_euclid(step);
        let steps = match rounding {
            Rounding::Down => down,
            Rounding::Up => down + i64::from(self.0.rem_euclid(step) > 0),
            Rounding::Nearest => divide_to_nearest(i128::from(self.0), i128::from(step)),
        };
        Length(steps.saturating_mul(step))
    }

    /// Formats a limit with the places that standards state: `.3906 in`, `9.922 mm`.
    pub fn show_limit(self, unit: Unit) -> String {
        format!("{} {unit}", self.limit_number(unit))
    }

    /// Formats as [`Length::show_limit`] does, without the unit.
    pub fn limit_number(self, unit: Unit) -> String {
        let places = match unit {
            Unit::Inch => INCH_LIMIT_PLACES,
            Unit::Millimeter => MM_LIMIT_PLACES,
        };
        digits(self, unit, places)
    }

    /// Formats with a fixed number of decimal places, 9 at most.
    pub fn show_places(self, unit: Unit, places: usize) -> String {
        format!("{} {unit}", digits(self, unit, places.min(9)))
    }

    /// Formats a value with its tolerance, the unit once: `1-1/8 ±1/64 in`, `.453 ±.001 in`.
    ///
    /// Both are fractions where the tolerance is a fraction of an inch and the value falls on a
    /// 64th, as read off a rule; otherwise both are decimals.
    pub fn show_tolerance(self, tolerance: Length, unit: Unit) -> String {
        let by_rule = unit == Unit::Inch && !tolerance.is_whole(1_000);
        match (by_rule, self.fraction(), tolerance.fraction()) {
            (true, Some(value), Some(tolerance)) => format!("{value} ±{tolerance} in"),
            _ => format!("{} ±{} {unit}", self.decimal(unit), tolerance.decimal(unit)),
        }
    }

    /// Formats a drill's diameter beside its name, without a unit: `.453`, `.3906`, `11.51`.
    ///
    /// Three places of an inch where they come closer than .0002 in to it, otherwise four.
    pub fn drill_equivalent(self, unit: Unit) -> String {
        let three = self.round_to(Unit::Inch, Rounding::Nearest);
        match unit {
            Unit::Inch if (three - self).abs() < DRILL_SLACK => digits(self, unit, INCH_PLACES),
            Unit::Inch => digits(self, unit, INCH_LIMIT_PLACES),
            Unit::Millimeter => self.decimal(unit),
        }
    }

    /// Writes a whole number of 64ths of an inch in lowest terms: `9/16`, `1-1/8`, `2`.
    ///
    /// `None` for any other length.
    pub fn fraction(self) -> Option<String> {
        const SIXTY_FOURTH_NM: i64 = NM_PER_INCH / 64;
        if self.0 % SIXTY_FOURTH_NM != 0 {
            return None;
        }
        let sixty_fourths = (self.0 / SIXTY_FOURTH_NM).unsigned_abs();
        let common = 1 << sixty_fourths.trailing_zeros().min(6);
        let (upper, lower) = (sixty_fourths / common, 64 / common);
        let sign = if self.0 < 0 { "-" } else { "" };
        Some(match (upper / lower, upper % lower) {
            (whole, 0) => format!("{sign}{whole}"),
            (0, part) => format!("{sign}{part}/{lower}"),
            (whole, part) => format!("{sign}{whole}-{part}/{lower}"),
        })
    }

    /// Formats in both units, for text whose reader is not known: `24.49 mm (.964 in)`.
    ///
    /// [`in_unit`] reduces such text to the reader's unit.
    pub fn both(self) -> String {
        let (mm, inch) = (self.show(Unit::Millimeter), self.show(Unit::Inch));
        format!("{mm} ({inch})")
    }

    /// Formats in both units as [`Length::both`] does, with the places of a limit.
    pub fn both_limit(self) -> String {
        let (mm, inch) = (
            self.show_limit(Unit::Millimeter),
            self.show_limit(Unit::Inch),
        );
        format!("{mm} ({inch})")
    }

    /// Formats in both units as [`Length::both`] does, rounded to the safe side.
    pub fn both_rounded(self, rounding: Rounding) -> String {
        let (mm, inch) = (
            self.rounded_number(Unit::Millimeter, rounding),
            self.rounded_number(Unit::Inch, rounding),
        );
        [&mm, " mm (", &inch, " in)"].concat()
    }

    /// Formats in millimeters to the last nanometer (`9.921875 mm`): [`Length::parse`] gives the
    /// same length back.
    pub fn exact(self) -> String {
        format!("{} mm", trim(digits(self, Unit::Millimeter, 6)))
    }

    /// Whether it is a whole number of so many parts of an inch.
    pub(crate) const fn is_whole(self, parts: i64) -> bool {
        self.0 % (NM_PER_INCH / parts) == 0
    }

    fn decimal(self, unit: Unit) -> String {
        let shown = match unit {
            Unit::Inch if self.is_whole(10_000) && !self.is_whole(1_000) => {
                digits(self, unit, INCH_LIMIT_PLACES)
            }
            Unit::Inch => digits(self, unit, INCH_PLACES),
            Unit::Millimeter => trim(digits(self, unit, MM_PLACES)),
        };
        if shown == ".000" {
            return "0".to_owned();
        }
        shown
    }
}

/// Formats a range, its unit once: `.325-.334 in`, `8.25-8.48 mm`.
///
/// Decimals on both sides, since `1-1/16-1-1/8` does not read; one number where both are the same.
pub fn show_range(least: Length, most: Length, unit: Unit) -> String {
    let (low, high) = (least.decimal(unit), most.decimal(unit));
    if low == high {
        format!("{low} {unit}")
    } else if least.is_negative() || most.is_negative() {
        format!("{low} to {high} {unit}")
    } else {
        format!("{low}-{high} {unit}")
    }
}

/// Formats a range of limits, its unit once: `.389-.3987 in`, four decimals of an inch if the fourth
/// is not zero, so that a drill beside it never seems to be outside.
pub fn show_limits(least: Length, most: Length, unit: Unit) -> String {
    let number = |limit: Length| {
        let text = limit.limit_number(unit);
        match unit {
            Unit::Inch => text.strip_suffix('0').map(str::to_owned).unwrap_or(text),
            Unit::Millimeter => trim(text),
        }
    };
    format!("{}-{} {unit}", number(least), number(most))
}

/// Formats a range in both units, as [`Length::both`] does: `8.25-8.48 mm (.325-.334 in)`.
pub fn show_range_both(least: Length, most: Length) -> String {
    let (mm, inch) = [Unit::Millimeter, Unit::Inch]
        .map(|unit| show_range(least, most, unit))
        .into();
    format!("{mm} ({inch})")
}

/// Formats an area: `.0775 sq in` to four decimals, `50.0 mm²` to one.
pub fn show_area(area_mm2: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => {
            let shown = format!("{:.4}", area_mm2 / (25.4 * 25.4));
            format!("{} sq in", shown.strip_prefix('0').unwrap_or(&shown))
        }
        Unit::Millimeter => format!("{area_mm2:.1} mm²"),
    }
}

/// Units that text gives twice, metric first.
const PAIRS: [(&[&str], &[&str]); 4] = [
    (&["mm"], &["in"]),
    (&["kN", "N"], &["lbf"]),
    (&["N·m"], &["ft-lb", "in-lb"]),
    (&["m/min"], &["ft/min"]),
];

/// Reduces `24.49 mm (.964 in)` in a text to the reader's unit; forces and torques likewise.
///
/// All other text stays as it is.
pub fn in_unit(text: &str, unit: Unit) -> String {
    let mut reduced = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(open) = rest.find(" (") {
        let (before, inside) = (&rest[..open], &rest[open + 2..]);
        let Some((inch, after)) = inside.split_once(')') else {
            break;
        };
        match pair(before, inch) {
            Some(start) => {
                reduced.push_str(match unit {
                    Unit::Inch => &before[..start],
                    Unit::Millimeter => before,
                });
                if unit == Unit::Inch {
                    reduced.push_str(inch);
                }
                rest = after;
            }
            None => {
                reduced.push_str(&rest[..open + 2]);
                rest = inside;
            }
        }
    }
    reduced + rest
}

/// Where the metric figure starts at the end of `before`, if `inch` is its counterpart.
fn pair(before: &str, inch: &str) -> Option<usize> {
    let (number, inch_unit) = inch.rsplit_once(' ')?;
    let (_, (metric_units, _)) = PAIRS
        .iter()
        .map(|pair| (pair.1.contains(&inch_unit), pair))
        .find(|(is_it, _)| *is_it)?;
    let (value, metric_unit) = before.rsplit_once(' ')?;
    let start = value.rfind(' ').map_or(0, |space| space + 1);
    let is_number = |text: &str| {
        text.contains(|c: char| c.is_ascii_digit())
            && text
                .chars()
                .all(|c| c.is_ascii_digit() || "±.,/-".contains(c))
    };
    (metric_units.contains(&metric_unit) && is_number(number) && is_number(&value[start..]))
        .then_some(start)
}

/// The number alone, rounded half away from zero; inches without a leading zero.
fn digits(length: Length, unit: Unit, places: usize) -> String {
    let scale = 10_u64.pow(places as u32);
    let num = i128::from(length.nm()) * i128::from(scale);
    let scaled = divide_to_nearest(num, i128::from(unit.nm()));
    let size = scaled.unsigned_abs();
    let (whole, part) = (size / scale, size % scale);
    let mut text = String::with_capacity(16);
    if scaled < 0 {
        text.push('-');
    }
    if places == 0 || whole > 0 || unit == Unit::Millimeter {
        text.push_str(&whole.to_string());
    }
    if places > 0 {
        text.push('.');
    }
    // Digit by digit: judging a hole writes hundreds of numbers.
    let mut place = scale;
    while place > 1 {
        place /= 10;
        text.push(char::from(b'0' + (part / place % 10) as u8));
    }
    text
}

/// Removes trailing zeros behind a decimal point.
fn trim(mut number: String) -> String {
    if number.contains('.') {
        let kept = number.trim_end_matches('0').trim_end_matches('.').len();
        number.truncate(kept);
    }
    number
}
