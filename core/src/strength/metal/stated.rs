//! A metal by its kind, with a tensile strength that a person states.

use super::{MPA_PER_KSI, Metal};
use crate::strength::StrengthError;
use std::fmt;

/// A kind of parent metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Gray iron.
    Gray,
    /// Ductile iron.
    Ductile,
    /// Aluminium, cast or wrought.
    Aluminium,
    /// Steel, cast or rolled.
    Steel,
}

/// A least tensile strength as a person wrote it, in whole units, so that it reads back as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tensile {
    /// Megapascals (N/mm²).
    Mpa(u16),
    /// Pounds-force for each square inch.
    Psi(u32),
}

/// What no metal round a bolt is weaker or stronger than: 20 and 2500 MPa (judgement, to catch a wrong unit).
const LIMITS_MPA: (f64, f64) = (20.0, 2500.0);

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 4] = [Kind::Gray, Kind::Ductile, Kind::Aluminium, Kind::Steel];

    /// `gray iron`, `ductile iron`, `aluminium`, `steel`.
    pub const fn name(self) -> &'static str {
        match self {
            Kind::Gray => "gray iron",
            Kind::Ductile => "ductile iron",
            Kind::Aluminium => "aluminium",
            Kind::Steel => "steel",
        }
    }

    /// Share of the least tensile strength that a thread holds in shear.
    pub const fn shear_share(self) -> f64 {
        match self {
            Kind::Gray | Kind::Ductile | Kind::Aluminium => 0.5,
            Kind::Steel => 0.6,
        }
    }

    /// Where [`Kind::shear_share`] comes from.
    pub const fn shear_source(self) -> &'static str {
        match self {
            Kind::Gray => "half the tensile strength, as FED-STD-H28/2B formula (16) implies",
            Kind::Ductile | Kind::Aluminium => {
                "half the tensile strength, as for gray iron (judgement, on the safe side: foundry sheets give up to 0.8 for aluminium)"
            }
            Kind::Steel => {
                "0.6 of the tensile strength (ISO/TR 16224, as a public package gives it)"
            }
        }
    }

    /// Half diameters of thread that a sound hole in it has at the least, and where that comes from.
    pub const fn sound_half_diameters(self) -> (i64, &'static str) {
        match self {
            Kind::Gray => (3, "rule of the trade for cast iron, secondary source"),
            Kind::Ductile => (3, "as for gray iron, judgement"),
            Kind::Aluminium => (4, "rule of the trade for aluminium, secondary source"),
            Kind::Steel => (2, "rule of the trade for steel, secondary source"),
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Tensile {
    /// In megapascals.
    pub fn mpa(self) -> f64 {
        match self {
            Tensile::Mpa(mpa) => f64::from(mpa),
            Tensile::Psi(psi) => f64::from(psi) / 1000.0 * MPA_PER_KSI,
        }
    }
}

/// `400 MPa`, `58000 psi`.
impl fmt::Display for Tensile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Tensile::Mpa(mpa) => write!(f, "{mpa} MPa"),
            Tensile::Psi(psi) => write!(f, "{psi} psi"),
        }
    }
}

/// Reads `steel of 60000 psi`, `steel, 60 ksi` or `aluminium 230 MPa`.
pub(super) fn read(asked: &str) -> Result<Metal, StrengthError> {
    let unknown = || StrengthError::UnknownMetal {
        asked: asked.to_owned(),
    };
    let plain = asked.to_ascii_lowercase().replace("aluminum", "aluminium");
    let kind = Kind::ALL
        .into_iter()
        .find(|kind| plain.starts_with(kind.name()))
        .ok_or_else(unknown)?;
    let rest = plain[kind.name().len()..].trim_start_matches([',', ' ']);
    let rest = rest.strip_prefix("of ").unwrap_or(rest).trim();
    let at = rest
        .find(|letter: char| letter.is_ascii_alphabetic())
        .ok_or_else(unknown)?;
    let (number, unit) = rest.split_at(at);
    let number: f64 = number.trim().parse().map_err(|_| unknown())?;
    let per_unit_mpa = match unit.trim() {
        "mpa" | "n/mm2" | "n/mm²" => 1.0,
        "ksi" => MPA_PER_KSI,
        "psi" => MPA_PER_KSI / 1000.0,
        _ => return Err(unknown()),
    };
    let mpa = number * per_unit_mpa;
    if !(LIMITS_MPA.0..=LIMITS_MPA.1).contains(&mpa) {
        return Err(StrengthError::AbsurdTensile {
            asked: asked.to_owned(),
        });
    }
    // Within the limits both fit their whole numbers.
    let tensile = match unit.trim() {
        "ksi" => Tensile::Psi((number * 1000.0).round() as u32),
        "psi" => Tensile::Psi(number.round() as u32),
        _ => Tensile::Mpa(number.round() as u16),
    };
    Ok(Metal::Stated(kind, tensile))
}
