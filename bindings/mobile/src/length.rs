//! Lengths, exact, and how people write them.

use crate::border::{In, Out, words};
use crate::error::NotebookError;
use crate::guard::guard;
use holebook_core::length as core;

/// A length or a signed distance, in whole nanometres: 25/64 in is exactly 9 921 875 nm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, uniffi::Record)]
pub struct Length {
    /// Nanometres. What goes in may be at most 100 m either way.
    pub nm: i64,
}

impl Out for core::Length {
    type Face = Length;
    fn out(self) -> Length {
        Length { nm: self.nm() }
    }
}

impl In<core::Length> for Length {
    fn inward(self) -> Result<core::Length, NotebookError> {
        if self.nm.unsigned_abs() > core::LARGEST_NM.unsigned_abs() {
            return Err(NotebookError::Unfit {
                reason: format!(
                    "a length of {} nm is more than 100 m; check the number and its unit",
                    self.nm
                ),
            });
        }
        Ok(core::Length::from_nm(self.nm))
    }
}

/// A place on a face, along its two axes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, uniffi::Record)]
pub struct Point {
    /// Along the face's x axis.
    pub x: Length,
    /// Along the face's y axis.
    pub y: Length,
}

impl Out for (core::Length, core::Length) {
    type Face = Point;
    fn out(self) -> Point {
        Point {
            x: self.0.out(),
            y: self.1.out(),
        }
    }
}

impl In<(core::Length, core::Length)> for Point {
    fn inward(self) -> Result<(core::Length, core::Length), NotebookError> {
        Ok((self.x.inward()?, self.y.inward()?))
    }
}

words! {
    /// The unit that a person reads or writes a length in.
    LengthUnit = core::Unit {
        /// Inches.
        Inch,
        /// Millimetres.
        Millimetre,
    }
}

/// Reads a length as people in a shop write it: `25/64`, `1-1/8`, `.390`, `0.39 in`, `9.9 mm`, `15 thou`, `#7`, `U`.
/// `bare` is the unit of a number that says none; without it such a number is refused, since 9 could be either.
///
/// Fails with `Unreadable`, which says what to write instead.
#[uniffi::export(default(bare = None))]
pub fn parse_length(text: String, bare: Option<LengthUnit>) -> Result<Length, NotebookError> {
    guard("parse_length", || {
        let length = core::Length::parse(&text, bare.inward()?)
            .map_err(|error| NotebookError::unreadable("length", text, &error))?;
        Ok(length.out())
    })
}

/// A length from millimetres, to the nearest nanometre.
///
/// Fails with `Unreadable` for NaN, an infinity, or more than 100 m either way.
#[uniffi::export]
pub fn length_from_mm(mm: f64) -> Result<Length, NotebookError> {
    guard("length_from_mm", || {
        let length = core::Length::from_mm(mm)
            .map_err(|error| NotebookError::unreadable("length", mm.to_string(), &error))?;
        Ok(length.out())
    })
}

/// A length for people: three or four places of an inch (`0.390 in`), two of a millimetre (`9.91 mm`).
#[uniffi::export]
pub fn show_length(length: Length, unit: LengthUnit) -> Result<String, NotebookError> {
    guard("show_length", || Ok(length.inward()?.show(unit.inward()?)))
}

/// A length in millimetres to the last nanometre (`9.921875 mm`); [`parse_length`] gives the same length back.
#[uniffi::export]
pub fn exact_length(length: Length) -> Result<String, NotebookError> {
    guard("exact_length", || Ok(length.inward()?.exact()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_fraction_of_an_inch_crosses_exactly_and_comes_back() {
        let length = parse_length("25/64".to_owned(), None).unwrap();
        assert_eq!(length.nm, 9_921_875);
        assert_eq!(
            parse_length(exact_length(length).unwrap(), None).unwrap(),
            length
        );
        assert_eq!(show_length(length, LengthUnit::Inch).unwrap(), "0.3906 in");
    }

    #[test]
    fn what_is_no_length_is_refused_in_a_sentence() {
        let error = parse_length("9".to_owned(), None).unwrap_err();
        assert!(
            matches!(&error, NotebookError::Unreadable { what, asked, .. } if what == "length" && asked == "9")
        );
        assert!(error.sentence().contains("unit"));
        assert!(length_from_mm(f64::NAN).is_err());
        let far = Length { nm: i64::MIN };
        assert!(matches!(
            show_length(far, LengthUnit::Inch),
            Err(NotebookError::Unfit { .. })
        ));
    }
}
