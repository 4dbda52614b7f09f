//! The drills one can buy, by the names the trade gives them, and which of them a job wants.

mod broken;
mod choices;
mod clearance;
mod drawer;
mod kind;
mod metric_tapping;
mod oversize;
mod tapping;
mod wanted;

pub use broken::{broken_bolt_core, broken_bolt_pilot};
pub use choices::{Choice, Choices, Standing, choices};
pub use clearance::{Fit, clearance, clearance_hole};
pub use drawer::{Drawer, DrawerError, between, nearest, nearest_at_or_above, nearest_at_or_below};
pub use kind::Kind;
pub use oversize::mean_oversize;
pub use tapping::{
    TapDrill, hole_before_tapping, tap_drill, tapped_hole, thread_percent, usual_drawer,
};
pub use wanted::{FullThread, HoleWanted, Purpose};

use crate::length::{Length, NM_PER_MM, named};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// What the trade calls a drill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DrillName {
    /// So many 1/64 in, written in lowest terms.
    Fraction(u16),
    /// A letter drill, A to Z.
    Letter(char),
    /// A number drill, 1 to 80.
    Number(u8),
    /// A metric drill, by its diameter.
    Metric(Length),
}

/// A drill: its name, and the diameter that the name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Drill {
    /// What the trade calls it.
    pub name: DrillName,
    /// Its nominal diameter. Drills cut a little over it: see [`mean_oversize`].
    pub diameter: Length,
}

/// Why a drill name was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{asked}` is not a drill sold here; write one such as 29/64, #7, X or 10.2 mm")]
pub struct DrillError {
    /// What was written.
    pub asked: String,
}

impl Drill {
    /// A fractional drill of so many 1/64 in, 1 to 128.
    pub const fn fraction(sixty_fourths: u16) -> Drill {
        Drill {
            name: DrillName::Fraction(sixty_fourths),
            diameter: Length::from_fraction(sixty_fourths as i64, 64),
        }
    }

    /// A metric drill of so many hundredths of a millimetre.
    pub const fn metric(hundredths: i64) -> Drill {
        let diameter = Length::from_nm(hundredths * NM_PER_MM / 100);
        Drill {
            name: DrillName::Metric(diameter),
            diameter,
        }
    }

    /// A number drill; `None` for a number that does not exist.
    pub fn number(number: u8) -> Option<Drill> {
        named::number(number).map(|diameter| Drill {
            name: DrillName::Number(number),
            diameter,
        })
    }

    /// A letter drill; `None` for anything but a letter.
    pub fn letter(letter: char) -> Option<Drill> {
        named::letter(letter).map(|diameter| Drill {
            name: DrillName::Letter(letter.to_ascii_uppercase()),
            diameter,
        })
    }

    /// Reads a drill's name: `29/64`, `1-1/16`, `#7`, `X`, `10.2 mm`.
    ///
    /// # Errors
    /// No drill of that name is sold, as far as this notebook knows.
    pub fn parse(text: &str) -> Result<Drill, DrillError> {
        let asked = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let refuse = || DrillError {
            asked: asked.clone(),
        };
        let diameter = Length::parse(&asked, None).map_err(|_| refuse())?;
        let written = asked.to_ascii_lowercase();
        Drawer::ALL
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

fn fraction(sixty_fourths: u16, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    let (mut upper, mut lower) = (sixty_fourths, 64);
    while upper % 2 == 0 && lower > 1 {
        upper /= 2;
        lower /= 2;
    }
    match (upper / lower, upper % lower) {
        (whole, 0) => write!(f, "{whole} in"),
        (0, part) => write!(f, "{part}/{lower}"),
        (whole, part) => write!(f, "{whole}-{part}/{lower}"),
    }
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
struct Written {
    name: String,
    diameter_mm: Length,
}

/// `{"name": "29/64", "diameter_mm": 11.509375}`.
impl Serialize for Drill {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        Written {
            name: self.to_string(),
            diameter_mm: self.diameter,
        }
        .serialize(serializer)
    }
}

/// The name decides; a diameter that does not belong to it is refused.
impl<'de> Deserialize<'de> for Drill {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Drill, D::Error> {
        let written = Written::deserialize(deserializer)?;
        let drill = Drill::parse(&written.name).map_err(de::Error::custom)?;
        if drill.diameter == written.diameter_mm {
            Ok(drill)
        } else {
            Err(de::Error::custom(format!(
                "drill {drill} is {}, not {}",
                drill.diameter, written.diameter_mm
            )))
        }
    }
}

#[cfg(test)]
mod tests;
