//! A length in a file: a plain number in the file's unit, or a text that may have its own.

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
    /// Converts to a length; plain numbers are in `default_unit`.
    pub fn length(&self, default_unit: Option<Unit>) -> Result<Length, LengthError> {
        match (self, default_unit) {
            (Size::Text(text), _) => Length::parse(text, default_unit),
            (Size::Number(number), Some(Unit::Inch)) => Length::from_inches(*number),
            (Size::Number(number), Some(Unit::Millimeter)) => Length::from_mm(*number),
            (Size::Number(number), None) => Length::parse(&number.to_string(), None),
        }
    }
}
