//! Insert files: the built-in ones, and those that a shop writes from makers' sheets. Both use the
//! same parser.
//!
//! The files are TOML: a plain editor is enough, comments can give the sources of single figures,
//! and errors name the line.
//!
//! ```toml
//! unit = "in"                       # of plain numbers; a text such as "11.1 mm" has its own
//!
//! [common]                          # defaults for every insert in the file
//! family = "key-locking insert, thin wall"
//! source = "card in the box"
//!
//! [[insert]]
//! internal = ["5/16-18", "5/16-24"] # threads for the bolt
//! outside = "7/16-14"               # thread in the parent metal
//! length = 0.437
//! hole = [0.396, 0.401]             # before tapping
//! drill = "X"                       # optional: the one nearest the middle of the hole's limits
//! countersink = [0.447, 0.457]      # optional
//! full_thread = 0.500               # least depth; optional
//! set_below = [0.010, 0.030]
//! keys = 4                          # optional: none
//! shear_area_in2 = 0.2321           # or shear_area_mm2; optional
//! confidence = "card"               # read, card, secondary, memory, computed, inferred or judgment
//!
//! [[wire_drill]]                    # a drill for wire thread inserts, whose hole follows from the thread
//! thread = "3/8-16"
//! drill = "X"
//! source = "card in the box"
//! ```

mod error;
mod position;
mod raw;
mod size;
mod validate;

pub use error::{FileError, FileProblem};

use super::confidence::Confidence;
use super::wire_drill::WireDrill;
use super::{Countersink, Family};
use crate::drill::Drill;
use crate::length::Length;
use crate::thread::Thread;

/// Largest file accepted: 256 KiB. A shop's list of inserts is a page or two.
pub const MAX_FILE_BYTES: usize = 256 << 10;

/// Most rows that a file may have.
pub const MAX_ROWS: usize = 2000;

/// A validated insert file.
#[derive(Clone, Debug, PartialEq)]
pub struct InsertFile {
    /// File name.
    pub name: String,
    pub(super) rows: Vec<Row>,
    pub(super) wire_drills: Vec<WireDrill>,
}

/// An insert row, valid for each of its internal threads.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// Line in the file, from 1.
    pub line: usize,
    pub family: Family,
    pub internal: Vec<Thread>,
    pub outside: Thread,
    pub length: Length,
    pub hole: (Length, Length),
    pub drill: Drill,
    /// Whether the file omits the drill and it was chosen here.
    pub drill_chosen: bool,
    pub countersink: Option<Countersink>,
    /// Least depth of full thread; `None` if the file omits it.
    pub full_thread: Option<Length>,
    pub set_below: (Length, Length),
    pub keys: u8,
    pub shear_area_mm2: Option<f64>,
    pub source: String,
    pub confidence: Confidence,
    pub notes: Vec<String>,
}

impl InsertFile {
    /// Parses and validates a file. `name` identifies it in error messages.
    ///
    /// # Errors
    /// For the first problem, with its line and what to do.
    pub fn parse(name: &str, text: &str) -> Result<InsertFile, FileError> {
        if text.len() > MAX_FILE_BYTES {
            let problem = FileProblem::TooLarge { bytes: text.len() };
            return Err(FileError::new(name, 1, problem));
        }
        let at = |(span, problem): position::Located<FileProblem>| {
            FileError::new(name, position::line_number(text, span.start), problem)
        };
        let raw = raw::parse(text).map_err(at)?;
        validate::validate(name, text, raw).map_err(at)
    }

    /// Returns the number of rows, inserts and drills.
    pub fn len(&self) -> usize {
        self.rows.len() + self.wire_drills.len()
    }

    /// Whether it has no rows; a parsed file always has some.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

#[cfg(test)]
mod tests;
