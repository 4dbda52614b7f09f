//! What can be wrong with a file of inserts: which file, which line, and why, in one sentence.

use super::{LARGEST_FILE, MOST_ROWS};
use crate::drill::DrillError;
use crate::insert::FamilyError;
use crate::length::{Length, LengthError};
use crate::thread::ThreadError;

/// Why a file of inserts was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("`{file}`, line {line}: {fault}")]
pub struct FileError {
    /// What the file is called.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// What is wrong there.
    #[source]
    pub fault: Box<FileFault>,
}

impl FileError {
    pub(super) fn new(file: &str, line: usize, fault: FileFault) -> FileError {
        FileError {
            file: file.to_owned(),
            line,
            fault: Box::new(fault),
        }
    }
}

/// What is wrong on a line.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FileFault {
    /// More than a drawer holds.
    #[error("the file has {bytes} bytes, and at most {LARGEST_FILE} are read; split it")]
    TooLarge {
        /// Its size.
        bytes: usize,
    },
    /// More rows than a drawer holds.
    #[error("the file has {rows} rows, and at most {MOST_ROWS} are read; split it")]
    TooManyRows {
        /// How many.
        rows: usize,
    },
    /// Nothing in it.
    #[error("the file names no insert and no drill; write an [[insert]] for each")]
    Empty,
    /// Not TOML, a name that is not known, or a value of the wrong kind.
    #[error("{message}; correct it there")]
    Shape {
        /// What the parser says.
        message: String,
    },
    /// A figure that every insert needs.
    #[error("`{field}` is missing; write it in the [[insert]], or in [common] where all share it")]
    Missing {
        /// Which.
        field: &'static str,
    },
    /// Not a length.
    #[error("`{field}`: {error}")]
    Length {
        /// Which figure.
        field: &'static str,
        /// Why.
        error: LengthError,
    },
    /// A bare number in a file without a unit.
    #[error(
        "`{field}` is a bare number, and the file names no unit; write unit = \"in\" or unit = \"mm\" at its head"
    )]
    NoUnit {
        /// Which figure.
        field: &'static str,
    },
    /// Not a thread.
    #[error("`{field}`: {error}")]
    Thread {
        /// Internal or outside.
        field: &'static str,
        /// Why.
        error: ThreadError,
    },
    /// Not a drill.
    #[error(transparent)]
    Drill(#[from] DrillError),
    /// Not a kind of insert.
    #[error(transparent)]
    Family(#[from] FamilyError),
    /// The hole of a wire thread insert follows from its thread.
    #[error(
        "the hole of a {family} follows from its thread, so only a [[wire_drill]] can be written for it"
    )]
    ByFormula {
        /// The kind.
        family: crate::insert::Family,
    },
    /// Not a word for how sure a figure is.
    #[error(
        "`{asked}` does not say how sure the figures are; write read, card, secondary, memory, computed, inferred or judgement"
    )]
    Confidence {
        /// What was written.
        asked: String,
    },
    /// No internal thread, or one twice.
    #[error("`internal` must name at least one thread, and each only once")]
    Internal,
    /// Zero, less, or beyond anything that is made.
    #[error("`{field}` is {}; it must be more than 0 and at most {}", value.both(), most.both())]
    OutOfRange {
        /// Which figure.
        field: &'static str,
        /// Its value.
        value: Length,
        /// The most it may be.
        most: Length,
    },
    /// Two limits the wrong way round.
    #[error(
        "`{field}` runs from {} to {}; write the smaller first, and 0 or more",
        min.both(),
        max.both()
    )]
    Backwards {
        /// Which figure.
        field: &'static str,
        /// The first.
        min: Length,
        /// The second.
        max: Length,
    },
    /// The hole leaves no thread, or the tap no room.
    #[error(
        "the hole of {} to {} does not lie between the minor and the major diameter of {outside}, {} and {}; check both",
        min.both(),
        max.both(),
        minor.both(),
        major.both()
    )]
    HoleOutside {
        /// The hole's limits.
        min: Length,
        /// The hole's limits.
        max: Length,
        /// The outside thread.
        outside: String,
        /// Its basic minor diameter.
        minor: Length,
        /// Its major diameter.
        major: Length,
    },
    /// The bolt does not go through the insert's wall.
    #[error(
        "{internal} is {} across and does not go inside a hole of {}; check `internal` and `hole`",
        major.both(),
        hole.both()
    )]
    NoWall {
        /// The internal thread.
        internal: String,
        /// Its major diameter.
        major: Length,
        /// The least hole.
        hole: Length,
    },
    /// The drill is not one for the hole.
    #[error(
        "drill {drill} is {}, outside the hole's limits of {} to {}; check both",
        diameter.both(),
        min.both(),
        max.both()
    )]
    DrillOutside {
        /// The drill.
        drill: String,
        /// Its diameter.
        diameter: Length,
        /// The hole's limits.
        min: Length,
        /// The hole's limits.
        max: Length,
    },
    /// No drill is sold for the hole.
    #[error("no drill kept here lies between {} and {}; name a `drill`", min.both(), max.both())]
    NoDrill {
        /// The hole's limits.
        min: Length,
        /// The hole's limits.
        max: Length,
    },
    /// A countersink that does not clear the thread.
    #[error(
        "the countersink of {} is smaller than the outside thread, {}; check both",
        countersink.both(),
        major.both()
    )]
    Countersink {
        /// Its least diameter.
        countersink: Length,
        /// The outside thread's major diameter.
        major: Length,
    },
    /// An angle that no countersink has.
    #[error(
        "the countersink's angle runs from {min} to {max} degrees; write the smaller first, between 30 and 150"
    )]
    Angle {
        /// The first.
        min: f64,
        /// The second.
        max: f64,
    },
    /// More keys than fit round an insert.
    #[error("{keys} keys are not on any insert; write a number from 0 to 8")]
    Keys {
        /// How many.
        keys: i64,
    },
    /// A thread's shear area is part of the cylinder round it.
    #[error(
        "a shear area of {area_mm2} mm² cannot be: it must be more than 0 and at most {most_mm2:.1} mm², which is the whole cylinder round the outside thread"
    )]
    ShearArea {
        /// As written, in mm².
        area_mm2: f64,
        /// The cylinder.
        most_mm2: f64,
    },
    /// The area in both units.
    #[error("the shear area is given twice; write shear_area_in2 or shear_area_mm2")]
    ShearAreaTwice,
    /// The same insert twice.
    #[error(
        "{family} for {internal} in {outside} of this length is on line {first} already; take one of them out"
    )]
    Twice {
        /// The kind.
        family: crate::insert::Family,
        /// The internal thread.
        internal: String,
        /// The outside thread.
        outside: String,
        /// Where it stands first.
        first: usize,
    },
    /// A drill for the same thread twice.
    #[error("a drill for {thread} is on line {first} already; take one of them out")]
    DrillTwice {
        /// The thread.
        thread: String,
        /// Where it stands first.
        first: usize,
    },
    /// A drill that is not for the wire insert's hole.
    #[error(
        "drill {drill} is {}, outside the window of the minor diameter for {thread}, {} to {}; check both",
        diameter.both(),
        min.both(),
        max.both()
    )]
    WireDrillOutside {
        /// The drill.
        drill: String,
        /// Its diameter.
        diameter: Length,
        /// The thread.
        thread: String,
        /// The window.
        min: Length,
        /// The window.
        max: Length,
    },
    /// Text that is empty or longer than a note.
    #[error("`{field}` must have words, and at most {most} letters")]
    Words {
        /// Which.
        field: &'static str,
        /// The most.
        most: usize,
    },
}
