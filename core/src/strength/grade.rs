//! Bolt grades and their strength.
//!
//! SAE J429: Shigley as quoted on a teaching page of Missouri S&T, in ksi (secondary source). ISO
//! 898-1: its table 3 as a fastener supplier prints it (usefastener.com, secondary source); a
//! second chart agrees for 10.9 and 12.9 (ficientdesign.com).

use super::StrengthError;
use super::metal::MPA_PER_KSI;
use crate::length::Length;
use crate::thread::Thread;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// A bolt grade.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Grade {
    /// SAE J429 grade 1.
    Sae1,
    /// SAE J429 grade 2.
    Sae2,
    /// SAE J429 grade 5.
    Sae5,
    /// SAE J429 grade 8.
    Sae8,
    /// ISO 898-1 class 4.6.
    Iso4_6,
    /// ISO 898-1 class 5.8.
    Iso5_8,
    /// ISO 898-1 class 8.8.
    Iso8_8,
    /// ISO 898-1 class 10.9.
    Iso10_9,
    /// ISO 898-1 class 12.9.
    Iso12_9,
}

/// Strength of a bolt at its size, in MPa.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BoltStrength {
    /// Proof stress.
    pub proof_mpa: f64,
    /// Yield strength, or 0.2 % proof stress.
    pub yield_mpa: f64,
    /// Least tensile strength.
    pub tensile_mpa: f64,
}

impl Grade {
    /// All grades.
    pub const ALL: [Grade; 9] = [
        Grade::Sae1,
        Grade::Sae2,
        Grade::Sae5,
        Grade::Sae8,
        Grade::Iso4_6,
        Grade::Iso5_8,
        Grade::Iso8_8,
        Grade::Iso10_9,
        Grade::Iso12_9,
    ];

    /// Returns the name: `SAE J429 grade 5`, `ISO 898-1 class 8.8`.
    pub const fn name(self) -> &'static str {
        match self {
            Grade::Sae1 => "SAE J429 grade 1",
            Grade::Sae2 => "SAE J429 grade 2",
            Grade::Sae5 => "SAE J429 grade 5",
            Grade::Sae8 => "SAE J429 grade 8",
            Grade::Iso4_6 => "ISO 898-1 class 4.6",
            Grade::Iso5_8 => "ISO 898-1 class 5.8",
            Grade::Iso8_8 => "ISO 898-1 class 8.8",
            Grade::Iso10_9 => "ISO 898-1 class 10.9",
            Grade::Iso12_9 => "ISO 898-1 class 12.9",
        }
    }

    /// Returns the source of the figures.
    pub const fn source(self) -> &'static str {
        match self {
            Grade::Sae1 | Grade::Sae2 | Grade::Sae5 | Grade::Sae8 => {
                "SAE J429, quoted from Shigley (secondary source)"
            }
            Grade::Iso4_6 | Grade::Iso5_8 | Grade::Iso8_8 | Grade::Iso10_9 | Grade::Iso12_9 => {
                "ISO 898-1, from a published table (secondary source)"
            }
        }
    }

    /// Returns the strength of a bolt of this grade with this thread.
    ///
    /// SAE J429 covers 1/4 to 1-1/2 in, ISO 898-1 M1.6 to M39. Both are accepted for inch and
    /// metric threads by nominal size, since old machines mix them.
    ///
    /// # Errors
    /// If the grade does not cover the size.
    pub fn strength(self, thread: &Thread) -> Result<BoltStrength, StrengthError> {
        let size = thread.nominal();
        let (from, to, least, largest) = if self.is_sae() {
            (
                "1/4 in",
                "1-1/2 in",
                Length::from_fraction(1, 4),
                Length::from_fraction(3, 2),
            )
        } else {
            (
                "1.6 mm",
                "39 mm",
                Length::from_nm(1_600_000),
                Length::from_nm(39_000_000),
            )
        };
        if size < least || size > largest {
            return Err(StrengthError::SizeOutsideGrade {
                grade: self.name().to_owned(),
                thread: thread.designation(),
                from,
                to,
            });
        }
        Ok(self.at_size(size))
    }

    const fn is_sae(self) -> bool {
        matches!(self, Grade::Sae1 | Grade::Sae2 | Grade::Sae5 | Grade::Sae8)
    }

    fn at_size(self, size: Length) -> BoltStrength {
        let up_to_three_quarters = size <= Length::from_fraction(3, 4);
        let up_to_one = size <= Length::from_fraction(1, 1);
        let up_to_16_mm = size.nm() <= 16_000_000;
        match self {
            Grade::Sae1 => ksi(33.0, 36.0, 60.0),
            Grade::Sae2 if up_to_three_quarters => ksi(55.0, 57.0, 74.0),
            Grade::Sae2 => ksi(33.0, 36.0, 60.0),
            Grade::Sae5 if up_to_one => ksi(85.0, 92.0, 120.0),
            Grade::Sae5 => ksi(74.0, 81.0, 105.0),
            Grade::Sae8 => ksi(120.0, 130.0, 150.0),
            Grade::Iso4_6 => mpa(225.0, 240.0, 400.0),
            Grade::Iso5_8 => mpa(380.0, 420.0, 520.0),
            Grade::Iso8_8 if up_to_16_mm => mpa(580.0, 640.0, 800.0),
            Grade::Iso8_8 => mpa(600.0, 660.0, 830.0),
            Grade::Iso10_9 => mpa(830.0, 940.0, 1040.0),
            Grade::Iso12_9 => mpa(970.0, 1100.0, 1220.0),
        }
    }
}

const fn mpa(proof_mpa: f64, yield_mpa: f64, tensile_mpa: f64) -> BoltStrength {
    BoltStrength {
        proof_mpa,
        yield_mpa,
        tensile_mpa,
    }
}

const fn ksi(proof: f64, yield_strength: f64, tensile: f64) -> BoltStrength {
    mpa(
        proof * MPA_PER_KSI,
        yield_strength * MPA_PER_KSI,
        tensile * MPA_PER_KSI,
    )
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// The full name or a shop name: `grade 5`, `class 8.8`, `8.8`. A plain `5` or `8` is refused.
impl FromStr for Grade {
    type Err = StrengthError;
    fn from_str(text: &str) -> Result<Grade, StrengthError> {
        let input = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let plain = input.to_ascii_lowercase();
        Grade::ALL
            .into_iter()
            .find(|grade| {
                let name = grade.name().to_ascii_lowercase();
                let short = name.rsplit(' ').next().unwrap_or_default().to_owned();
                let word = if grade.is_sae() { "grade" } else { "class" };
                plain == name
                    || plain == format!("{word} {short}")
                    || plain == name.replace(&format!(" {word}"), "")
                    || (!grade.is_sae() && plain == short)
                    || (grade.is_sae() && plain == format!("sae grade {short}"))
            })
            .ok_or(StrengthError::UnknownGrade { input })
    }
}

impl Serialize for Grade {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for Grade {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Grade, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(de::Error::custom)
    }
}
