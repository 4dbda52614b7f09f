//! Why a length is refused, in sentences that say what to write instead.

/// Why a length was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LengthError {
    /// The text is empty.
    #[error("the length is empty; write one such as 25/64, .390 or 9.9 mm")]
    Empty,
    /// The text is not a length.
    #[error("`{text}` is not a length; write one such as 25/64, 1-1/8, .390, .390 in or 9.9 mm")]
    NotALength {
        /// What was written.
        text: String,
    },
    /// A number without a unit, where no default unit is set.
    #[error(
        "`{number}` has no unit and could be {number} in or {number} mm; write the unit after it"
    )]
    NoUnit {
        /// The number as written.
        number: String,
    },
    /// `.5` where numbers without a unit are millimeters.
    #[error(
        "`{number}` looks like inches, but numbers without a unit are millimeters here; write {number} in or \
         {with_zero} mm"
    )]
    InchOrMillimeter {
        /// The number as written.
        number: String,
        /// The same with its leading zero.
        with_zero: String,
    },
    /// `1,250`, which may be one and a quarter or twelve hundred fifty.
    #[error(
        "`{text}` could mean {with_point} or {without}; write a decimal point, or leave out the comma"
    )]
    AmbiguousComma {
        /// What was written.
        text: String,
        /// With the comma read as a decimal point.
        with_point: String,
        /// With the comma read as a thousands separator.
        without: String,
    },
    /// A unit that is not supported.
    #[error("unknown unit `{unit}` in `{text}`; write in, mm or thou")]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The part read as a unit.
        unit: String,
    },
    /// A fraction of something other than an inch.
    #[error(
        "`{text}` is a fraction of a millimeter; write millimeters with a decimal point, such as 0.5 mm"
    )]
    FractionOfMillimeter {
        /// What was written.
        text: String,
    },
    /// A fraction with a zero denominator.
    #[error("`{text}` has a zero denominator; the lower number of a fraction must be 1 or more")]
    ZeroDenominator {
        /// What was written.
        text: String,
    },
    /// The name of a drill where no diameter is asked for.
    #[error(
        "`{text}` names a drill, which stands for a diameter only; write a length such as 25/64, \
         .390 or 9.9 mm"
    )]
    DrillName {
        /// What was written.
        text: String,
    },
    /// A drill name that does not exist.
    #[error("there is no drill `{text}`; number drills run from #1 (.228) to #80 (.0135)")]
    UnknownDrill {
        /// What was written.
        text: String,
    },
    /// NaN or infinite.
    #[error("the length is not a number; enter a plain number")]
    NotANumber,
    /// More than 100 m either way.
    #[error("`{input}` is too long (over 100 m); check the number and unit")]
    TooLarge {
        /// The length given.
        input: String,
    },
}
