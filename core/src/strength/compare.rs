//! Which fails first: the bolt, its thread, or the thread in the parent metal; and how much thread it takes for the bolt to fail first, by
//! two standards side by side.

use super::areas::external_shear_area_mm2_per_mm;
use super::engagement::{engagement_mm, internal_stronger_mm, r2};
use super::{BoltStrength, Grade, Kind, Metal, StrengthError, iso16224};
use crate::length::Length;
use crate::thread::Thread;
use serde::Serialize;
use std::fmt;

/// What can fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// The bolt breaks in its thread.
    Bolt,
    /// The bolt's thread strips.
    BoltThread,
    /// The thread in the parent metal strips.
    ParentThread,
    /// The same, by the area that is published for the insert.
    ParentThreadPublished,
}

/// What one part holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Load {
    /// The part.
    pub part: Part,
    /// Load at which it fails, newtons.
    pub load_n: f64,
    /// How it was worked out.
    pub from: &'static str,
}

/// The thread in the parent metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParentThread {
    /// Its shear area for each millimetre, in mm², by formula (2a).
    pub area_mm2_per_mm: f64,
    /// Length of whole thread that is engaged.
    pub engaged: Length,
    /// The area published for the insert that sits in it, in mm², less what damage takes; none where none is published.
    pub published_mm2: Option<f64>,
}

/// A bolt in its hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The bolt's thread.
    pub bolt: Thread,
    /// Its grade, where it is known.
    pub grade: Option<Grade>,
    /// The parent metal.
    pub metal: Metal,
    /// How much of the bolt's thread is engaged, in an insert or straight in the metal.
    pub bolt_engaged: Length,
    /// Whether the bolt is straight in the metal, and in no insert or plug.
    pub straight: bool,
    /// The thread in the metal; none where nobody looked what is left of it.
    pub parent: Option<ParentThread>,
}

/// Length of engagement at which the bolt breaks before a thread strips, by both standards. Where a number is missing, a sentence says why.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Engagements {
    /// FED-STD-H28/2B, in mm: of the bolt's thread, or of the outside thread where it is in an insert.
    pub h28_mm: f64,
    /// By which formula.
    pub h28_formula: &'static str,
    /// ISO/TR 16224, in mm.
    pub iso16224_mm: Option<f64>,
    /// Why ISO/TR 16224 gives none, or what to know of the number.
    pub iso16224_note: &'static str,
}

/// All loads, the weakest, and the lengths of engagement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// What is known to hold how much, the weakest first.
    pub loads: Vec<Load>,
    /// What fails first; none where not all of bolt, bolt thread and parent thread are known.
    pub weakest: Option<Part>,
    /// How much thread it takes; none where the bolt's grade is not known.
    pub engagement: Option<Engagements>,
    /// What is not known and why, in sentences.
    pub lacks: Vec<String>,
}

const TENSION: &str = "stress area times the grade's least tensile strength (FED-STD-H28/2B)";
const STRIP_BOLT: &str = "FED-STD-H28/2B (4a), least bolt in the largest hole; shear strength 0.6 of the tensile strength (ISO/TR 16224)";
const PUBLISHED: &str = "the least area published for the insert in its self-locking kind (overhaul manual, secondary source)";
const FORMULA: &str = "FED-STD-H28/2B (2a), least bolt or insert in the largest hole";

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Part::Bolt => "the bolt breaks",
            Part::BoltThread => "the bolt's thread strips",
            Part::ParentThread => "the thread in the metal strips",
            Part::ParentThreadPublished => "the thread in the metal strips, by the published area",
        })
    }
}

/// Compares what the parts of a joint hold.
pub fn compare(joint: &Joint) -> Comparison {
    let mut loads = Vec::with_capacity(4);
    let mut lacks = Vec::new();
    let bolt = bolt_of(joint, &mut lacks);
    if let Some(bolt) = &bolt {
        loads.extend(bolt_loads(joint, bolt));
    }
    match &joint.parent {
        Some(parent) => loads.extend(parent_loads(parent, joint.metal)),
        None => lacks.push("what is left of the thread in the metal: nobody has looked".to_owned()),
    }
    loads.sort_by(|a: &Load, b: &Load| a.load_n.total_cmp(&b.load_n));
    Comparison {
        weakest: loads
            .first()
            .map(|load| load.part)
            .filter(|_| lacks.is_empty()),
        engagement: bolt.map(|bolt| engagements(joint, &bolt)),
        loads,
        lacks,
    }
}

/// The bolt's strength, or why there is none.
fn bolt_of(joint: &Joint, lacks: &mut Vec<String>) -> Option<BoltStrength> {
    let Some(grade) = joint.grade else {
        lacks.push("the bolt's grade".to_owned());
        return None;
    };
    let strength: Result<BoltStrength, StrengthError> = grade.strength(&joint.bolt);
    strength
        .map_err(|error| lacks.push(format!("what the bolt holds: {error}")))
        .ok()
}

fn bolt_loads(joint: &Joint, bolt: &BoltStrength) -> [Load; 2] {
    let thread = &joint.bolt;
    let strips = least_bolt_area_mm2_per_mm(thread) * joint.bolt_engaged.or_zero().mm();
    [
        Load {
            part: Part::Bolt,
            load_n: thread.stress_area_mm2() * bolt.tensile_mpa,
            from: TENSION,
        },
        Load {
            part: Part::BoltThread,
            load_n: strips * Kind::Steel.shear_share() * bolt.tensile_mpa,
            from: STRIP_BOLT,
        },
    ]
}

fn parent_loads(parent: &ParentThread, metal: Metal) -> impl Iterator<Item = Load> {
    let shear_mpa = metal.shear_strength_mpa();
    let by_formula = Load {
        part: Part::ParentThread,
        load_n: parent.area_mm2_per_mm * parent.engaged.or_zero().mm() * shear_mpa,
        from: FORMULA,
    };
    let published = parent.published_mm2.map(|area| Load {
        part: Part::ParentThreadPublished,
        load_n: area * shear_mpa,
        from: PUBLISHED,
    });
    std::iter::once(by_formula).chain(published)
}

/// (4a): least shear area of the bolt's thread, in mm² for each mm.
fn least_bolt_area_mm2_per_mm(thread: &Thread) -> f64 {
    external_shear_area_mm2_per_mm(
        thread.usual_internal().minor_max.mm(),
        thread.usual_external().pitch_diameter_min.mm(),
        thread.pitch_mm(),
        thread.form(),
    )
}

fn engagements(joint: &Joint, bolt: &BoltStrength) -> Engagements {
    let (h28_mm, h28_formula) = h28(joint, bolt);
    let (iso16224_mm, iso16224_note) = iso(joint, bolt);
    Engagements {
        h28_mm,
        h28_formula,
        iso16224_mm,
        iso16224_note,
    }
}

/// The longer of formula (16), by which the thread in the metal holds, and (14), by which the bolt's own thread does: the standard asks for
/// the ratio R1/R2 to choose, but where that is near 1 the weaker of the two may be either. In an insert (16) is laid on its outside thread,
/// which the standard does not do itself.
fn h28(joint: &Joint, bolt: &BoltStrength) -> (f64, &'static str) {
    let thread = &joint.bolt;
    let area = thread.stress_area_mm2();
    let strengths = r2(joint.metal.tensile_min_mpa(), bolt.tensile_mpa);
    if !joint.straight {
        let outside = joint.parent.map_or_else(
            || super::tapped_shear_area_mm2_per_mm(thread),
            |parent| parent.area_mm2_per_mm,
        );
        return (
            engagement_mm(area, outside, strengths),
            "formula (16), laid on the outside thread in the metal (judgement)",
        );
    }
    let hole = super::tapped_shear_area_mm2_per_mm(thread);
    let by_bolt = internal_stronger_mm(area, least_bolt_area_mm2_per_mm(thread));
    let by_metal = engagement_mm(area, hole, strengths);
    if by_metal >= by_bolt {
        (
            by_metal,
            "formula (16): the thread in the metal is the weaker",
        )
    } else {
        (by_bolt, "formula (14): the bolt's thread is the weaker")
    }
}

/// Wide metal all round: no widening of a nut.
const SOLID: f64 = 1.8;

fn iso(joint: &Joint, bolt: &BoltStrength) -> (Option<f64>, &'static str) {
    if !joint.straight {
        return (
            None,
            "ISO/TR 16224 is for a bolt straight in the metal, not in an insert or plug",
        );
    }
    let found = iso16224::engagement_mm(
        &joint.bolt,
        bolt.tensile_mpa,
        joint.metal.tensile_min_mpa(),
        SOLID,
    );
    match (found, joint.metal.kind()) {
        (Some(mm), Kind::Steel) => (
            Some(mm),
            "ISO/TR 16224, as a public package gives it; made for steel nuts",
        ),
        (Some(mm), _) => (
            Some(mm),
            "ISO/TR 16224 was made for steel nuts: in this metal its number stands only beside the other, which counts",
        ),
        (None, _) => (
            None,
            "The strengths of bolt and metal lie too far apart for the factors of ISO/TR 16224",
        ),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::strength::{Iron, Steel, tapped_shear_area_mm2_per_mm};
    use proptest::prelude::*;

    fn joint(thread: &str, metal: Metal, diameters: f64) -> Joint {
        let bolt = Thread::parse(thread).unwrap();
        let engaged = Length::computed_mm(bolt.nominal().mm() * diameters);
        Joint {
            bolt,
            grade: Some(if bolt.series().is_metric() {
                Grade::Iso8_8
            } else {
                Grade::Sae5
            }),
            metal,
            bolt_engaged: engaged,
            straight: true,
            parent: Some(ParentThread {
                area_mm2_per_mm: tapped_shear_area_mm2_per_mm(&bolt),
                engaged,
                published_mm2: None,
            }),
        }
    }

    /// Formula (16): a grade 5 bolt of 3/8-16 in class 20 iron wants 2.99 D (`tests/published`, engagement).
    #[test]
    fn in_weak_iron_the_iron_strips_first() {
        let iron = Metal::Gray(Iron::Class20);
        let short = compare(&joint("3/8-16", iron, 1.5));
        assert_eq!(short.weakest, Some(Part::ParentThread));
        let engagement = short.engagement.unwrap();
        assert!(
            (engagement.h28_mm / (0.375 * 25.4) - 2.99).abs() < 0.02,
            "{engagement:?}"
        );
        assert!(engagement.h28_formula.contains("(16)"));
        // Class 20 iron under a bolt of 120 ksi: a ratio of strengths below 0.4.
        assert_eq!(engagement.iso16224_mm, None);
        assert_eq!(
            compare(&joint("3/8-16", iron, 3.1)).weakest,
            Some(Part::Bolt)
        );
    }

    #[test]
    fn in_steel_both_standards_answer() {
        let mut steel = joint("3/8-16", Metal::Steel(Steel::A27Grade70_36), 1.5);
        let found = compare(&steel).engagement.unwrap();
        assert!(found.iso16224_mm.is_some(), "{found:?}");
        steel.grade = Some(Grade::Sae1);
        let found = compare(&steel).engagement.unwrap();
        assert!(found.h28_formula.contains("(14)"), "{found:?}");
    }

    #[test]
    fn what_is_not_known_is_said_and_nothing_is_named_weakest() {
        let mut hole = joint("10-24", Metal::default(), 1.5);
        let said = compare(&hole);
        assert_eq!(said.weakest, None);
        assert!(
            said.lacks[0].contains("does not cover 10-24 UNC"),
            "{:?}",
            said.lacks
        );
        hole.grade = None;
        hole.parent = None;
        let said = compare(&hole);
        assert_eq!((said.loads.len(), said.lacks.len()), (0, 2));
    }

    proptest! {
        #[test]
        fn more_engagement_is_never_weaker(index in 0_usize..6, a in 0.1_f64..4.0, b in 0.1_f64..4.0) {
            let thread = ["1/4-20", "3/8-16", "1/2-13", "M6", "M10", "M16"][index];
            let least = |d: f64| compare(&joint(thread, Metal::Gray(Iron::Class30), d)).loads[0].load_n;
            prop_assert!(least(a.min(b)) <= least(a.max(b)) + 1e-9);
        }

        #[test]
        fn at_the_length_of_h28_the_bolt_breaks_first(index in 0_usize..6, metal in 0_usize..18) {
            let thread = ["1/4-20", "3/8-16", "1/2-13", "M6", "M10", "M16"][index];
            let metal = Metal::named().nth(metal).unwrap();
            let h28 = compare(&joint(thread, metal, 1.0)).engagement.unwrap().h28_mm;
            let diameters = h28 / Thread::parse(thread).unwrap().nominal().mm();
            let found = compare(&joint(thread, metal, diameters * 1.0001));
            prop_assert_eq!(found.weakest, Some(Part::Bolt), "{} in {}: {:?}", thread, metal, found);
        }
    }
}
