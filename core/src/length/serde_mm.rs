//! Lengths in JSON: a number of millimeters, exact to the nanometer.

use super::Length;
use serde::de::{self, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

impl Serialize for Length {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.mm())
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Length, D::Error> {
        deserializer.deserialize_f64(Millimeters)
    }
}

struct Millimeters;

impl Visitor<'_> for Millimeters {
    type Value = Length;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a length as a number of millimeters, such as 9.9")
    }

    fn visit_f64<E: de::Error>(self, mm: f64) -> Result<Length, E> {
        Length::from_mm(mm).map_err(E::custom)
    }

    fn visit_i64<E: de::Error>(self, mm: i64) -> Result<Length, E> {
        self.visit_f64(mm as f64)
    }

    fn visit_u64<E: de::Error>(self, mm: u64) -> Result<Length, E> {
        self.visit_f64(mm as f64)
    }
}
