//! Hardness class of a casting's metal, for cutting speeds.

use crate::cutting::Hardness;
use crate::strength::{Ductile, Iron, Metal, MetalKind};

/// Returns whether the metal may be harder than 150 Brinell, above which the slots for locking keys
/// may have to be broached (MS51835B). Even class 20 gray iron often is.
pub(super) const fn may_be_too_hard_for_keys(metal: Metal) -> bool {
    !matches!(metal.kind(), MetalKind::Aluminum)
}

/// Returns the hardness class to take cutting speeds for; `None` for metals without speed data.
///
/// Gray iron goes by its class, ductile iron by the gray iron that a machining table gives the same
/// speeds (secondary source). Iron of unknown class counts as hard, because a tool that turns too
/// slowly does no harm (judgment).
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
        Metal::Stated(MetalKind::Gray, _) => Some(Hardness::Hard),
        Metal::Stated(..) | Metal::Aluminum(_) | Metal::Steel(_) => None,
    }
}
