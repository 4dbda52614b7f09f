#![allow(clippy::unwrap_used)]

use super::super::super::testing::*;
use super::super::Assessment;
use crate::hole::caution::Caution;
use crate::hole::record::Remedy;
use crate::hole::situation::Situation;
use crate::insert::{Catalog, Family};
use crate::length::Length;
use crate::strength::bolt::{BoltLengthAdvice, length_tolerance};
use crate::strength::{Aluminum, FailureMode, Grade, Iron, Metal, ShearBasis, Steel};
use proptest::prelude::*;

fn assess(situation: &Situation) -> Vec<Assessment> {
    super::super::assessments(situation, Catalog::standard())
}

fn hole() -> Situation {
    Situation {
        bolt: Some(Grade::Sae5),
        metal: Metal::Gray(Iron::Class25),
        through: Some(false),
        depth: Some(mm(34.0)),
        floor: Some(mm(12.0)),
        nearest_edge: Some(mm(30.0)),
        nearest_hole: Some(mm(60.0)),
        mating_hole: Some(mm(12.5)),
        grip: Some(mm(19.05)),
        face_cut: Some(Length::ZERO),
        damage_described: true,
        damage: damage(vec![station(0.0, 30.0, 10.0, 0.0, 0.0)]),
        ..Situation::of(thread("3/8-16"))
    }
}

fn each_insert(situation: &Situation) -> Vec<Assessment> {
    assess(situation)
        .into_iter()
        .filter(|assessment| assessment.insert.is_some())
        .collect()
}

fn of(situation: &Situation, remedy: Remedy) -> Assessment {
    assess(situation)
        .into_iter()
        .find(|assessment| assessment.remedy == remedy)
        .unwrap()
}

#[test]
fn json_has_the_bolt_only_where_the_grip_is_known() {
    let mut situation = hole();
    let json = |situation: &Situation| {
        serde_json::to_value(of(situation, Remedy::KeyLockingInsert)).unwrap()
    };
    let with = json(&situation);
    assert_eq!(with["bolt"]["thread"], "3/8-16 UNC");
    assert_eq!(with["bolt"]["grip_mm"], 19.05);
    assert!(
        with["bolt"]["name"]
            .as_str()
            .unwrap()
            .starts_with("3/8-16 x 1-"),
        "{}",
        with["bolt"]
    );
    assert_eq!(with["failure"]["weakest"], "parent-thread-published");
    assert!(with["failure"]["engagement"]["h28_mm"].as_f64().unwrap() > 9.0);
    assert_eq!(
        with["failure"]["engagement"]["iso16224_mm"],
        serde_json::Value::Null
    );
    situation.grip = None;
    assert_eq!(json(&situation)["bolt"], serde_json::Value::Null);
}

#[test]
fn bolt_reaches_past_the_insert_and_stays_off_the_bottom() {
    let situation = hole();
    for assessment in each_insert(&situation) {
        let insert = assessment.insert.as_ref().unwrap();
        let bolt = assessment.bolt.as_ref().unwrap();
        let beyond = if insert.family == Family::WireThread {
            2.0
        } else {
            1.0
        };
        for length in [bolt.shortest, bolt.longest].into_iter().flatten() {
            let (short, long) = length_tolerance(&bolt.thread, length);
            let tip = |length: Length| (length - mm(19.05)).mm();
            let past =
                (insert.set_below_max + insert.length).mm() + beyond * insert.internal.pitch_mm();
            assert!(
                tip(length - short) >= past - 1e-6,
                "{}: {}",
                insert.family,
                tip(length)
            );
            assert!(
                tip(length + long) < 34.0,
                "{}: {}",
                insert.family,
                tip(length)
            );
        }
    }
}

#[test]
fn through_hole_does_not_limit_the_bolt_and_says_so() {
    let situation = Situation {
        through: Some(true),
        floor: None,
        ..hole()
    };
    let assessment = of(&situation, Remedy::KeyLockingInsert);
    assert_eq!(assessment.bolt.unwrap().most, None);
    assert!(
        assessment
            .cautions
            .contains(&Caution::BoltLength(BoltLengthAdvice::GoesThrough))
    );
}

#[test]
fn unknown_depth_cautions_that_the_bolt_may_bottom() {
    let situation = Situation {
        depth: None,
        floor: None,
        ..hole()
    };
    let assessment = of(&situation, Remedy::Leave);
    assert!(
        assessment
            .cautions
            .contains(&Caution::BoltLength(BoltLengthAdvice::RoomNotKnown))
    );
}

#[test]
fn grade_that_does_not_cover_the_size_has_a_caution() {
    let situation = Situation {
        thread: thread("10-24"),
        ..hole()
    };
    let assessment = of(&situation, Remedy::WireInsert);
    assert_eq!(assessment.bolt_strength_n, None);
    let caution = assessment
        .cautions
        .iter()
        .find(|caution| matches!(caution, Caution::GradeNotCovered { .. }));
    let caution = caution.unwrap().to_string();
    assert!(
        caution.contains("SAE J429 grade 5 does not cover 10-24 UNC"),
        "{caution}"
    );
    assert!(assessment.failure.unwrap().missing[0].contains("1/4 in"));
}

#[test]
fn larger_bolt_is_the_bolt_of_the_joint() {
    let situation = hole();
    let all = assess(&situation);
    for size in ["7/16-14", "7/16-20", "1/2-13"] {
        let larger = all
            .iter()
            .find(|assessment| assessment.bolt_thread == thread(size));
        let larger = larger.unwrap();
        assert_eq!(larger.remedy, Remedy::LargerBolt);
        assert_eq!(larger.bolt.as_ref().unwrap().thread, thread(size));
    }
    // A stepped stud has the wanted thread above and is made to measure.
    let stud = of(&situation, Remedy::SteppedStud);
    assert_eq!((stud.bolt_thread, stud.bolt), (situation.thread, None));
}

/// In steel a sound hole has one diameter of thread, in aluminum two (rules of the trade, secondary
/// source).
#[test]
fn sound_engagement_depends_on_the_metal() {
    let sound = |metal: Metal| {
        let situation = Situation { metal, ..hole() };
        let assessment = of(&situation, Remedy::Leave);
        assessment.sound_strength_n.unwrap() / metal.shear_strength_mpa(ShearBasis::Planning)
    };
    let steel = sound(Metal::Steel(Steel::A36));
    assert!((sound(Metal::Gray(Iron::Class25)) / steel - 1.5).abs() < 1e-6);
    assert!((sound(Metal::Aluminum(Aluminum::Alloy356T6)) / steel - 2.0).abs() < 1e-6);
}

proptest! {
    #[test]
    fn stronger_metal_never_fails_sooner(a in 0_usize..5, b in 0_usize..5) {
        let least = |index: usize| {
            let situation = Situation { metal: Metal::Gray(Iron::ALL[index]), ..hole() };
            of(&situation, Remedy::KeyLockingInsert).failure.unwrap().loads[0].load_n
        };
        prop_assert!(least(a.min(b)) <= least(a.max(b)) + 1e-9);
    }

    #[test]
    fn weakest_part_has_the_smallest_load(depth in 20.0_f64..60.0, diameter in 8.0_f64..14.0) {
        let situation = Situation {
            depth: Some(mm(depth)),
            damage: damage(vec![station(0.0, depth, diameter, 0.5, 0.0)]),
            ..hole()
        };
        for assessment in assess(&situation) {
            let Some(fails) = assessment.failure else { continue };
            let least = fails.loads.iter().map(|load| load.load_n).fold(f64::INFINITY, f64::min);
            prop_assert_eq!(fails.loads[0].load_n, least);
            // Where a part has no figure, no weakest part is named.
            let named = fails.missing.is_empty().then_some(fails.loads[0].failure_mode);
            prop_assert_eq!(fails.weakest, named);
            let has_unjudged_part = matches!(assessment.remedy, Remedy::ThreadedPlug | Remedy::SteppedStud | Remedy::Bushing);
            prop_assert_eq!(fails.weakest.is_none(), has_unjudged_part);
            let strips = fails.loads.iter().find(|load| load.failure_mode == FailureMode::ParentThread).unwrap();
            prop_assert!(strips.load_n >= assessment.parent_strength_n.unwrap() - 1e-6);
        }
    }
}
