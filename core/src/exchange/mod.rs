//! Exchange: bring notebooks together over a shelf, without a server, a lock or a clock.
//!
//! A shelf is a folder (on a stick, or shared in the shop):
//! ```text
//! journal/<device>/<first-seq>.jsonl    lines of one device's journal, from that sequence number on
//! photos/<hash>                         a photo, named by its content
//! ```
//! Each device writes only under its own name, and no file is changed once it is there; so nothing needs a lock. An
//! exchange takes what the notebook lacks and leaves what the shelf lacks: first photos, then the lines that name them.
//! A file gets its name once it is whole. What is read is checked line by line against its chain before any of it
//! reaches the journal, and a file is taken whole or not at all.
//!
//! Where a notebook was copied and both copies went on, two lines of the same device exist. The second file from a
//! number that the shelf has already is called `<first-seq>-<start of the first line's hash>.jsonl`.

mod error;
mod leave;
mod plan;
mod segment;
mod shelf;
mod take;

pub use error::ExchangeError;
pub use segment::SegmentError;

use crate::notebook::{DeviceId, Notebook};
use crate::photo::PhotoHash;
use serde::Serialize;
use shelf::Shelf;
use std::fmt;
use std::path::Path;

/// What an exchange did.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Report {
    /// Whether the shelf was new, and made.
    pub made_shelf: bool,
    /// How many entries were taken.
    pub entries_taken: usize,
    /// How many entries were left.
    pub entries_left: usize,
    /// How many photos were taken.
    pub photos_taken: usize,
    /// How many photos were left.
    pub photos_left: usize,
    /// Photos that entries name and that neither the notebook nor the shelf has.
    pub photos_missing: Vec<PhotoHash>,
    /// The identity under which this notebook goes on, where the shelf showed that it was copied or restored.
    pub went_on_as: Option<DeviceId>,
    /// Files that were not taken; all else was.
    pub problems: Vec<Problem>,
}

/// A file on the shelf that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The file, from the shelf's folder.
    pub file: String,
    /// Why not.
    pub why: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, why } = self;
        write!(
            f,
            "{file} on the shelf was not taken because {why}; exchange again from the device that left it"
        )
    }
}

/// Exchanges with the shelf in the folder `shelf`: takes what the notebook lacks, leaves what the shelf lacks. The
/// folder is made where only its last part is missing. Blocks until all is on both disks.
///
/// # Errors
/// Where the shelf cannot be reached, read or written, or the notebook cannot be written. What was taken by then stays.
pub fn exchange(notebook: &Notebook, shelf: &Path) -> Result<Report, ExchangeError> {
    let mut report = Report::default();
    let shelf = Shelf::open(shelf, &mut report.made_shelf)?;
    let mut survey = shelf.survey()?;
    take::take(notebook, &shelf, &mut survey, &mut report)?;
    leave::leave(notebook, &shelf, &survey, &mut report)?;
    Ok(report)
}

#[cfg(test)]
mod tests;
