//! What an exchange did, whatever it was with.

use crate::border::{Out, record_out};
use crate::ids::{DeviceId, HoleId};
use holebook_core::exchange as core;

/// A file on the shelf that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ExchangeProblem {
    /// The file, from the shelf's folder.
    pub file: String,
    /// Why not.
    pub why: String,
    /// Both in a sentence that says what to do.
    pub sentence: String,
}

impl Out for core::Problem {
    type Face = ExchangeProblem;
    fn out(self) -> ExchangeProblem {
        let sentence = self.to_string();
        let Self { file, why } = self;
        ExchangeProblem {
            file,
            why,
            sentence,
        }
    }
}

record_out! {
    /// What an exchange did.
    ExchangeReport = core::Report {
        /// Whether the shelf was new, and made.
        made_shelf: bool,
        /// How many entries were taken.
        entries_taken: u32,
        /// How many entries were left.
        entries_left: u32,
        /// How many photos were taken.
        photos_taken: u32,
        /// How many photos were left.
        photos_left: u32,
        /// Photos that entries name and that neither the notebook nor the shelf has, by the SHA-256 of their content.
        photos_missing: Vec<String>,
        /// Holes in which two answers stand since this exchange.
        in_question: Vec<HoleId>,
        /// The identity under which this notebook goes on, where the shelf showed that it was copied or restored.
        went_on_as: Option<DeviceId>,
        /// Files that were not taken; all else was.
        problems: Vec<ExchangeProblem>,
    }
}
