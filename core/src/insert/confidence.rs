//! How sure a figure is.

use serde::{Serialize, Serializer};
use std::fmt;

/// Where a figure stands, from surest to least sure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Confidence {
    /// Read in the document itself.
    Read,
    /// Read off the insert in hand or the card that came with it.
    Card,
    /// Seen on a secondary page.
    Secondary,
    /// Worked out by a formula.
    Computed,
    /// A judgement.
    Judgement,
    /// Remembered, and not confirmed.
    Memory,
    /// Inferred from figures beside it, and read nowhere.
    Inferred,
}

impl Confidence {
    /// All of them.
    pub const ALL: [Confidence; 7] = [
        Confidence::Read,
        Confidence::Card,
        Confidence::Secondary,
        Confidence::Computed,
        Confidence::Judgement,
        Confidence::Memory,
        Confidence::Inferred,
    ];

    /// The word for it in files and answers.
    pub const fn word(self) -> &'static str {
        match self {
            Confidence::Read => "read",
            Confidence::Card => "card",
            Confidence::Secondary => "secondary",
            Confidence::Computed => "computed",
            Confidence::Judgement => "judgement",
            Confidence::Memory => "memory",
            Confidence::Inferred => "inferred",
        }
    }

    /// The one that a word stands for.
    pub fn from_word(word: &str) -> Option<Confidence> {
        Confidence::ALL
            .into_iter()
            .find(|confidence| confidence.word() == word)
    }

    /// Whether the insert must be measured before anything is cut for it.
    pub const fn is_unconfirmed(self) -> bool {
        matches!(self, Confidence::Memory | Confidence::Inferred)
    }
}

impl fmt::Display for Confidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl Serialize for Confidence {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}
