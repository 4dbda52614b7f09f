#![allow(clippy::unwrap_used)]

use super::super::face_setup::FaceSetup;
use super::super::next::NextAction;
use super::super::plan::Plan;
use super::super::record::{FaceCut, FaceMilled, FactEntries, Remedy};
use super::super::situation::situation_of;
use super::super::stage::{Conflict, Stage};
use super::super::testing::*;
use super::*;
use crate::hole::caution::Caution;
use crate::hole::steps::StepKey;

/// A face whose holes are alike: 3/8-16, 34 mm deep over a floor of 12 mm, 30 mm from the edge and
/// 60 mm apart.
fn face() -> FaceRecord {
    let planned = mm(0.5);
    FaceRecord {
        planned_cut: FactEntries(vec![recorded(FaceCut::typed(planned))]),
        setup: FaceSetup {
            thread: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
            readings: vec![
                reading(Quantity::Depth, 34.0),
                reading(Quantity::Floor, 12.0),
                reading(Quantity::NearestEdge, 30.0),
                reading(Quantity::NearestHole, 60.0),
            ],
            ..FaceSetup::default()
        },
        ..FaceRecord::default()
    }
}

fn looked_at(stripped: bool) -> HoleRecord {
    let stations = match stripped {
        true => vec![station(0.0, 20.0, 9.4, 0.0, 0.0)],
        false => Vec::new(),
    };
    HoleRecord {
        damage: FactEntries(vec![recorded(damage(stations))]),
        ..HoleRecord::default()
    }
}

fn plan(record: &HoleRecord, face: &FaceRecord) -> Plan {
    Plan::of(record, face, Catalog::standard())
}

#[test]
fn a_hole_takes_over_what_nobody_recorded_at_it() {
    let face = face();
    let mut hole = looked_at(false);
    let situation = situation_of(&hole, &face).unwrap();
    assert_eq!(situation.thread, thread("3/8-16"));
    // Each at the worst case of its tolerance of 0.1 mm.
    assert_eq!(situation.depth, Some(mm(33.9)));
    assert_eq!(situation.floor, Some(mm(11.9)));
    let inherited = plan(&hole, &face).inherited;
    assert!(inherited.thread);
    assert_eq!(inherited.readings, USUAL_QUANTITIES[..4]);

    // Its own entries come first, also where they leave more metal.
    hole.wanted = FactEntries(vec![recorded(wanted_thread("7/16-14"))]);
    hole.readings = vec![reading(Quantity::Depth, 40.0)];
    let situation = situation_of(&hole, &face).unwrap();
    assert_eq!(situation.thread, thread("7/16-14"));
    assert_eq!(situation.depth, Some(mm(39.9)));
    let inherited = plan(&hole, &face).inherited;
    assert!(!inherited.thread);
    assert_eq!(inherited.readings, USUAL_QUANTITIES[1..4]);
    // A second time changes nothing.
    let whole = inherit(&hole, &face);
    assert_eq!(inherit(&whole, &face), whole);
}

#[test]
fn a_hole_that_goes_through_does_not_inherit_a_floor() {
    let face = face();
    let mut hole = looked_at(false);
    let mut through = wanted_thread("3/8-16");
    through.through = Some(true);
    hole.wanted = FactEntries(vec![recorded(through)]);
    let situation = situation_of(&hole, &face).unwrap();
    assert_eq!((situation.floor, situation.blind()), (None, Some(false)));
}

#[test]
fn a_usual_depth_is_less_by_what_was_milled_after_it() {
    let mut face = face();
    let milled = FaceMilled {
        removed: mm(0.4),
        ..FaceMilled::default()
    };
    face.milled.push(recorded(milled));
    let hole = looked_at(false);
    assert_eq!(situation_of(&hole, &face).unwrap().depth, Some(mm(33.5)));
    face.setup
        .readings
        .retain(|usual| usual.body.quantity != Quantity::Depth);
    face.setup.readings.push(reading(Quantity::Depth, 34.0));
    assert_eq!(situation_of(&hole, &face).unwrap().depth, Some(mm(33.9)));
}

#[test]
fn a_sound_hole_is_left_as_is_without_a_reading() {
    let face = face();
    let mut hole = HoleRecord::default();
    let before = plan(&hole, &face);
    assert_eq!(before.status.stage, Stage::NotMeasured);
    assert_eq!(before.next, NextAction::DescribeDamage);

    hole = looked_at(false);
    let seen = plan(&hole, &face);
    assert_eq!(seen.next, NextAction::ChooseRemedy);
    let first = &seen.assessments[0];
    assert_eq!(first.remedy, Remedy::Leave);
    assert_eq!(first.verdict, crate::hole::verdict::Verdict::Fits);
    assert_eq!(seen.unmeasured_bases(first, Catalog::standard()), []);

    hole.choice = choice(plain_spec(Remedy::Leave));
    let mut done = face.clone();
    done.milled.push(recorded(FaceMilled {
        removed: mm(0.5),
        ..FaceMilled::default()
    }));
    hole.final_checks = vec![final_check(&plain_spec(Remedy::Leave), true)];
    let passed = plan(&hole, &done);
    assert_eq!(passed.status.stage, Stage::Passed, "{:?}", passed.status);
}

#[test]
fn a_remedy_that_cuts_metal_says_what_was_not_measured_at_the_hole() {
    let face = face();
    let mut hole = looked_at(true);
    hole.choice = choice(thin_wall());
    let before = plan(&hole, &face);
    let chosen = before.chosen().unwrap();
    let bases = before.unmeasured_bases(chosen, Catalog::standard());
    let of = |quantity| {
        let mut bases = bases.iter();
        bases.find(|basis: &&UnmeasuredBasis| basis.quantity == quantity)
    };
    let edge = of(Quantity::NearestEdge).unwrap();
    assert_eq!(edge.checks, ["wall to the edge"]);
    let between = of(Quantity::NearestHole).unwrap();
    assert_eq!(between.checks, ["wall to the nearest hole"]);
    let depth = of(Quantity::Depth).unwrap();
    assert!(
        depth
            .checks
            .iter()
            .any(|check| check == "floor under the drill point")
    );
    let first_cut = before.steps.iter().find(|step| {
        let cautions = &step.cautions;
        cautions.contains(&Caution::NotMeasuredHere)
    });
    assert!(matches!(first_cut.unwrap().key, StepKey::Cut(_)));

    for (quantity, value) in [
        (Quantity::Depth, 34.0),
        (Quantity::Floor, 12.0),
        (Quantity::NearestEdge, 30.0),
        (Quantity::NearestHole, 60.0),
    ] {
        hole.readings.push(reading(quantity, value));
    }
    let measured = plan(&hole, &face);
    let chosen = measured.chosen().unwrap();
    assert_eq!(measured.unmeasured_bases(chosen, Catalog::standard()), []);
    let mut cautions = measured.steps.iter().flat_map(|step| &step.cautions);
    assert!(!cautions.any(|caution| *caution == Caution::NotMeasuredHere));
    // The same values give the same numbers, wherever they come from.
    assert_eq!(before.situation, measured.situation);
    assert_eq!(before.assessments, measured.assessments);
}

#[test]
fn a_setup_that_differs_is_a_conflict_of_the_holes_that_inherit_it() {
    let mut face = face();
    let other = recorded(wanted_thread("M10"));
    face.setup.thread.0.push(other);
    let mut hole = looked_at(false);
    let conflicts = plan(&hole, &face).status.conflicts;
    assert!(
        matches!(&conflicts[..], [Conflict::SetupDiffers { entries }] if entries.len() == 2),
        "{conflicts:?}"
    );
    hole.wanted = FactEntries(vec![recorded(wanted_thread("3/8-16"))]);
    assert_eq!(plan(&hole, &face).status.conflicts, []);

    face.setup.readings.push(reading(Quantity::Depth, 30.0));
    assert!(face.setup.differs());
    let conflicts = plan(&hole, &face).status.conflicts;
    assert!(matches!(&conflicts[..], [Conflict::SetupDiffers { .. }]));
    hole.readings.push(reading(Quantity::Depth, 30.0));
    assert_eq!(plan(&hole, &face).status.conflicts, []);
}
