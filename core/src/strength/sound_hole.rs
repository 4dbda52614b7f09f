//! A sound hole for a bolt, which a repaired hole is compared with.

use super::{Metal, ShearBasis, parent_strength_n, tapped_shear_area_mm2_per_mm};
use crate::length::Length;
use crate::thread::Thread;

/// Part of a sound hole's load that still counts as the whole of it: less than the rounding of a
/// measured length (judgment).
const NEARLY_SOUND: f64 = 0.995;

/// Returns the length of thread in a sound hole: 1.5 diameters in iron, 2 in aluminum, 1 in steel
/// (see [`super::MetalKind::sound_half_diameters`]).
pub fn sound_engagement(nominal: Length, metal: Metal) -> Length {
    let (halves, _) = metal.kind().sound_half_diameters();
    nominal * halves / 2
}

/// Returns the load that strips a sound hole for a bolt in this metal, in newtons.
pub fn sound_strength_n(bolt: &Thread, metal: Metal, basis: ShearBasis) -> f64 {
    let area = tapped_shear_area_mm2_per_mm(bolt);
    parent_strength_n(area, sound_engagement(bolt.nominal(), metal), metal, basis)
}

/// Returns what to do with the torque in the machine's manual, in a sentence, from the load that a
/// hole holds over that of a sound one in the same metal.
///
/// The ratio does not depend on how strong the metal is.
pub fn manual_torque_advice(sound_ratio: f64) -> String {
    if sound_ratio >= NEARLY_SOUND {
        return "It holds at least what a sound hole holds: use the torque in the machine's manual."
            .to_owned();
    }
    // Rounded down, to the safe side.
    let hundredths = (sound_ratio * 100.0).floor();
    format!(
        "It holds {hundredths:.0}% of what a sound hole in the same metal holds: use the torque in the machine's \
         manual times {:.2}.",
        hundredths / 100.0
    )
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::strength::Iron;

    #[test]
    fn the_ratio_to_a_sound_hole_does_not_depend_on_the_iron() {
        let bolt = Thread::parse("3/8-16").unwrap();
        let area = tapped_shear_area_mm2_per_mm(&bolt);
        for iron in Iron::ALL {
            let metal = Metal::from(iron);
            for basis in [ShearBasis::Planning, ShearBasis::Floor] {
                let short = parent_strength_n(area, bolt.nominal(), metal, basis);
                let ratio = short / sound_strength_n(&bolt, metal, basis);
                assert!((ratio - 1.0 / 1.5).abs() < 1e-9, "{iron} {ratio}");
            }
        }
    }

    #[test]
    fn the_advice_is_rounded_to_the_safe_side() {
        assert!(manual_torque_advice(0.669).contains("66%"));
        assert!(manual_torque_advice(0.669).contains("times 0.66."));
        for sound in [0.998, 1.0, 1.4] {
            assert!(manual_torque_advice(sound).ends_with("the torque in the machine's manual."));
        }
    }
}
