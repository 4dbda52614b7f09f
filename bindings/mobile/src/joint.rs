//! The finished joint of a remedy: what fails first, and which length of bolt it takes.

use crate::border::{Out, record_out, words};
use crate::length::Length;
use holebook_core::strength as core;
use holebook_core::strength::bolt;

words! {
    /// What can fail.
    Part = core::Part {
        /// The bolt breaks in its thread.
        Bolt,
        /// The bolt's thread strips.
        BoltThread,
        /// The thread in the parent metal strips.
        ParentThread,
        /// The same, by the area that is published for the insert.
        ParentThreadPublished,
    }
}

record_out! {
    /// What one part holds.
    Load = core::Load {
        /// The part.
        part: Part,
        /// Load at which it fails, newtons.
        load_n: f64,
        /// How it was worked out.
        from: String,
    }
}

record_out! {
    /// Length of engagement at which the bolt breaks before a thread strips, by two standards, in mm.
    Engagements = core::Engagements {
        /// By FED-STD-H28/2B.
        h28_mm: f64,
        /// By which of its formulas.
        h28_formula: String,
        /// By ISO/TR 16224. None where it gives none.
        iso16224_mm: Option<f64>,
        /// Why it gives none, or what to know of the number.
        iso16224_note: String,
    }
}

record_out! {
    /// All loads, the weakest first.
    Comparison = core::Comparison {
        /// What is known to hold how much.
        loads: Vec<Load>,
        /// What fails first. None where not all of it is known.
        weakest: Option<Part>,
        /// How much thread the bolt wants. None where its grade is not known.
        engagement: Option<Engagements>,
        /// What is not known and why, in sentences.
        lacks: Vec<String>,
    }
}

/// Which bolt reaches and does not bottom. Lengths are under the head.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct BoltReach {
    /// The bolt's thread.
    pub thread: String,
    /// Thickness bolted on.
    pub grip: Length,
    /// Shortest that engages all the thread it shall.
    pub least: Length,
    /// Longest that does not bottom. None where the hole goes through or a reading is missing.
    pub most: Option<Length>,
    /// Shortest length that is sold and does both.
    pub shortest: Option<Length>,
    /// The shortest as the trade writes it.
    pub name: Option<String>,
    /// Longest that is sold and does both.
    pub longest: Option<Length>,
    /// What to do where none does both, or what to look at, in a sentence.
    pub advice: Option<String>,
    /// Whether the shortest must be threaded to its head.
    pub threaded_to_head: bool,
    /// Where the lengths come from.
    pub source: String,
}

impl Out for bolt::Reach {
    type Face = BoltReach;
    fn out(self) -> BoltReach {
        let Self {
            thread,
            grip,
            least,
            most,
            shortest,
            name,
            longest,
            advice,
            threaded_to_head,
            source,
        } = self;
        BoltReach {
            thread: thread.designation(),
            grip: grip.out(),
            least: least.out(),
            most: most.out(),
            shortest: shortest.out(),
            name,
            longest: longest.out(),
            advice: advice.map(|advice| advice.to_string()),
            threaded_to_head,
            source: source.to_owned(),
        }
    }
}
