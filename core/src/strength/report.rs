//! The strength report of a bolt threaded directly into sound metal: failure loads and torque.

use super::compare::{Comparison, Joint, ParentThread, compare};
use super::{
    Grade, Lubrication, Metal, StrengthError, Torque, parent_strength_n, sound_strength_n,
    tapped_shear_area_mm2_per_mm, torque,
};
use crate::length::Length;
use crate::thread::Thread;
use serde::Serialize;

/// Largest length of engagement accepted: 500 mm.
const MAX_ENGAGEMENT: Length = Length::from_nm(500_000_000);

/// Strength and torque of a bolt threaded directly into sound metal.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct StrengthReport {
    /// Failure loads, the weakest, and the engagement at which the bolt breaks first.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// Load that strips the metal over the load that strips a sound hole for this bolt in the same
    /// metal. From 1.0 on the torque in the machine's manual holds, below it that torque times this:
    /// see [`manual_torque_advice`](super::manual_torque_advice).
    pub sound_ratio: f64,
    /// Torque for each lubrication; empty if the bolt's strength is not known.
    pub torques: Vec<(Lubrication, Torque)>,
}

/// Reports on a bolt engaged over a length of intact thread, directly in sound metal.
///
/// # Errors
/// For a pipe thread or an STI hole, or a length of engagement out of range.
pub fn strength_report(
    bolt: Thread,
    grade: Option<Grade>,
    metal: Metal,
    engaged: Length,
) -> Result<StrengthReport, StrengthError> {
    bolt.not_sti()?;
    if bolt.is_pipe() {
        return Err(StrengthError::PipeThread {
            thread: bolt.designation(),
        });
    }
    if !engaged.is_positive() || engaged > MAX_ENGAGEMENT {
        return Err(StrengthError::Engagement {
            engaged,
            most: MAX_ENGAGEMENT,
        });
    }
    let area_mm2_per_mm = tapped_shear_area_mm2_per_mm(&bolt);
    let basis = metal.shear_basis();
    let comparison = compare(&Joint {
        bolt,
        grade,
        metal,
        basis,
        bolt_engaged: engaged,
        straight: true,
        parent: Some(ParentThread {
            area_mm2_per_mm,
            engaged,
            published_mm2: None,
        }),
    });
    let strip_load_n = parent_strength_n(area_mm2_per_mm, engaged, metal, basis);
    let torques = grade
        .into_iter()
        .flat_map(|grade| {
            Lubrication::ALL.map(|lubrication| {
                torque(&bolt, &grade, strip_load_n, lubrication)
                    .ok()
                    .map(|torque| (lubrication, torque))
            })
        })
        .flatten()
        .collect();
    Ok(StrengthReport {
        comparison,
        sound_ratio: strip_load_n / sound_strength_n(&bolt, metal, basis),
        torques,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::{FailureMode, Iron, show_torque};
    use super::*;
    use crate::length::Unit;

    /// FED-STD-H28/2B (16) requires 2.99 D for a grade 5 bolt of 3/8-16 in class 20 iron, so 1.5 D
    /// strips first.
    #[test]
    fn weak_iron_strips_first_and_limits_the_torque() {
        let bolt = Thread::parse("3/8-16").unwrap();
        let metal = Metal::from(Iron::Class20);
        let short =
            strength_report(bolt, Some(Grade::Sae5), metal, bolt.nominal() * 3 / 2).unwrap();
        assert_eq!(short.comparison.weakest, Some(FailureMode::ParentThread));
        let engagement = short.comparison.engagement.unwrap().h28_floor_mm;
        assert!((engagement / bolt.nominal().mm() - 2.99).abs() < 0.02);
        assert!((short.sound_ratio - 1.0).abs() < 1e-9);
        assert_eq!(short.torques.len(), 3);
        let deep = strength_report(bolt, Some(Grade::Sae5), metal, bolt.nominal() * 4).unwrap();
        assert_eq!(deep.comparison.weakest, Some(FailureMode::Bolt));
        assert!(deep.torques[0].1.usual_nm_torque > short.torques[0].1.usual_nm_torque);
    }

    /// T = K D F with K = .20 and 75 % of a grade 5 bolt's proof load of 85 ksi: 30.9 ft-lb for
    /// 3/8-16, as torque charts print it. A sound hole in class 30 iron takes it.
    #[test]
    fn a_sound_hole_takes_the_usual_torque() {
        let bolt = Thread::parse("3/8-16").unwrap();
        let metal = Metal::from(Iron::Class30);
        let sound =
            strength_report(bolt, Some(Grade::Sae5), metal, bolt.nominal() * 3 / 2).unwrap();
        let (lubrication, dry) = sound.torques[0];
        assert_eq!(lubrication, Lubrication::Dry);
        let chart_nm = 0.20 * 9.525e-3 * 0.75 * 85_000.0 * 0.0775 * 4.448_222;
        assert!(
            (dry.bolt_nm_torque / chart_nm - 1.0).abs() < 0.002,
            "{dry:?}"
        );
        assert_eq!(show_torque(dry.bolt_nm_torque, Unit::Inch), "31 ft-lb");
        assert_eq!(dry.hole_limit_nm_torque, None);
        assert_eq!(dry.usual_nm_torque, dry.bolt_nm_torque);
    }

    #[test]
    fn unknown_grades_and_invalid_input() {
        let bolt = Thread::parse("3/8-16").unwrap();
        let metal = Metal::default();
        let short = strength_report(bolt, None, metal, bolt.nominal()).unwrap();
        assert!(short.torques.is_empty() && short.comparison.weakest.is_none());
        for nm in [0, -1, 600_000_000] {
            assert!(strength_report(bolt, None, metal, Length::from_nm(nm)).is_err());
        }
        let pipe = Thread::parse("G 1/2").unwrap();
        let said = strength_report(pipe, None, metal, bolt.nominal())
            .unwrap_err()
            .to_string();
        assert!(said.contains("pipe"), "{said}");
    }
}
