//! What can be wrong with a length, in words a person can act on.

/// Why a length was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// Nothing was written.
    #[error("no length was given; write one such as 25/64, .390 or 9.9 mm")]
    Empty,
    /// The text is not a length.
    #[error(
        "`{text}` is not a length; write one such as 25/64, 1-1/8, .390, 0.39 in, 9.9 mm or #7"
    )]
    Unreadable {
        /// What was written.
        text: String,
    },
    /// A number without a unit, where none is agreed.
    #[error(
        "`{number}` has no unit: it could be {number} in or {number} mm; write the unit behind it"
    )]
    NoUnit {
        /// The number as it was written.
        number: String,
    },
    /// `.5` where bare numbers are millimetres.
    #[error(
        "`{number}` without a leading zero is how inches are written, but bare numbers here are millimetres; \
         write {number} in or {with_zero} mm"
    )]
    InchOrMillimetre {
        /// The number as it was written.
        number: String,
        /// The same with its leading zero.
        with_zero: String,
    },
    /// `1,250`, which may be one and a quarter or twelve hundred and fifty.
    #[error(
        "`{text}` could be {with_point} or {without}; write it with a point, or without the comma"
    )]
    CommaUnclear {
        /// What was written.
        text: String,
        /// Read as a decimal comma.
        with_point: String,
        /// Read as a separator of thousands.
        without: String,
    },
    /// A unit that this notebook does not read.
    #[error("`{unit}` in `{text}` is not a unit read here; write in, mm or thou")]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The part taken for a unit.
        unit: String,
    },
    /// A fraction of something other than an inch.
    #[error(
        "`{text}` is a fraction, and fractions are read as inches; write millimetres with a decimal point"
    )]
    FractionOfMillimetre {
        /// What was written.
        text: String,
    },
    /// Division by zero.
    #[error("`{text}` divides by zero; the lower number of a fraction must be 1 or more")]
    ZeroDenominator {
        /// What was written.
        text: String,
    },
    /// A drill name that does not exist.
    #[error("there is no number drill `{text}`; they run from #1 (.228 in) to #80 (.0135 in)")]
    NoSuchDrill {
        /// What was written.
        text: String,
    },
    /// NaN or infinite.
    #[error("the length is not a number; give a plain number")]
    NotANumber,
    /// Beyond ±100 m.
    #[error(
        "`{asked}` is longer than 100 m, which no casting here is; check the number and its unit"
    )]
    TooLarge {
        /// What was asked for.
        asked: String,
    },
}
