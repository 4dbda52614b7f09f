//! Confidence in a figure.

use serde::{Serialize, Serializer};
use std::fmt;

/// How reliable a figure is, most certain first.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// Read in the document itself.
    Read,
    /// Measured on the insert, or from the sheet that came with it.
    Card,
    /// Seen on a secondary page.
    Secondary,
    /// Computed by a formula.
    Computed,
    /// A judgment.
    Judgment,
    /// From memory, not confirmed.
    Memory,
    /// Inferred from neighboring figures, without a source.
    Inferred,
}

impl Confidence {
    /// All levels.
    pub const ALL: [Confidence; 7] = [
        Confidence::Read,
        Confidence::Card,
        Confidence::Secondary,
        Confidence::Computed,
        Confidence::Judgment,
        Confidence::Memory,
        Confidence::Inferred,
    ];

    /// Returns the key used in files and JSON.
    pub const fn key(self) -> &'static str {
        match self {
            Confidence::Read => "read",
            Confidence::Card => "card",
            Confidence::Secondary => "secondary",
            Confidence::Computed => "computed",
            Confidence::Judgment => "judgment",
            Confidence::Memory => "memory",
            Confidence::Inferred => "inferred",
        }
    }

    /// Finds the level with a key. The older spelling `judgement` is accepted too.
    pub fn from_key(key: &str) -> Option<Confidence> {
        let key = if key == "judgement" { "judgment" } else { key };
        Confidence::ALL
            .into_iter()
            .find(|confidence| confidence.key() == key)
    }

    /// Whether the insert must be measured before cutting.
    pub const fn is_unconfirmed(self) -> bool {
        matches!(self, Confidence::Memory | Confidence::Inferred)
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.key())
    }
}

impl Serialize for Confidence {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.key())
    }
}
