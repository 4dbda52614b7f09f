//! What is under way in the background, and what came of it.

use chrono::{DateTime, FixedOffset};
use holebook_core::exchange::{Progress, Report};
use std::path::PathBuf;

/// What was begun together, one leg after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// Its parts.
    pub legs: Vec<Leg>,
    /// When the last leg ended; none while it is under way.
    pub ended: Option<DateTime<FixedOffset>>,
}

impl Run {
    /// Whether it goes on.
    #[must_use]
    pub fn is_under_way(&self) -> bool {
        self.ended.is_none()
    }

    /// The bundle that it wrote, if it wrote one.
    #[must_use]
    pub fn bundle(&self) -> Option<&BundleFile> {
        self.legs.iter().find_map(|leg| match &leg.state {
            LegState::Done(Done::Written(file)) => Some(file),
            _ => None,
        })
    }
}

/// One part of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leg {
    /// What it does.
    pub way: Way,
    /// What to call the shelf or the bundle in a sentence, without an article at its start.
    pub name: String,
    /// How far it is.
    pub state: LegState,
}

/// What a leg does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Exchanges with a shelf.
    Exchange,
    /// Takes in a bundle.
    TakeBundle,
    /// Writes a bundle.
    WriteBundle,
}

/// How far a leg is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LegState {
    /// Others come first.
    Waiting,
    /// It goes on; how far it is, as soon as that is known.
    UnderWay(Option<Progress>),
    /// It ended well.
    Done(Done),
    /// It ended early, with the sentence that says why.
    Failed(String),
}

/// What came of a leg.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Done {
    /// What an exchange moved, or what was taken from a bundle.
    Moved(Report),
    /// A bundle was written.
    Written(BundleFile),
}

/// A bundle that was written, and waits to be fetched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundleFile {
    /// Where it lies.
    pub path: PathBuf,
    /// What it is to be called where it goes.
    pub name: String,
    /// Its size.
    pub bytes: u64,
    /// How many entries it holds.
    pub entries: u64,
    /// How many photos it holds.
    pub photos: u64,
}
