//! The parent metal: gray iron, ductile iron, aluminum or steel, by grade or by a stated tensile
//! strength.

mod gray;
mod named;
mod stated;

pub use gray::Iron;
pub use named::{Aluminum, Ductile, Steel};
pub use stated::{MetalKind, ShearBasis, Tensile};

use super::StrengthError;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::str::FromStr;

/// Megapascals in one ksi (1000 lbf/in²): 4.4482216152605 kN over 645.16 mm².
pub(super) const MPA_PER_KSI: f64 = 4_448.221_615_260_5 / 645.16;

/// The metal that the thread is cut into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Metal {
    /// Gray iron by class, or of unknown class.
    Gray(Iron),
    /// Ductile iron by grade.
    Ductile(Ductile),
    /// An aluminum casting by alloy and temper.
    Aluminum(Aluminum),
    /// Steel by grade.
    Steel(Steel),
    /// A kind of metal with a stated least tensile strength.
    Stated(MetalKind, Tensile),
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
    /// Iterates over all named metals: gray irons, ductile irons, aluminum castings, steels.
    pub fn named() -> impl Iterator<Item = Metal> {
        let gray = Iron::ALL.into_iter().map(Metal::Gray);
        let ductile = Ductile::ALL.into_iter().map(Metal::Ductile);
        let aluminum = Aluminum::ALL.into_iter().map(Metal::Aluminum);
        let steel = Steel::ALL.into_iter().map(Metal::Steel);
        gray.chain(ductile).chain(aluminum).chain(steel)
    }

    /// Returns the kind of metal.
    pub const fn kind(self) -> MetalKind {
        match self {
            Metal::Gray(_) => MetalKind::Gray,
            Metal::Ductile(_) => MetalKind::Ductile,
            Metal::Aluminum(_) => MetalKind::Aluminum,
            Metal::Steel(_) => MetalKind::Steel,
            Metal::Stated(kind, _) => kind,
        }
    }

    /// Whether it is unknown, so that class 20 gray iron is assumed.
    pub const fn is_assumed(self) -> bool {
        matches!(self, Metal::Gray(Iron::Unknown))
    }

    /// Returns the least tensile strength in MPa. A thick section of a casting is weaker than its
    /// test bar.
    pub fn tensile_min_mpa(self) -> f64 {
        match self {
            Metal::Gray(iron) => iron.tensile_min_mpa(),
            Metal::Ductile(grade) => grade.tensile_ksi() * MPA_PER_KSI,
            Metal::Aluminum(alloy) => alloy.tensile_ksi() * MPA_PER_KSI,
            Metal::Steel(grade) => grade.tensile_ksi() * MPA_PER_KSI,
            Metal::Stated(_, tensile) => tensile.mpa(),
        }
    }

    /// Returns the shear strength for stripping threads in MPa: a fraction of the least tensile
    /// strength, see [`MetalKind::shear_share`].
    pub fn shear_strength_mpa(self, basis: ShearBasis) -> f64 {
        self.kind().shear_share(basis) * self.tensile_min_mpa()
    }

    /// Returns which shear strength counts where nothing else is known of the metal: the floor for
    /// unknown iron.
    pub const fn shear_basis(self) -> ShearBasis {
        if self.is_assumed() {
            ShearBasis::Floor
        } else {
            ShearBasis::Planning
        }
    }

    /// Returns the source of the tensile strength.
    pub const fn source(self) -> &'static str {
        match self {
            Metal::Gray(_) => "ASTM A48, as published by a foundry (secondary source)",
            Metal::Ductile(_) => {
                "ASTM A536: the grade's first number is its tensile strength in ksi (foundry pages, secondary source)"
            }
            Metal::Aluminum(alloy) => alloy.source(),
            Metal::Steel(grade) => grade.source(),
            Metal::Stated(..) => "as entered",
        }
    }

    /// Returns the name, and for unknown metal what is assumed.
    pub fn description(self) -> String {
        match self {
            Metal::Gray(iron) => iron.description().to_owned(),
            other => other.to_string(),
        }
    }
}

/// `ASTM A48 class 25`, `ASTM A536 grade 65-45-12`, `aluminum 356.0-T6, sand cast`, `steel of 60000
/// psi`, `unknown`.
impl fmt::Display for Metal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Metal::Gray(iron) => iron.fmt(f),
            Metal::Ductile(grade) => f.write_str(grade.name()),
            Metal::Aluminum(alloy) => f.write_str(alloy.name()),
            Metal::Steel(grade) => f.write_str(grade.name()),
            Metal::Stated(kind, tensile) => write!(f, "{kind} of {tensile}"),
        }
    }
}

/// A full name, a shop name (`class 25`, `65-45-12`, `A36`), or a kind of metal with its tensile
/// strength in MPa, ksi or psi (`steel of 60000 psi`). `aluminium`, as older entries have it, is
/// accepted too.
impl FromStr for Metal {
    type Err = StrengthError;

    fn from_str(text: &str) -> Result<Metal, StrengthError> {
        let input = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Ok(iron) = input.parse() {
            return Ok(Metal::Gray(iron));
        }
        let spelled = input.to_ascii_lowercase().replace("aluminium", "aluminum");
        let named = Metal::named().find(|metal| {
            let name = metal.to_string();
            let short = name.rsplit(' ').next().unwrap_or_default();
            let grade_only = matches!(metal, Metal::Ductile(_)) && input == short;
            let plain =
                matches!(metal, Metal::Steel(Steel::A36)) && input.eq_ignore_ascii_case("A36");
            spelled.eq_ignore_ascii_case(&name) || grade_only || plain
        });
        match named {
            Some(metal) => Ok(metal),
            None => stated::parse(&input),
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
