//! The metal round the hole: gray iron, ductile iron, aluminium or steel, by its grade or by the tensile strength that a person states.

mod gray;
mod named;
mod stated;

pub use gray::Iron;
pub use named::{Aluminium, Ductile, Steel};
pub use stated::{Kind, Tensile};

use super::StrengthError;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// Megapascals in one ksi (1000 lbf/in²): 4.4482216152605 kN over 645.16 mm².
pub(super) const MPA_PER_KSI: f64 = 4_448.221_615_260_5 / 645.16;

/// The metal that the thread is cut into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Metal {
    /// Gray iron by its class, or of unknown class.
    Gray(Iron),
    /// Ductile iron by its grade.
    Ductile(Ductile),
    /// An aluminium casting by its alloy and temper.
    Aluminium(Aluminium),
    /// Steel by its grade.
    Steel(Steel),
    /// What a person knows: the kind of metal, and its least tensile strength.
    Stated(Kind, Tensile),
}

impl Default for Metal {
    fn default() -> Metal {
        Metal::Gray(Iron::Unknown)
    }
}

impl From<Iron> for Metal {
    fn from(iron: Iron) -> Metal {
        Metal::Gray(iron)
    }
}

impl Metal {
    /// Every metal that has a name here: gray irons, ductile irons, aluminium castings, steels.
    pub fn named() -> impl Iterator<Item = Metal> {
        let gray = Iron::ALL.into_iter().map(Metal::Gray);
        let ductile = Ductile::ALL.into_iter().map(Metal::Ductile);
        let aluminium = Aluminium::ALL.into_iter().map(Metal::Aluminium);
        let steel = Steel::ALL.into_iter().map(Metal::Steel);
        gray.chain(ductile).chain(aluminium).chain(steel)
    }

    /// Which kind of metal it is.
    pub const fn kind(self) -> Kind {
        match self {
            Metal::Gray(_) => Kind::Gray,
            Metal::Ductile(_) => Kind::Ductile,
            Metal::Aluminium(_) => Kind::Aluminium,
            Metal::Steel(_) => Kind::Steel,
            Metal::Stated(kind, _) => kind,
        }
    }

    /// Whether nobody knows it, and class 20 gray iron is assumed.
    pub const fn is_assumed(self) -> bool {
        matches!(self, Metal::Gray(Iron::Unknown))
    }

    /// Least tensile strength in MPa. A thick section of a casting is weaker than its test bar.
    pub fn tensile_min_mpa(self) -> f64 {
        match self {
            Metal::Gray(iron) => iron.tensile_min_mpa(),
            Metal::Ductile(grade) => grade.tensile_ksi() * MPA_PER_KSI,
            Metal::Aluminium(alloy) => alloy.tensile_ksi() * MPA_PER_KSI,
            Metal::Steel(grade) => grade.tensile_ksi() * MPA_PER_KSI,
            Metal::Stated(_, tensile) => tensile.mpa(),
        }
    }

    /// Shear strength for stripping threads in MPa: a share of the least tensile strength, see [`Kind::shear_share`].
    pub fn shear_strength_mpa(self) -> f64 {
        self.kind().shear_share() * self.tensile_min_mpa()
    }

    /// Where its tensile strength comes from.
    pub const fn source(self) -> &'static str {
        match self {
            Metal::Gray(_) => "ASTM A48, as published by a foundry (secondary source)",
            Metal::Ductile(_) => {
                "ASTM A536: the grade's first number is its tensile strength in ksi (foundry pages, secondary source)"
            }
            Metal::Aluminium(alloy) => alloy.source(),
            Metal::Steel(grade) => grade.source(),
            Metal::Stated(..) => "as stated by a person",
        }
    }

    /// For people: the name, and for unknown metal what is assumed.
    pub fn description(self) -> String {
        match self {
            Metal::Gray(iron) => iron.description().to_owned(),
            other => other.to_string(),
        }
    }
}

/// `ASTM A48 class 25`, `ASTM A536 grade 65-45-12`, `aluminium 356.0-T6, sand cast`, `steel of 60000 psi`, `unknown`.
impl fmt::Display for Metal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Metal::Gray(iron) => iron.fmt(f),
            Metal::Ductile(grade) => f.write_str(grade.name()),
            Metal::Aluminium(alloy) => f.write_str(alloy.name()),
            Metal::Steel(grade) => f.write_str(grade.name()),
            Metal::Stated(kind, tensile) => write!(f, "{kind} of {tensile}"),
        }
    }
}

/// A name as it is written here, the short ways of the shop (`class 25`, `65-45-12`, `A36`), or a kind of metal with its tensile
/// strength in MPa, ksi or psi (`steel of 60000 psi`).
impl FromStr for Metal {
    type Err = StrengthError;

    fn from_str(text: &str) -> Result<Metal, StrengthError> {
        let asked = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Ok(iron) = asked.parse() {
            return Ok(Metal::Gray(iron));
        }
        let named = Metal::named().find(|metal| {
            let name = metal.to_string();
            let short = name.rsplit(' ').next().unwrap_or_default();
            let grade_only = matches!(metal, Metal::Ductile(_)) && asked == short;
            let plain =
                matches!(metal, Metal::Steel(Steel::A36)) && asked.eq_ignore_ascii_case("A36");
            asked.eq_ignore_ascii_case(&name) || grade_only || plain
        });
        match named {
            Some(metal) => Ok(metal),
            None => stated::read(&asked),
        }
    }
}

impl Serialize for Metal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Metal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Metal, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests;
