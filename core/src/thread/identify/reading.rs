//! Readings for an identification, with their tolerances.

use crate::length::{Length, LengthError, NM_PER_INCH};
use serde::{Deserialize, Serialize};

/// Tolerance of a caliper reading across a thread: 0.05 mm (judgment).
pub const DIAMETER_TOLERANCE: Length = Length::from_nm(50_000);
/// Tolerance of a pitch gauge: 0.02 mm (judgment).
pub const PITCH_GAUGE_TOLERANCE: Length = Length::from_nm(20_000);
/// Tolerance of a rule or caliper reading over several pitches, in total: 0.25 mm (judgment).
pub const SPAN_TOLERANCE: Length = Length::from_nm(250_000);
/// Most pitches that one reading may span.
const MAX_PITCHES: u32 = 100;
/// Largest diameter or pitch accepted.
const MAX_READING: Length = Length::from_nm(500_000_000);

/// The diameter that was measured.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    /// Across the crests of a screw: its major diameter.
    Outside(Length),
    /// Across the crests of a tapped hole: its minor diameter.
    Inside(Length),
}

/// A measured pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PitchReading {
    /// Distance from one thread to the next.
    pub pitch: Length,
    /// Tolerance, plus or minus.
    pub tolerance: Length,
}

/// The readings to identify a thread by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Readings {
    /// The diameter.
    pub measured: Measured,
    /// Tolerance of the diameter, plus or minus.
    pub diameter_tolerance: Length,
    /// The pitch, if it was measured.
    pub pitch: Option<PitchReading>,
}

/// Why a reading was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum IdentifyError {
    /// A diameter or pitch out of range.
    #[error("{what} must be more than 0 and less than 500 mm; measure again")]
    ReadingOutOfRange {
        /// Which reading.
        what: &'static str,
    },
    /// A tolerance out of range.
    #[error(
        "{what} must be 0 or more and less than the reading; enter the tolerance of the tool, such as .002in or 0.05mm"
    )]
    ToleranceOutOfRange {
        /// Which tolerance.
        what: &'static str,
    },
    /// The text is not a pitch.
    #[error(
        "`{input}` is not a pitch; write threads per inch as 14tpi, a pitch as 1.8mm, or a length over ten pitches \
         (eleven crests) as 18.1mm/10"
    )]
    NotAPitch {
        /// What was written.
        input: String,
    },
    /// A length over an invalid number of pitches.
    #[error("`{input}` must end in a number of pitches from 1 to 100; n pitches span n + 1 crests")]
    NotACount {
        /// What was written.
        input: String,
    },
    /// A pitch that is not a length.
    #[error(transparent)]
    Length(#[from] LengthError),
}

impl Readings {
    /// Creates readings with the default caliper tolerance.
    pub const fn new(measured: Measured, pitch: Option<PitchReading>) -> Readings {
        Readings {
            measured,
            diameter_tolerance: DIAMETER_TOLERANCE,
            pitch,
        }
    }

    pub(super) fn validate(&self) -> Result<(), IdentifyError> {
        let (Measured::Outside(diameter) | Measured::Inside(diameter)) = self.measured;
        validate_reading(diameter, "the diameter")?;
        validate_tolerance(
            self.diameter_tolerance,
            diameter,
            "the tolerance of the diameter",
        )?;
        if let Some(pitch) = self.pitch {
            validate_reading(pitch.pitch, "the pitch")?;
            validate_tolerance(pitch.tolerance, pitch.pitch, "the tolerance of the pitch")?;
        }
        Ok(())
    }
}

fn validate_tolerance(
    error: Length,
    reading: Length,
    what: &'static str,
) -> Result<(), IdentifyError> {
    if error >= Length::ZERO && error < reading {
        Ok(())
    } else {
        Err(IdentifyError::ToleranceOutOfRange { what })
    }
}

fn validate_reading(reading: Length, what: &'static str) -> Result<Length, IdentifyError> {
    if reading.is_positive() && reading < MAX_READING {
        Ok(reading)
    } else {
        Err(IdentifyError::ReadingOutOfRange { what })
    }
}

/// Parses a pitch: `14tpi`, `14 threads per inch`, `1.8mm`, or a length over several pitches such
/// as `18.1mm/10` or `.72in/10`.
///
/// # Errors
/// If the text has neither tpi nor a unit, or the number is out of range.
pub fn parse_pitch(text: &str) -> Result<PitchReading, IdentifyError> {
    let input = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let plain = input.to_ascii_lowercase();
    let per_inch = plain
        .strip_suffix("tpi")
        .or_else(|| plain.strip_suffix("threads per inch"));
    if let Some(count) = per_inch {
        return parse_threads_per_inch(count.trim(), &input);
    }
    match plain.rsplit_once('/') {
        Some((span, pitches)) if span.ends_with(|c: char| c.is_ascii_alphabetic() || c == '"') => {
            parse_span(span, pitches, &input)
        }
        _ if plain.ends_with("mm") => Ok(PitchReading {
            pitch: validate_reading(Length::parse(&plain, None)?, "the pitch")?,
            tolerance: PITCH_GAUGE_TOLERANCE,
        }),
        _ => Err(IdentifyError::NotAPitch { input }),
    }
}

fn parse_threads_per_inch(count: &str, input: &str) -> Result<PitchReading, IdentifyError> {
    // Pitch gauges are marked `4 1/2`.
    let halved = count.strip_suffix(" 1/2").map(|whole| format!("{whole}.5"));
    let count: f64 =
        halved
            .as_deref()
            .unwrap_or(count)
            .parse()
            .map_err(|_| IdentifyError::NotAPitch {
                input: input.to_owned(),
            })?;
    if !(0.5..=200.0).contains(&count) {
        return Err(IdentifyError::ReadingOutOfRange { what: "the pitch" });
    }
    Ok(PitchReading {
        pitch: Length::from_nm((NM_PER_INCH as f64 / count).round() as i64),
        tolerance: PITCH_GAUGE_TOLERANCE,
    })
}

fn parse_span(span: &str, pitches: &str, input: &str) -> Result<PitchReading, IdentifyError> {
    let count: u32 = pitches
        .trim()
        .parse()
        .ok()
        .filter(|count| (1..=MAX_PITCHES).contains(count))
        .ok_or_else(|| IdentifyError::NotACount {
            input: input.to_owned(),
        })?;
    let span = validate_reading(Length::parse(span, None)?, "the length over the pitches")?;
    Ok(PitchReading {
        pitch: span / i64::from(count),
        tolerance: SPAN_TOLERANCE / i64::from(count),
    })
}
