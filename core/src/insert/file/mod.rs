//! Files of inserts: those compiled in, and those that a shop writes from the cards in its drawer. One reader takes both.
//!
//! The files are TOML: a person can write it with a plain editor, comments carry the sources of single figures, and its parser
//! says on which line something stands.
//!
//! ```toml
//! unit = "in"                       # for bare numbers; a text such as "11.1 mm" carries its own
//!
//! [common]                          # what every insert of the file shares; each may say otherwise
//! family = "key-locking insert, thin wall"
//! source = "card in the box"
//!
//! [[insert]]
//! internal = ["5/16-18", "5/16-24"] # threads that it gives the bolt
//! outside = "7/16-14"               # thread that it holds by
//! length = 0.437
//! hole = [0.396, 0.401]             # before tapping
//! drill = "X"                       # may be left out: the one nearest the middle of the hole's limits
//! countersink = [0.447, 0.457]      # may be left out
//! full_thread = 0.500               # least depth; may be left out
//! set_below = [0.010, 0.030]
//! keys = 4                          # may be left out: none
//! shear_area_in2 = 0.2321           # or shear_area_mm2; may be left out
//! confidence = "card"               # how sure: read, card, secondary, memory, computed, inferred, judgement
//!
//! [[wire_drill]]                    # a drill for the tapped hole of wire thread inserts, which itself follows from the thread
//! thread = "3/8-16"
//! drill = "X"
//! source = "card in the box"
//! ```

mod check;
mod error;
mod place;
mod raw;
mod size;

pub use error::{FileError, FileFault};

use super::confidence::Confidence;
use super::{Countersink, Family};
use crate::drill::Drill;
use crate::length::Length;
use crate::thread::Thread;

/// The largest file that is read: 256 KiB. A drawer of inserts is a page or two.
pub const LARGEST_FILE: usize = 256 << 10;

/// The most rows that a file may have.
pub const MOST_ROWS: usize = 2000;

/// What one file says, every row of it checked.
#[derive(Clone, Debug, PartialEq)]
pub struct InsertFile {
    /// What the file is called.
    pub name: String,
    pub(super) rows: Vec<Row>,
    pub(super) wire_drills: Vec<WireDrill>,
}

/// One insert of a file, for each of its internal threads.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// Where it stands in the file, from 1.
    pub line: usize,
    pub family: Family,
    pub internal: Vec<Thread>,
    pub outside: Thread,
    pub length: Length,
    pub hole: (Length, Length),
    pub drill: Drill,
    /// The file leaves the drill out, and it was chosen here.
    pub drill_chosen: bool,
    pub countersink: Option<Countersink>,
    /// As the file gives it; none where it leaves it out.
    pub full_thread: Option<Length>,
    pub set_below: (Length, Length),
    pub keys: u8,
    pub shear_area_mm2: Option<f64>,
    pub source: String,
    pub confidence: Confidence,
    pub notes: Vec<String>,
}

/// A drill for the tapped hole of a wire thread insert.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WireDrill {
    pub line: usize,
    pub thread: Thread,
    pub drill: Drill,
    pub source: String,
    pub confidence: Confidence,
}

impl InsertFile {
    /// Reads and checks a file. `name` is what it is called in messages.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line and what to do.
    pub fn read(name: &str, text: &str) -> Result<InsertFile, FileError> {
        if text.len() > LARGEST_FILE {
            let fault = FileFault::TooLarge { bytes: text.len() };
            return Err(FileError::new(name, 1, fault));
        }
        let at = |(span, fault): place::At<FileFault>| {
            FileError::new(name, place::line(text, span.start), fault)
        };
        let raw = raw::read(text).map_err(at)?;
        check::file(name, text, raw).map_err(at)
    }

    /// How many inserts and drills it names.
    pub fn len(&self) -> usize {
        self.rows.len() + self.wire_drills.len()
    }

    /// Whether it names none; a file that was read never does.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

#[cfg(test)]
mod tests;
