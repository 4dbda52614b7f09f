//! Writing lengths for people.

use super::arithmetic::divide_to_nearest;
use super::{Length, NM_PER_INCH, NM_PER_MM, Unit};
use std::fmt;

impl Unit {
    /// How the unit is written behind a number: `in` or `mm`.
    pub const fn symbol(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Millimetre => "mm",
        }
    }

    const fn nm(self) -> i64 {
        match self {
            Unit::Inch => NM_PER_INCH,
            Unit::Millimetre => NM_PER_MM,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// The exact form, in millimetres.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&exact(*self))
    }
}

pub(super) fn show(length: Length, unit: Unit) -> String {
    let (most, least) = match unit {
        Unit::Inch => (4, 3),
        Unit::Millimetre => (2, 0),
    };
    format!("{} {unit}", trim(digits(length, unit, most), least))
}

pub(super) fn places(length: Length, unit: Unit, places: usize) -> String {
    format!("{} {unit}", digits(length, unit, places.min(9)))
}

pub(super) fn exact(length: Length) -> String {
    format!("{} mm", trim(digits(length, Unit::Millimetre, 6), 0))
}

/// The number alone, rounded half away from zero; whole-number arithmetic, so no digit is a guess.
fn digits(length: Length, unit: Unit, places: usize) -> String {
    let scale = 10_i128.pow(places as u32);
    let scaled = divide_to_nearest(i128::from(length.nm()) * scale, i128::from(unit.nm()));
    let size = i128::from(scaled).abs();
    let sign = if scaled < 0 { "-" } else { "" };
    if places == 0 {
        return format!("{sign}{size}");
    }
    format!("{sign}{}.{:0places$}", size / scale, size % scale)
}

/// Takes trailing zeros away, down to `least` decimal places.
fn trim(number: String, least: usize) -> String {
    let Some(point) = number.find('.') else {
        return number;
    };
    let mut end = number.len();
    while end > point + 1 + least && number.as_bytes()[end - 1] == b'0' {
        end -= 1;
    }
    number[..end].trim_end_matches('.').to_owned()
}
