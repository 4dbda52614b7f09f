//! Errors in insert files: file, line and reason in one sentence.

use super::{MAX_FILE_BYTES, MAX_ROWS};
use crate::drill::DrillError;
use crate::insert::FamilyError;
use crate::length::{Length, LengthError};
use crate::thread::ThreadError;

/// Why an insert file was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("`{file}`, line {line}: {problem}")]
pub struct FileError {
    /// File name.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// What is wrong.
    #[source]
    pub problem: Box<FileProblem>,
}

impl FileError {
    pub(super) fn new(file: &str, line: usize, problem: FileProblem) -> FileError {
        FileError {
            file: file.to_owned(),
            line,
            problem: Box::new(problem),
        }
    }
}

/// What is wrong on a line.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FileProblem {
    /// The file is too large.
    #[error("the file has {bytes} bytes; the limit is {MAX_FILE_BYTES}, so split it")]
    TooLarge {
        /// File size.
        bytes: usize,
    },
    /// The file has too many rows.
    #[error("the file has {rows} rows; the limit is {MAX_ROWS}, so split it")]
    TooManyRows {
        /// Number of rows.
        rows: usize,
    },
    /// The file has no rows.
    #[error("the file has no inserts and no drills; add an [[insert]] for each insert")]
    Empty,
    /// Invalid TOML, an unknown field, or a value of the wrong type.
    #[error("{message}; correct this line")]
    Syntax {
        /// Message of the TOML parser.
        message: String,
    },
    /// A required field is missing.
    #[error("`{field}` is missing; add it to the [[insert]], or to [common] if all share it")]
    Missing {
        /// Which field.
        field: &'static str,
    },
    /// Not a length.
    #[error("`{field}`: {error}")]
    Length {
        /// Which field.
        field: &'static str,
        /// Why.
        error: LengthError,
    },
    /// A plain number in a file without a unit.
    #[error(
        "`{field}` has no unit, and neither has the file; add unit = \"in\" or unit = \"mm\" at the top"
    )]
    NoUnit {
        /// Which field.
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
    /// Not an insert family.
    #[error(transparent)]
    Family(#[from] FamilyError),
    /// The hole of a wire thread insert follows from its thread.
    #[error("the hole of a {family} is computed from its thread; write a [[wire_drill]] instead")]
    ByFormula {
        /// Family.
        family: crate::insert::Family,
    },
    /// Not a level of confidence.
    #[error(
        "`{input}` is not a confidence level; write read, card, secondary, memory, computed, inferred or judgment"
    )]
    Confidence {
        /// What was written.
        input: String,
    },
    /// No internal thread, or one twice.
    #[error("`internal` must list at least one thread, each only once")]
    Internal,
    /// Zero, negative, or too large.
    #[error("`{field}` is {}; it must be more than 0 and at most {}", value.both(), most.both())]
    OutOfRange {
        /// Which field.
        field: &'static str,
        /// Its value.
        value: Length,
        /// Largest value accepted.
        most: Length,
    },
    /// Limits in the wrong order.
    #[error(
        "`{field}` is from {} to {}; write 0 or more, the smaller number first",
        min.both_limit(),
        max.both_limit()
    )]
    Reversed {
        /// Which field.
        field: &'static str,
        /// The first.
        min: Length,
        /// The second.
        max: Length,
    },
    /// The hole is outside the thread depth.
    #[error(
        "the hole of {} to {} is not between the minor and major diameters of {outside}, {} and {}; check both",
        min.both_limit(),
        max.both_limit(),
        minor.both_limit(),
        major.both_limit()
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
    /// The bolt is larger than the hole for the insert.
    #[error(
        "{internal} measures {} and does not fit inside a hole of {}; check `internal` and `hole`",
        major.both_limit(),
        hole.both_limit()
    )]
    NoWall {
        /// The internal thread.
        internal: String,
        /// Its major diameter.
        major: Length,
        /// The least hole.
        hole: Length,
    },
    /// The drill is outside the hole's limits.
    #[error(
        "drill {drill} measures {}, outside the hole's limits of {} to {}; check both",
        diameter.both_limit(),
        min.both_limit(),
        max.both_limit()
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
    /// No standard drill is within the limits.
    #[error(
        "no drill measures between {} and {}; check the limits",
        min.both_limit(),
        max.both_limit()
    )]
    NoDrill {
        /// The hole's limits.
        min: Length,
        /// The hole's limits.
        max: Length,
    },
    /// The countersink is smaller than the thread.
    #[error(
        "the countersink of {} is smaller than the outside thread, {}; check both",
        countersink.both_limit(),
        major.both_limit()
    )]
    Countersink {
        /// Its least diameter.
        countersink: Length,
        /// The outside thread's major diameter.
        major: Length,
    },
    /// Countersink angles out of range or order.
    #[error(
        "the countersink angle is from {min} to {max} degrees; write 30 to 150, the smaller number first"
    )]
    Angle {
        /// The first.
        min: f64,
        /// The second.
        max: f64,
    },
    /// An impossible number of keys.
    #[error("no insert has {keys} keys; write a number from 0 to 8")]
    Keys {
        /// Number of keys.
        keys: i64,
    },
    /// A shear area larger than the cylinder around the thread.
    #[error(
        "a shear area of {area_mm2} mm² is impossible; it must be more than 0 and at most {most_mm2:.1} mm², the cylinder around the outside thread"
    )]
    ShearArea {
        /// The area in mm².
        area_mm2: f64,
        /// Area of the cylinder in mm².
        most_mm2: f64,
    },
    /// The area in both units.
    #[error("the shear area is given twice; write either shear_area_in2 or shear_area_mm2")]
    ShearAreaTwice,
    /// The same insert twice.
    #[error(
        "{family} for {internal} in {outside} of this length is already on line {first}; remove one"
    )]
    Duplicate {
        /// Family.
        family: crate::insert::Family,
        /// The internal thread.
        internal: String,
        /// The outside thread.
        outside: String,
        /// Line of the first one.
        first: usize,
    },
    /// A drill for the same thread twice.
    #[error("a drill for {thread} is already on line {first}; remove one")]
    DuplicateDrill {
        /// The thread.
        thread: String,
        /// Line of the first one.
        first: usize,
    },
    /// The drill is outside the limits of a wire thread insert's hole.
    #[error(
        "drill {drill} measures {}, outside the minor diameter limits for {thread}, {} to {}; check both",
        diameter.both_limit(),
        min.both_limit(),
        max.both_limit()
    )]
    WireDrillOutside {
        /// The drill.
        drill: String,
        /// Its diameter.
        diameter: Length,
        /// The thread.
        thread: String,
        /// Lower limit.
        min: Length,
        /// Upper limit.
        max: Length,
    },
    /// A text that is empty or too long.
    #[error("`{field}` must not be empty or longer than {most} characters")]
    Text {
        /// Which field.
        field: &'static str,
        /// Most characters accepted.
        most: usize,
    },
}
