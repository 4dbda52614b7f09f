//! Lengths as whole nanometres, so that inch fractions and millimetres are both exact.
//!
//! One inch is 25 400 000 nm by definition (the international inch of 1959), so 1/64 in is
//! exactly 396 875 nm and 25/64 in exactly 9 921 875 nm.

mod arithmetic;
mod error;
pub mod named;
mod parse;
mod show;
mod wire;

pub use error::LengthError;
pub(crate) use parse::plain_signs;

use serde::{Deserialize, Serialize};

/// Nanometres in one inch.
pub const NM_PER_INCH: i64 = 25_400_000;
/// Nanometres in one millimetre.
pub const NM_PER_MM: i64 = 1_000_000;
/// No length read from a person or a file may be larger than this, either way: 100 m, in nanometres.
pub const LARGEST_NM: i64 = 100_000 * NM_PER_MM;

/// A length, or a signed distance, in whole nanometres.
///
/// What comes from people and files is held to ±100 m. Sums of such lengths cannot overflow; should
/// a sum run off the end all the same, it stays at the end and does not wrap.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// The unit that a person reads or writes a length in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Unit {
    /// Inches.
    #[serde(rename = "in")]
    Inch,
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetre,
}

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0);

    /// From whole nanometres.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }

    /// Whole nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// From millimetres, to the nearest nanometre.
    ///
    /// # Errors
    /// NaN, an infinity, or more than 100 m either way.
    pub fn from_mm(mm: f64) -> Result<Length, LengthError> {
        Self::from_f64(mm, NM_PER_MM)
    }

    /// In millimetres. `Length::from_mm` gives the very same length back.
    pub fn mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM as f64
    }

    /// From inches, to the nearest nanometre.
    ///
    /// # Errors
    /// NaN, an infinity, or more than 100 m either way.
    pub fn from_inches(inches: f64) -> Result<Length, LengthError> {
        Self::from_f64(inches, NM_PER_INCH)
    }

    /// In inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / NM_PER_INCH as f64
    }

    /// `num`/`den` of an inch: exact where the nanometre allows it (all of 1/64 in, all of
    /// 0.0001 in), otherwise the nearest nanometre.
    ///
    /// For fractions that stand in the source; a fraction that a person wrote goes through
    /// [`Length::parse`].
    ///
    /// # Panics
    /// When `den` is not positive.
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

    /// A length worked out from lengths that were checked before, to the nearest nanometre.
    ///
    /// For the inside of this crate, where the result is known to be a number.
    pub(crate) fn computed_mm(mm: f64) -> Length {
        debug_assert!(mm.is_finite(), "a computed length must be a number");
        Length((mm * NM_PER_MM as f64).round() as i64)
    }

    /// Reads a length as people in a shop write it.
    ///
    /// Fractions are inches (`25/64`, `1-1/8`, `1 1/8 in`), and so is a decimal without a leading
    /// zero (`.390`: ASME Y14.5 writes inches so). `#7`, `No. 7` and `U` are drills and mean their
    /// diameters. `0.39 in`, `0.39"`, `9.9 mm`, `9,9 mm` and `15 thou` say their unit. `bare` is the
    /// unit of a number that says none; with `None` such a number is refused, since 9 could be either.
    ///
    /// # Errors
    /// One sentence that says what was written and what to write instead.
    pub fn parse(text: &str, bare: Option<Unit>) -> Result<Length, LengthError> {
        parse::parse(text, bare)
    }

    /// For people: three places of an inch, four where the fourth is not zero (`0.390 in`,
    /// `0.3906 in`); two places of a millimetre, without trailing zeros (`9.91 mm`, `12 mm`).
    pub fn show(self, unit: Unit) -> String {
        show::show(self, unit)
    }

    /// With a chosen number of decimal places (at most 9), as a table of limits wants it.
    pub fn show_places(self, unit: Unit, places: usize) -> String {
        show::places(self, unit, places)
    }

    /// In both units, for a sentence whose reader may work in either: `24.49 mm (0.9642 in)`.
    pub fn both(self) -> String {
        format!(
            "{} ({})",
            self.show(Unit::Millimetre),
            self.show(Unit::Inch)
        )
    }

    /// In millimetres to the last nanometre (`9.921875 mm`): [`Length::parse`] gives the same
    /// length back.
    pub fn exact(self) -> String {
        show::exact(self)
    }

    fn from_f64(value: f64, nm_per_unit: i64) -> Result<Length, LengthError> {
        if !value.is_finite() {
            return Err(LengthError::NotANumber);
        }
        let nm = (value * nm_per_unit as f64).round();
        if nm.abs() > LARGEST_NM as f64 {
            return Err(LengthError::TooLarge {
                asked: format!("{value}"),
            });
        }
        Ok(Length(nm as i64))
    }
}

#[cfg(test)]
mod tests;
