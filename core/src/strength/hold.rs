//! A bolt straight in sound metal: what fails first, and how far it may be tightened.

use super::compare::{Comparison, Joint, ParentThread, compare};
use super::{
    Condition, Grade, Metal, StrengthError, Torque, parent_strength_n,
    tapped_shear_area_mm2_per_mm, torque,
};
use crate::length::Length;
use crate::thread::Thread;
use serde::Serialize;

/// No thread is engaged further than this: 500 mm.
const LONGEST: Length = Length::from_nm(500_000_000);

/// What a bolt straight in sound metal comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hold {
    /// All loads, the weakest, and the engagement at which the bolt breaks first.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// The torque range for each condition of the threads; empty where the bolt's strength is not known.
    pub torques: Vec<(Condition, Torque)>,
}

/// Judges a bolt over a length of whole thread, straight in sound metal.
///
/// # Errors
/// A pipe thread, or a length that is not above zero or is absurd.
pub fn hold(
    bolt: Thread,
    grade: Option<Grade>,
    metal: Metal,
    engaged: Length,
) -> Result<Hold, StrengthError> {
    if bolt.is_pipe() {
        return Err(StrengthError::Pipe {
            thread: bolt.designation(),
        });
    }
    if !engaged.is_positive() || engaged > LONGEST {
        return Err(StrengthError::Engagement {
            engaged,
            most: LONGEST,
        });
    }
    let area_mm2_per_mm = tapped_shear_area_mm2_per_mm(&bolt);
    let comparison = compare(&Joint {
        bolt,
        grade,
        metal,
        bolt_engaged: engaged,
        straight: true,
        parent: Some(ParentThread {
            area_mm2_per_mm,
            engaged,
            published_mm2: None,
        }),
    });
    let strips = parent_strength_n(area_mm2_per_mm, engaged, metal);
    let torques = grade
        .into_iter()
        .flat_map(|grade| {
            Condition::ALL.map(|condition| {
                torque(&bolt, &grade, strips, condition)
                    .ok()
                    .map(|torque| (condition, torque))
            })
        })
        .flatten()
        .collect();
    Ok(Hold {
        comparison,
        torques,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::{Iron, Part};
    use super::*;

    /// FED-STD-H28/2B (16) asks for 2.99 D of a grade 5 bolt of 3/8-16 in class 20 iron, so 1.5 D strips first.
    #[test]
    fn weak_iron_strips_first_and_holds_the_torque_down() {
        let bolt = Thread::parse("3/8-16").unwrap();
        let metal = Metal::from(Iron::Class20);
        let held = hold(bolt, Some(Grade::Sae5), metal, bolt.nominal() * 3 / 2).unwrap();
        assert_eq!(held.comparison.weakest, Some(Part::ParentThread));
        let engagement = held.comparison.engagement.unwrap().h28_mm;
        assert!((engagement / bolt.nominal().mm() - 2.99).abs() < 0.02);
        assert_eq!(held.torques.len(), 3);
        let deep = hold(bolt, Some(Grade::Sae5), metal, bolt.nominal() * 4).unwrap();
        assert_eq!(deep.comparison.weakest, Some(Part::Bolt));
        assert!(deep.torques[0].1.usual_nm_torque > held.torques[0].1.usual_nm_torque);
    }

    #[test]
    fn what_is_not_known_or_cannot_be() {
        let bolt = Thread::parse("3/8-16").unwrap();
        let metal = Metal::default();
        let held = hold(bolt, None, metal, bolt.nominal()).unwrap();
        assert!(held.torques.is_empty() && held.comparison.weakest.is_none());
        for nm in [0, -1, 600_000_000] {
            assert!(hold(bolt, None, metal, Length::from_nm(nm)).is_err());
        }
        let pipe = Thread::parse("G 1/2").unwrap();
        let said = hold(pipe, None, metal, bolt.nominal())
            .unwrap_err()
            .to_string();
        assert!(said.contains("pipe"), "{said}");
    }
}
