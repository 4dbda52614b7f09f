//! The holes that the fit rests on: those graded sound, or those that the address names.

use crate::carrier::Request;
use crate::form_names::Field;
use std::collections::BTreeSet;

/// The choice of good holes.
pub struct Good(Option<BTreeSet<u32>>);

impl Good {
    /// Reads the choice of an address.
    pub fn of(request: &Request) -> Self {
        let name = Field::Good.name();
        let named = request.query.iter().filter(|(key, _)| *key == name);
        let numbers = named.flat_map(|(_, value)| value.split([',', ' ']));
        let numbers: BTreeSet<u32> = numbers.filter_map(|word| word.parse().ok()).collect();
        Self((!numbers.is_empty()).then_some(numbers))
    }

    /// The holes; `None`: the usual ones.
    pub fn chosen(&self) -> Option<&BTreeSet<u32>> {
        self.0.as_ref()
    }

    /// The choice as the query of another address, after its question mark; empty if there is none.
    pub fn query(&self) -> String {
        let Some(chosen) = &self.0 else {
            return String::new();
        };
        let numbers: Vec<String> = chosen.iter().map(u32::to_string).collect();
        format!("{}={}", Field::Good.name(), numbers.join(","))
    }
}
