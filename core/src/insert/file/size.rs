//! A length as a file writes it: a bare number in the file's unit, or a text that may carry its own.

use crate::length::{Length, LengthError, Unit};
use serde::Deserialize;

#[derive(Clone, Debug, Deserialize)]
#[serde(
    untagged,
    expecting = "a length is a number such as 0.437, or a text such as \"11.1 mm\" or \"7/16\""
)]
pub(super) enum Size {
    Number(f64),
    Text(String),
}

impl Size {
    /// The length, where bare numbers have this unit.
    pub fn length(&self, bare: Option<Unit>) -> Result<Length, LengthError> {
        match (self, bare) {
            (Size::Text(text), bare) => Length::parse(text, bare),
            (Size::Number(number), Some(Unit::Inch)) => Length::from_inches(*number),
            (Size::Number(number), Some(Unit::Millimetre)) => Length::from_mm(*number),
            (Size::Number(number), None) => Length::parse(&number.to_string(), None),
        }
    }
}
