//! Failure loads of bolt, bolt thread and parent thread, and the engagement at which the bolt fails
//! first, by two standards.

use super::areas::external_shear_area_mm2_per_mm;
use super::engagement::engagement_by_shear_mm;
use super::{BoltStrength, Grade, Metal, MetalKind, ShearBasis, StrengthError, iso16224};
use crate::length::Length;
use crate::thread::{PerThread, Thread};
use serde::Serialize;
use std::fmt;
use std::sync::LazyLock;

/// What fails.
#[derive(holebook_shape::Shape, Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FailureMode {
    /// The bolt breaks in its thread.
    Bolt,
    /// The bolt's thread strips.
    BoltThread,
    /// The thread in the parent metal strips.
    ParentThread,
    /// The thread in the parent metal strips, by the area published for the insert.
    ParentThreadPublished,
}

/// The load at which one part fails.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct FailureLoad {
    /// What fails.
    pub failure_mode: FailureMode,
    /// Load in newtons.
    pub load_n: f64,
    /// What the load could be as low as, in newtons; `None` where that is `load_n`.
    pub floor_n: Option<f64>,
    /// How it is computed.
    pub from: &'static str,
}

/// The thread in the parent metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParentThread {
    /// Shear area in mm² per mm, by formula (2a).
    pub area_mm2_per_mm: f64,
    /// Length of intact thread engaged.
    pub engaged: Length,
    /// Area published for the insert in mm², less the damage; `None` if none is published.
    pub published_mm2: Option<f64>,
}

/// A bolt in its hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// The bolt's thread.
    pub bolt: Thread,
    /// The bolt's grade, if known.
    pub grade: Option<Grade>,
    /// The parent metal.
    pub metal: Metal,
    /// Which shear strength of the metal counts.
    pub basis: ShearBasis,
    /// Engaged length of the bolt's thread.
    pub bolt_engaged: Length,
    /// Whether the bolt is threaded directly into the metal, without insert or plug.
    pub straight: bool,
    /// The thread in the metal; `None` if its damage was not described.
    pub parent: Option<ParentThread>,
}

/// Length of engagement at which the bolt breaks before a thread strips, by both standards.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct EngagementNeeded {
    /// By FED-STD-H28/2B with the planned shear strength, in mm: of the bolt's thread, or of the
    /// outside thread of an insert.
    pub h28_mm: f64,
    /// The same if the metal is as weak as its floor, in mm; for iron that is the shear strength that
    /// the standard implies.
    pub h28_floor_mm: f64,
    /// The formula used.
    pub h28_formula: &'static str,
    /// By ISO/TR 16224, in mm.
    pub iso16224_mm: Option<f64>,
    /// Why ISO/TR 16224 gives none, or a note on the number.
    pub iso16224_note: &'static str,
}

/// Failure loads, the weakest part, and the engagement needed.
#[derive(holebook_shape::Shape, Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// Known failure loads, weakest first.
    pub loads: Vec<FailureLoad>,
    /// What fails first; `None` unless bolt, bolt thread and parent thread are all known.
    pub weakest: Option<FailureMode>,
    /// Engagement needed; `None` if the bolt's grade is not known.
    pub engagement: Option<EngagementNeeded>,
    /// What is not known and why, each as a phrase.
    pub missing: Vec<String>,
}

const TENSION: &str = "stress area times the grade's least tensile strength (FED-STD-H28/2B)";
const STRIP_BOLT: &str = "FED-STD-H28/2B (4a), least bolt in the largest hole; shear strength 0.6 of the tensile strength (ISO/TR 16224)";
const PUBLISHED: &str = "least area published for the self-locking version of the insert (overhaul manual, secondary source)";
const FORMULA: &str = "FED-STD-H28/2B (2a), least bolt or insert in the largest hole";

impl fmt::Display for FailureMode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            FailureMode::Bolt => "the bolt breaks",
            FailureMode::BoltThread => "the bolt's thread strips",
            FailureMode::ParentThread => "the thread in the metal strips",
            FailureMode::ParentThreadPublished => {
                "the thread in the metal strips, by the published area"
            }
        })
    }
}

/// Computes and compares the failure loads of a joint.
pub fn compare(joint: &Joint) -> Comparison {
    let mut loads = Vec::with_capacity(4);
    let mut lacks = Vec::new();
    let bolt = bolt_of(joint, &mut lacks);
    if let Some(bolt) = &bolt {
        loads.extend(bolt_loads(joint, bolt));
    }
    match &joint.parent {
        Some(parent) => loads.extend(parent_loads(parent, joint)),
        None => lacks.push("the thread left in the metal: damage not described yet".to_owned()),
    }
    loads.sort_by(|a: &FailureLoad, b: &FailureLoad| a.load_n.total_cmp(&b.load_n));
    Comparison {
        weakest: loads
            .first()
            .map(|load| load.failure_mode)
            .filter(|_| lacks.is_empty()),
        engagement: bolt.map(|bolt| engagements(joint, &bolt)),
        loads,
        missing: lacks,
    }
}

/// Returns the bolt's strength, or records why it is missing.
fn bolt_of(joint: &Joint, lacks: &mut Vec<String>) -> Option<BoltStrength> {
    let Some(grade) = joint.grade else {
        lacks.push("the bolt's grade".to_owned());
        return None;
    };
    let strength: Result<BoltStrength, StrengthError> = grade.strength(&joint.bolt);
    strength
        .map_err(|error| lacks.push(format!("the bolt's strength: {error}")))
        .ok()
}

fn bolt_loads(joint: &Joint, bolt: &BoltStrength) -> [FailureLoad; 2] {
    let thread = &joint.bolt;
    let strips = least_bolt_area_mm2_per_mm(thread) * joint.bolt_engaged.clamp_at_zero().mm();
    [
        FailureLoad {
            failure_mode: FailureMode::Bolt,
            load_n: thread.stress_area_mm2() * bolt.tensile_mpa,
            floor_n: None,
            from: TENSION,
        },
        FailureLoad {
            failure_mode: FailureMode::BoltThread,
            load_n: strips * bolt_shear_mpa(bolt),
            floor_n: None,
            from: STRIP_BOLT,
        },
    ]
}

/// Returns the shear strength of the bolt's thread.
const fn bolt_shear_mpa(bolt: &BoltStrength) -> f64 {
    MetalKind::Steel.shear_share(ShearBasis::Planning) * bolt.tensile_mpa
}

fn parent_loads(parent: &ParentThread, joint: &Joint) -> impl Iterator<Item = FailureLoad> {
    let shear_mpa = joint.metal.shear_strength_mpa(joint.basis);
    let floor_mpa = joint.metal.shear_strength_mpa(ShearBasis::Floor);
    let load = move |failure_mode, area_mm2: f64, from| FailureLoad {
        failure_mode,
        load_n: area_mm2 * shear_mpa,
        floor_n: (floor_mpa < shear_mpa).then_some(area_mm2 * floor_mpa),
        from,
    };
    let by_formula = parent.area_mm2_per_mm * parent.engaged.clamp_at_zero().mm();
    let published = parent
        .published_mm2
        .map(|area_mm2| load(FailureMode::ParentThreadPublished, area_mm2, PUBLISHED));
    std::iter::once(load(FailureMode::ParentThread, by_formula, FORMULA)).chain(published)
}

/// Formula (4a): least shear area of the bolt's thread, in mm² per mm.
fn least_bolt_area_mm2_per_mm(thread: &Thread) -> f64 {
    static AREAS: LazyLock<PerThread<f64>> =
        LazyLock::new(|| PerThread::new(compute_least_bolt_area_mm2_per_mm));
    AREAS.of(thread)
}

fn compute_least_bolt_area_mm2_per_mm(thread: &Thread) -> f64 {
    external_shear_area_mm2_per_mm(
        thread.toleranced_internal().minor_max.mm(),
        thread.toleranced_external().pitch_diameter_min.mm(),
        thread.pitch_mm(),
        thread.form(),
    )
}

fn engagements(joint: &Joint, bolt: &BoltStrength) -> EngagementNeeded {
    let (h28_mm, h28_formula) = h28(joint, bolt, joint.basis);
    let (h28_floor_mm, _) = h28(joint, bolt, ShearBasis::Floor);
    let (iso16224_mm, iso16224_note) = iso(joint, bolt);
    EngagementNeeded {
        h28_mm,
        h28_floor_mm,
        h28_formula,
        iso16224_mm,
        iso16224_note,
    }
}

/// Returns the longer engagement of formula (16), for the thread in the metal, and (14), for the
/// bolt's thread, with the formula.
///
/// The standard puts the shear strength of both at half the tensile strength; here it is that of
/// [`MetalKind::shear_share`], as for the loads. The standard chooses by the ratio R1/R2, but near
/// 1 either thread may be the weaker one. For an insert (16) is applied to its outside thread,
/// which the standard does not do.
fn h28(joint: &Joint, bolt: &BoltStrength, basis: ShearBasis) -> (f64, &'static str) {
    let thread = &joint.bolt;
    let stress_area = thread.stress_area_mm2();
    let needed = |area: f64, shear_mpa: f64| {
        engagement_by_shear_mm(stress_area, bolt.tensile_mpa, area, shear_mpa)
    };
    let metal_mpa = joint.metal.shear_strength_mpa(basis);
    if !joint.straight {
        let outside = joint.parent.map_or_else(
            || super::tapped_shear_area_mm2_per_mm(thread),
            |parent| parent.area_mm2_per_mm,
        );
        return (
            needed(outside, metal_mpa),
            "formula (16), applied to the outside thread in the metal (judgment)",
        );
    }
    let hole = super::tapped_shear_area_mm2_per_mm(thread);
    let by_bolt = needed(least_bolt_area_mm2_per_mm(thread), bolt_shear_mpa(bolt));
    let by_metal = needed(hole, metal_mpa);
    if by_metal >= by_bolt {
        (by_metal, "formula (16): the thread in the metal is weaker")
    } else {
        (by_bolt, "formula (14): the bolt's thread is weaker")
    }
}

/// Width over diameter of solid metal, where nothing dilates as a nut does.
const SOLID: f64 = 1.8;

fn iso(joint: &Joint, bolt: &BoltStrength) -> (Option<f64>, &'static str) {
    if !joint.straight {
        return (None, "ISO/TR 16224 does not cover inserts or plugs");
    }
    let found = iso16224::engagement_mm(
        &joint.bolt,
        bolt.tensile_mpa,
        joint.metal.tensile_min_mpa(),
        SOLID,
    );
    match (found, joint.metal.kind()) {
        (Some(mm), MetalKind::Steel) => (
            Some(mm),
            "ISO/TR 16224, from a public package; made for steel nuts",
        ),
        (Some(mm), _) => (
            Some(mm),
            "ISO/TR 16224 is for steel nuts: in this metal it is for comparison only, so use the other number",
        ),
        (None, _) => (
            None,
            "The strengths of bolt and metal differ too much for the factors of ISO/TR 16224",
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
        let engaged = Length::from_computed_mm(bolt.nominal().mm() * diameters);
        Joint {
            bolt,
            grade: Some(if bolt.series().is_metric() {
                Grade::Iso8_8
            } else {
                Grade::Sae5
            }),
            metal,
            basis: metal.shear_basis(),
            bolt_engaged: engaged,
            straight: true,
            parent: Some(ParentThread {
                area_mm2_per_mm: tapped_shear_area_mm2_per_mm(&bolt),
                engaged,
                published_mm2: None,
            }),
        }
    }

    /// Formula (16): a grade 5 bolt of 3/8-16 in class 20 iron needs 2.99 D (`tests/published`,
    /// engagement), which is the floor. With .75 of the tensile strength in place of half it is two
    /// thirds of that.
    #[test]
    fn weak_iron_strips_before_the_bolt_breaks() {
        let iron = Metal::Gray(Iron::Class20);
        let short = compare(&joint("3/8-16", iron, 1.5));
        assert_eq!(short.weakest, Some(FailureMode::ParentThread));
        let engagement = short.engagement.unwrap();
        for (mm, diameters) in [(engagement.h28_floor_mm, 2.99), (engagement.h28_mm, 1.993)] {
            assert!(
                (mm / (0.375 * 25.4) - diameters).abs() < 0.02,
                "{engagement:?}"
            );
        }
        assert!(engagement.h28_formula.contains("(16)"));
        // Class 20 iron with a bolt of 120 ksi: a strength ratio below 0.4.
        assert_eq!(engagement.iso16224_mm, None);
        assert_eq!(
            compare(&joint("3/8-16", iron, 3.1)).weakest,
            Some(FailureMode::Bolt)
        );
    }

    #[test]
    fn in_steel_both_standards_give_a_length() {
        let mut steel = joint("3/8-16", Metal::Steel(Steel::A27Grade70_36), 1.5);
        let found = compare(&steel).engagement.unwrap();
        assert!(found.iso16224_mm.is_some(), "{found:?}");
        steel.grade = Some(Grade::Sae1);
        let found = compare(&steel).engagement.unwrap();
        assert!(found.h28_formula.contains("(14)"), "{found:?}");
    }

    #[test]
    fn with_missing_data_nothing_is_called_weakest() {
        let mut hole = joint("10-24", Metal::default(), 1.5);
        let found = compare(&hole);
        assert_eq!(found.weakest, None);
        assert!(
            found.missing[0].contains("does not cover 10-24 UNC"),
            "{:?}",
            found.missing
        );
        hole.grade = None;
        hole.parent = None;
        let found = compare(&hole);
        assert_eq!((found.loads.len(), found.missing.len()), (0, 2));
    }

    proptest! {
        #[test]
        fn more_engagement_is_never_weaker(index in 0_usize..6, a in 0.1_f64..4.0, b in 0.1_f64..4.0) {
            let thread = ["1/4-20", "3/8-16", "1/2-13", "M6", "M10", "M16"][index];
            let least = |d: f64| compare(&joint(thread, Metal::Gray(Iron::Class30), d)).loads[0].load_n;
            prop_assert!(least(a.min(b)) <= least(a.max(b)) + 1e-9);
        }

        #[test]
        fn with_the_engagement_of_h28_the_bolt_breaks_first(index in 0_usize..6, metal in 0_usize..18) {
            let thread = ["1/4-20", "3/8-16", "1/2-13", "M6", "M10", "M16"][index];
            let metal = Metal::named().nth(metal).unwrap();
            let h28 = compare(&joint(thread, metal, 1.0)).engagement.unwrap().h28_mm;
            let diameters = h28 / Thread::parse(thread).unwrap().nominal().mm();
            let found = compare(&joint(thread, metal, diameters * 1.0001));
            prop_assert_eq!(found.weakest, Some(FailureMode::Bolt), "{} in {}: {:?}", thread, metal, found);
        }
    }
}
