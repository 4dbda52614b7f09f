//! How hard the metal of a casting is to the tool, as far as its grade tells.

use crate::cutting::Hardness;
use crate::strength::{Ductile, Iron, Kind, Metal};

/// The hardness that speeds are taken for; none for metals of which no speeds are kept.
///
/// Gray iron by its class, and ductile iron where a machining table gives it the speeds of that gray iron (secondary source). Iron of
/// unknown class is taken as hard: a tool that turns too slowly spoils nothing (judgement).
pub fn hardness(metal: Metal) -> Option<Hardness> {
    match metal {
        Metal::Gray(iron) => Some(match iron {
            Iron::Class20 | Iron::Class25 => Hardness::Soft,
            Iron::Class30 | Iron::Class35 | Iron::Class40 => Hardness::Medium,
            Iron::Unknown => Hardness::Hard,
        }),
        Metal::Ductile(grade) => match grade {
            Ductile::Grade60_40_18 | Ductile::Grade65_45_12 => Some(Hardness::Soft),
            Ductile::Grade80_55_06 => Some(Hardness::Hard),
            Ductile::Grade100_70_03 | Ductile::Grade120_90_02 => None,
        },
        Metal::Stated(Kind::Gray, _) => Some(Hardness::Hard),
        Metal::Stated(..) | Metal::Aluminium(_) | Metal::Steel(_) => None,
    }
}
