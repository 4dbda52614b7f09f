//! What was measured, and what it may be off by.

use crate::length::{Length, LengthError, NM_PER_INCH};
use serde::{Deserialize, Serialize};

/// What a caliper across a thread may be off by: 0.05 mm (judgement).
pub const DIAMETER_ERROR: Length = Length::from_nm(50_000);
/// What a pitch gauge may be off by: 0.02 mm (judgement).
pub const GAUGE_ERROR: Length = Length::from_nm(20_000);
/// What a rule or caliper over several pitches may be off by, in all: 0.25 mm (judgement).
pub const SPAN_ERROR: Length = Length::from_nm(250_000);
/// Over more pitches than this nobody measures.
const MOST_PITCHES: u32 = 100;
/// No diameter or pitch of a machine's thread is larger.
const LARGEST: Length = Length::from_nm(500_000_000);

/// What was measured with the caliper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measured {
    /// Across the crests of a screw: its major diameter.
    Outside(Length),
    /// Across the crests of a tapped hole: its minor diameter.
    Inside(Length),
}

/// A pitch that was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PitchReading {
    /// From one thread to the next.
    pub pitch: Length,
    /// What it may be off by, either way.
    pub error: Length,
}

/// The readings that a thread is to be known by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Readings {
    /// The diameter.
    pub measured: Measured,
    /// What the diameter may be off by, either way.
    pub diameter_error: Length,
    /// The pitch, where it was read.
    pub pitch: Option<PitchReading>,
}

/// Why a reading was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum IdentifyError {
    /// No diameter or pitch that could be.
    #[error("{what} must be more than zero and less than 500 mm; measure it again")]
    Impossible {
        /// Which reading.
        what: &'static str,
    },
    /// An error that is no error.
    #[error(
        "{what} must be 0 or more and less than the reading; write what the tool may be off by, such as 0.05mm"
    )]
    ImpossibleError {
        /// Which error.
        what: &'static str,
    },
    /// A pitch that does not say what it counts.
    #[error(
        "`{asked}` is not a pitch; write threads per inch as 14tpi, the distance of two threads as 1.8mm, or a length over ten pitches \
         (eleven crests) as 18.1mm/10"
    )]
    UnreadablePitch {
        /// What was written.
        asked: String,
    },
    /// A length over a number of pitches that cannot be.
    #[error(
        "`{asked}` counts no number of pitches from 1 to 100; n pitches lie between n + 1 crests"
    )]
    UnreadableCount {
        /// What was written.
        asked: String,
    },
    /// A pitch that is not a length.
    #[error(transparent)]
    Length(#[from] LengthError),
}

impl Readings {
    /// A diameter by caliper, and a pitch where there is one.
    pub const fn new(measured: Measured, pitch: Option<PitchReading>) -> Readings {
        Readings {
            measured,
            diameter_error: DIAMETER_ERROR,
            pitch,
        }
    }

    pub(super) fn check(&self) -> Result<(), IdentifyError> {
        let (Measured::Outside(diameter) | Measured::Inside(diameter)) = self.measured;
        possible(diameter, "the diameter")?;
        may_be_off(self.diameter_error, diameter, "the error of the diameter")?;
        if let Some(pitch) = self.pitch {
            possible(pitch.pitch, "the pitch")?;
            may_be_off(pitch.error, pitch.pitch, "the error of the pitch")?;
        }
        Ok(())
    }
}

fn may_be_off(error: Length, reading: Length, what: &'static str) -> Result<(), IdentifyError> {
    if error >= Length::ZERO && error < reading {
        Ok(())
    } else {
        Err(IdentifyError::ImpossibleError { what })
    }
}

fn possible(reading: Length, what: &'static str) -> Result<Length, IdentifyError> {
    if reading.is_positive() && reading < LARGEST {
        Ok(reading)
    } else {
        Err(IdentifyError::Impossible { what })
    }
}

/// Reads a pitch: `14tpi`, `14 threads per inch`, `1.8mm`, or a length over a number of pitches, `18.1mm/10`, `.72in/10`.
///
/// # Errors
/// It says neither tpi nor a unit, or is not a number above zero.
pub fn parse_pitch(text: &str) -> Result<PitchReading, IdentifyError> {
    let asked = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let plain = asked.to_ascii_lowercase();
    let per_inch = plain
        .strip_suffix("tpi")
        .or_else(|| plain.strip_suffix("threads per inch"));
    if let Some(count) = per_inch {
        return by_count(count.trim(), &asked);
    }
    match plain.rsplit_once('/') {
        Some((span, pitches)) if span.ends_with(|c: char| c.is_ascii_alphabetic() || c == '"') => {
            over_pitches(span, pitches, &asked)
        }
        _ if plain.ends_with("mm") => Ok(PitchReading {
            pitch: possible(Length::parse(&plain, None)?, "the pitch")?,
            error: GAUGE_ERROR,
        }),
        _ => Err(IdentifyError::UnreadablePitch { asked }),
    }
}

fn by_count(count: &str, asked: &str) -> Result<PitchReading, IdentifyError> {
    // `4 1/2 tpi` is what the gauge's leaf says.
    let halved = count.strip_suffix(" 1/2").map(|whole| format!("{whole}.5"));
    let count: f64 =
        halved
            .as_deref()
            .unwrap_or(count)
            .parse()
            .map_err(|_| IdentifyError::UnreadablePitch {
                asked: asked.to_owned(),
            })?;
    if !(0.5..=200.0).contains(&count) {
        return Err(IdentifyError::Impossible { what: "the pitch" });
    }
    Ok(PitchReading {
        pitch: Length::from_nm((NM_PER_INCH as f64 / count).round() as i64),
        error: GAUGE_ERROR,
    })
}

fn over_pitches(span: &str, pitches: &str, asked: &str) -> Result<PitchReading, IdentifyError> {
    let count: u32 = pitches
        .trim()
        .parse()
        .ok()
        .filter(|count| (1..=MOST_PITCHES).contains(count))
        .ok_or_else(|| IdentifyError::UnreadableCount {
            asked: asked.to_owned(),
        })?;
    let span = possible(Length::parse(span, None)?, "the length over the pitches")?;
    Ok(PitchReading {
        pitch: span / i64::from(count),
        error: SPAN_ERROR / i64::from(count),
    })
}
