//! Drills by their trade names, and the choice of drill for a hole.

mod broken;
mod choices;
mod clearance;
mod hole_spec;
mod kind;
mod kinds;
mod metric_tapping;
mod oversize;
mod tapping;

pub use broken::{broken_bolt_core, broken_bolt_pilot};
pub use choices::{DrillChoice, DrillChoices, SizeCheck, drill_choices};
pub use clearance::{ClearanceFit, clearance_diameter, clearance_hole};
pub use hole_spec::{FullThread, HolePurpose, HoleSpec};
pub use kind::DrillKind;
pub use kinds::{
    DrillKinds, DrillKindsError, between, nearest, nearest_at_or_above, nearest_at_or_below,
};
pub use oversize::mean_oversize;
pub use tapping::{
    TapDrill, hole_before_tapping, tap_drill, tapped_hole, thread_percent, usual_drills,
};

use crate::length::{Length, NM_PER_MM, Unit, named_drills};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// The trade name of a drill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DrillName {
    /// A fractional drill in 64ths of an inch, written in lowest terms.
    Fraction(u16),
    /// A letter drill, A to Z.
    Letter(char),
    /// A number drill, 1 to 80.
    Number(u8),
    /// A metric drill, named by its diameter.
    Metric(Length),
}

/// A drill: its trade name and diameter.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Drill {
    /// Trade name.
    pub name: DrillName,
    /// Nominal diameter. Drills cut slightly oversize: see [`mean_oversize`].
    pub diameter: Length,
}

/// Why a drill name was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{input}` is not a standard drill; write one such as 29/64, #7, X or 10.2 mm")]
pub struct DrillError {
    /// What was written.
    pub input: String,
}

impl Drill {
    /// Creates a fractional drill of 1 to 128 64ths of an inch.
    pub const fn fraction(sixty_fourths: u16) -> Drill {
        Drill {
            name: DrillName::Fraction(sixty_fourths),
            diameter: Length::from_fraction(sixty_fourths as i64, 64),
        }
    }

    /// Creates a metric drill from hundredths of a millimeter.
    pub const fn metric(hundredths: i64) -> Drill {
        let diameter = Length::from_nm(hundredths * NM_PER_MM / 100);
        Drill {
            name: DrillName::Metric(diameter),
            diameter,
        }
    }

    /// Creates a number drill; `None` if the number does not exist.
    pub fn number(number: u8) -> Option<Drill> {
        named_drills::number(number).map(|diameter| Drill {
            name: DrillName::Number(number),
            diameter,
        })
    }

    /// Creates a letter drill; `None` for anything but a letter.
    pub fn letter(letter: char) -> Option<Drill> {
        named_drills::letter(letter).map(|diameter| Drill {
            name: DrillName::Letter(letter.to_ascii_uppercase()),
            diameter,
        })
    }

    /// Formats the drill by its name, with its diameter in the reader's unit: `29/64 (.453)`,
    /// `#5 (.2055)`, `10.2 mm (.4016)`.
    ///
    /// A name that is the diameter already stands alone: `10.2 mm` in millimeters, `1 in` in
    /// inches.
    pub fn show(&self, unit: Unit) -> String {
        let is_diameter = match self.name {
            DrillName::Metric(_) => unit == Unit::Millimeter,
            DrillName::Fraction(sixty_fourths) => {
                unit == Unit::Inch && sixty_fourths.is_multiple_of(64)
            }
            DrillName::Letter(_) | DrillName::Number(_) => false,
        };
        if is_diameter {
            return self.to_string();
        }
        format!("{self} ({})", self.diameter.drill_equivalent(unit))
    }

    /// Parses a drill's name: `29/64`, `1-1/16`, `#7`, `X`, `10.2 mm`.
    ///
    /// # Errors
    /// If there is no standard drill of that name.
    pub fn parse(text: &str) -> Result<Drill, DrillError> {
        let input = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let refuse = || DrillError {
            input: input.clone(),
        };
        let diameter = Length::parse_diameter(&input, None).map_err(|_| refuse())?;
        let written = input.to_ascii_lowercase();
        DrillKinds::ALL
            .drills()
            .filter(|drill| drill.diameter == diameter)
            .find(|drill| match drill.name {
                DrillName::Fraction(_) => written.contains('/') || written.ends_with("in"),
                DrillName::Number(_) => written.starts_with(['#', 'n']) && written.len() > 1,
                DrillName::Letter(_) => written.len() == 1,
                DrillName::Metric(_) => written.ends_with("mm"),
            })
            .ok_or_else(refuse)
    }
}

impl fmt::Display for DrillName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            DrillName::Fraction(sixty_fourths) => fraction(sixty_fourths, f),
            DrillName::Letter(letter) => write!(f, "{letter}"),
            DrillName::Number(number) => write!(f, "#{number}"),
            DrillName::Metric(diameter) => f.write_str(&diameter.exact()),
        }
    }
}

/// `29/64`, `1-1/16`; a whole number of inches with its unit.
fn fraction(sixty_fourths: u16, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let size = Length::from_fraction(i64::from(sixty_fourths), 64);
    let name = size.fraction().ok_or(fmt::Error)?;
    let unit = if name.contains('/') { "" } else { " in" };
    write!(f, "{name}{unit}")
}

/// The trade's name: `29/64`, `#7`, `X`, `10.2 mm`.
impl fmt::Display for Drill {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.name.fmt(f)
    }
}

impl FromStr for Drill {
    type Err = DrillError;
    fn from_str(text: &str) -> Result<Drill, DrillError> {
        Drill::parse(text)
    }
}

#[derive(Serialize, Deserialize)]
struct DrillJson {
    name: String,
    diameter_mm: Length,
}

/// `{"name": "29/64", "diameter_mm": 11.509375}`.
impl Serialize for Drill {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        DrillJson {
            name: self.to_string(),
            diameter_mm: self.diameter,
        }
        .serialize(serializer)
    }
}

/// A diameter that does not match the name is refused.
impl<'de> Deserialize<'de> for Drill {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Drill, D::Error> {
        let written = DrillJson::deserialize(deserializer)?;
        let drill = Drill::parse(&written.name).map_err(de::Error::custom)?;
        if drill.diameter == written.diameter_mm {
            Ok(drill)
        } else {
            Err(de::Error::custom(format!(
                "drill {drill} measures {}, not {}",
                drill.diameter, written.diameter_mm
            )))
        }
    }
}

#[cfg(test)]
mod tests;
