//! Lengths, and how people write them.

use crate::error::NotebookError;
use crate::guard::guard;
use crate::lend::lend;
use holebook_core::length::{Length, Unit};

lend! {
    holebook_core::length {
        Rounding,
        Unit as LengthUnit,
    }
}

/// Reads a length as people in a shop write it: `25/64`, `1-1/8`, `.390`, `0.39 in`, `9.9 mm`, `15
/// thou`. `bare` is the unit of a number that says none; without it such a number is refused, since
/// 9 could be either.
///
/// Fails with `Unreadable`, which says what to write instead.
#[uniffi::export(default(bare = None))]
pub fn parse_length(text: String, bare: Option<Unit>) -> Result<Length, NotebookError> {
    guard("parse_length", || {
        Length::parse(&text, bare)
            .map_err(|error| NotebookError::unreadable("length", text, &error))
    })
}

/// Reads a diameter: a length as above, or a drill that has it, such as `#7` or `U`.
///
/// Fails with `Unreadable`, which says what to write instead.
#[uniffi::export(default(bare = None))]
pub fn parse_diameter(text: String, bare: Option<Unit>) -> Result<Length, NotebookError> {
    guard("parse_diameter", || {
        Length::parse_diameter(&text, bare)
            .map_err(|error| NotebookError::unreadable("diameter", text, &error))
    })
}

/// A length from millimeters, to the nearest nanometer.
///
/// Fails with `Unreadable` for NaN, an infinity, or more than 100 m either way.
#[uniffi::export]
pub fn length_from_mm(mm: f64) -> Result<Length, NotebookError> {
    guard("length_from_mm", || {
        Length::from_mm(mm)
            .map_err(|error| NotebookError::unreadable("length", mm.to_string(), &error))
    })
}

/// A length for people: `.390 in`, `9/16 in`, `9.91 mm`.
#[uniffi::export]
pub fn show_length(length: Length, unit: Unit) -> Result<String, NotebookError> {
    guard("show_length", || Ok(length.show(unit)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_fraction_of_an_inch_is_exact() {
        let length = parse_length("25/64".to_owned(), None).unwrap();
        assert_eq!(length.nm(), 9_921_875);
    }

    #[test]
    fn a_drill_is_a_diameter_and_no_other_length() {
        assert_eq!(
            parse_diameter("#7".to_owned(), None).unwrap().nm(),
            5_105_400
        );
        assert!(parse_length("#7".to_owned(), None).is_err());
    }

    #[test]
    fn what_is_no_length_is_refused_in_a_sentence() {
        let error = parse_length("9".to_owned(), None).unwrap_err();
        assert!(
            matches!(&error, NotebookError::Unreadable { what, asked, .. } if what == "length" && asked == "9")
        );
        assert!(error.to_string().contains("unit"));
        assert!(length_from_mm(f64::NAN).is_err());
    }
}
