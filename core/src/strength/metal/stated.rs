//! A kind of metal with a stated tensile strength.

use super::{MPA_PER_KSI, Metal};
use crate::strength::StrengthError;
use std::fmt;

/// A kind of parent metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum MetalKind {
    /// Gray iron.
    Gray,
    /// Ductile iron.
    Ductile,
    /// Aluminum, cast or wrought.
    Aluminum,
    /// Steel, cast or rolled.
    Steel,
}

/// Which shear strength of the parent metal counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ShearBasis {
    /// What sound metal of the stated grade holds.
    Planning,
    /// What it may be as low as: for iron of unknown class, or next to hard spots.
    Floor,
}

/// A least tensile strength in whole units of the unit entered, so that it is shown as entered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tensile {
    /// Megapascals (N/mm²).
    Mpa(u16),
    /// Pounds-force per square inch.
    Psi(u32),
}

/// Least and largest tensile strength accepted, in MPa (judgment, to catch a wrong unit).
const LIMITS_MPA: (f64, f64) = (20.0, 2500.0);

impl MetalKind {
    /// All kinds.
    pub const ALL: [MetalKind; 4] = [
        MetalKind::Gray,
        MetalKind::Ductile,
        MetalKind::Aluminum,
        MetalKind::Steel,
    ];

    /// Returns the name: `gray iron`, `ductile iron`, `aluminum`, `steel`.
    pub const fn name(self) -> &'static str {
        match self {
            MetalKind::Gray => "gray iron",
            MetalKind::Ductile => "ductile iron",
            MetalKind::Aluminum => "aluminum",
            MetalKind::Steel => "steel",
        }
    }

    /// Returns the shear strength of threads as a fraction of the least tensile strength. Every
    /// formula takes it from here.
    ///
    /// Gray iron: lengths of engagement that a fastener catalog prints after practical trials
    /// (secondary source, `tests/published`) imply .76 to 1.07, and .75 is planned with; formula
    /// (16) of FED-STD-H28/2B implies half, which stays the floor for poor, thick or damaged iron.
    /// The torsional shear strengths in handbooks (1.2 to 1.3) are moduli of rupture, not measured
    /// on threads.
    pub const fn shear_share(self, basis: ShearBasis) -> f64 {
        match (self, basis) {
            (MetalKind::Gray, ShearBasis::Planning) => 0.75,
            (MetalKind::Gray | MetalKind::Ductile | MetalKind::Aluminum, _) => 0.5,
            (MetalKind::Steel, _) => 0.6,
        }
    }

    /// Returns the source of [`MetalKind::shear_share`].
    pub const fn shear_source(self) -> &'static str {
        match self {
            MetalKind::Gray => {
                "0.75 of the least tensile strength, after published lengths of engagement (secondary source); as low as half, as FED-STD-H28/2B formula (16) implies, where the iron is unknown, poor or damaged"
            }
            MetalKind::Ductile | MetalKind::Aluminum => {
                "half the tensile strength, as for gray iron (judgment, on the safe side: foundry sheets give up to 0.8 for aluminum)"
            }
            MetalKind::Steel => "0.6 of the tensile strength (ISO/TR 16224, from a public package)",
        }
    }

    /// Returns the least thread of a sound hole in half diameters, and its source.
    pub const fn sound_half_diameters(self) -> (i64, &'static str) {
        match self {
            MetalKind::Gray => (3, "rule of the trade for cast iron, secondary source"),
            MetalKind::Ductile => (3, "as for gray iron, judgment"),
            MetalKind::Aluminum => (4, "rule of the trade for aluminum, secondary source"),
            MetalKind::Steel => (2, "rule of the trade for steel, secondary source"),
        }
    }
}

impl fmt::Display for MetalKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Tensile {
    /// Returns the strength in MPa.
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

/// Parses `steel of 60000 psi`, `steel, 60 ksi` or `aluminum 230 MPa`.
pub(super) fn parse(input: &str) -> Result<Metal, StrengthError> {
    let unknown = || StrengthError::UnknownMetal {
        input: input.to_owned(),
    };
    let plain = input.to_ascii_lowercase().replace("aluminium", "aluminum");
    let kind = MetalKind::ALL
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
        return Err(StrengthError::InvalidTensile {
            input: input.to_owned(),
        });
    }
    // Within the limits both fit their integer types.
    let tensile = match unit.trim() {
        "ksi" => Tensile::Psi((number * 1000.0).round() as u32),
        "psi" => Tensile::Psi(number.round() as u32),
        _ => Tensile::Mpa(number.round() as u16),
    };
    Ok(Metal::Stated(kind, tensile))
}
