//! Lengths as whole nanometers, so that inch fractions and millimeters are both exact.
//!
//! One inch is 25 400 000 nm by definition (the international inch of 1959), so 1/64 in is
//! exactly 396 875 nm and 25/64 in exactly 9 921 875 nm.

mod arithmetic;
mod error;
mod format;
pub mod named_drills;
mod parse;
mod serde_mm;

pub use error::LengthError;
pub use format::{Rounding, in_unit, show_area, show_limits, show_range, show_range_both};
pub(crate) use parse::normalize_signs;

use serde::{Deserialize, Serialize};

/// Nanometers in one inch.
pub const NM_PER_INCH: i64 = 25_400_000;
/// Nanometers in one millimeter.
pub const NM_PER_MM: i64 = 1_000_000;
/// Largest length accepted from a person or file, either way, in nanometers: 100 m.
pub const MAX_NM: i64 = 100_000 * NM_PER_MM;

/// A length, or a signed distance, in whole nanometers.
///
/// Input from people and files is limited to ±100 m. Arithmetic saturates and never wraps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// The unit that a person reads and writes lengths in.
#[derive(
    holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize,
)]
pub enum Unit {
    /// Inches.
    #[serde(rename = "in")]
    Inch,
    /// Millimeters.
    #[serde(rename = "mm")]
    Millimeter,
}

impl Length {
    /// Zero length.
    pub const ZERO: Length = Length(0);

    /// Creates a length from whole nanometers.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// Returns the length in whole nanometers.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Creates a length from millimeters, to the nearest nanometer.
    ///
    /// # Errors
    /// For NaN, an infinity, or more than 100 m either way.
    pub fn from_mm(mm: f64) -> Result<Length, LengthError> {
        Self::from_f64(mm, NM_PER_MM)
    }

    /// Returns the length in millimeters. [`Length::from_mm`] gives the same length back.
    pub fn mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }

    /// Creates a length from inches, to the nearest nanometer.
    ///
    /// # Errors
    /// For NaN, an infinity, or more than 100 m either way.
    pub fn from_inches(inches: f64) -> Result<Length, LengthError> {
        Self::from_f64(inches, NM_PER_INCH)
    }

    /// Returns the length in inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / NM_PER_INCH as f64
    }

    /// Creates `num`/`den` of an inch, to the nearest nanometer; 64ths and ten-thousandths are
    /// exact.
    ///
    /// For constants in code; use [`Length::parse`] for what a person wrote.
    ///
    /// # Panics
    /// If `den` is not positive.
    pub const fn from_fraction(num: i64, den: i64) -> Length {
        assert!(
            den > 0,
            "a fraction of an inch needs a denominator above zero"
        );
        Length(arithmetic::divide_to_nearest(
            num as i128 * NM_PER_INCH as i128,
            den as i128,
        ))
    }

    /// Creates a length from millimeters computed from valid lengths, to the nearest nanometer.
    ///
    /// Unlike [`Length::from_mm`] it checks nothing; the result must be finite.
    pub(crate) fn from_computed_mm(mm: f64) -> Length {
        debug_assert!(mm.is_finite(), "a computed length must be a number");
        Length((mm * NM_PER_MM as f64).round() as i64)
    }

    /// Parses a length as people in a shop write it.
    ///
    /// Fractions are inches (`25/64`, `1-1/8`, `1 1/8 in`), and so is a decimal without a leading
    /// zero (`.390`, as ASME Y14.5 writes inches). `.390 in`, `0.39"`, `9.9 mm`, `9,9 mm` and `15
    /// thou` name their unit. A number without a unit is in `default_unit`; with `None` it is
    /// refused, since 9 could be either.
    ///
    /// # Errors
    /// If the text is not a length, is ambiguous, is beyond ±100 m, or names a drill: a stray letter
    /// is not a depth.
    pub fn parse(text: &str, default_unit: Option<Unit>) -> Result<Length, LengthError> {
        parse::parse(text, default_unit)
    }

    /// Parses a diameter: a length, or a drill that has it (`#7`, `No. 7`, `U`).
    ///
    /// # Errors
    /// As for [`Length::parse`], and if there is no such drill.
    pub fn parse_diameter(text: &str, default_unit: Option<Unit>) -> Result<Length, LengthError> {
        parse::parse_diameter(text, default_unit)
    }

    fn from_f64(value: f64, nm_per_unit: i64) -> Result<Length, LengthError> {
        if !value.is_finite() {
            return Err(LengthError::NotANumber);
        }
        let nm = (value * nm_per_unit as f64).round();
        if nm.abs() > MAX_NM as f64 {
            // In full, a large number has hundreds of digits.
            return Err(LengthError::TooLarge {
                input: format!("{value:e}"),
            });
        }
        Ok(Length(nm as i64))
    }
}

#[cfg(test)]
mod tests;
