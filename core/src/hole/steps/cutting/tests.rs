#![allow(clippy::unwrap_used)]

use super::super::super::testing::*;
use super::super::number::Number;
use super::super::{Step, Work, steps};
use super::*;
use crate::hole::damage::HardZone;
use crate::hole::record::{FaceRecord, HoleRecord, Remedy};
use crate::hole::remedies::assessments as remedies_of;
use crate::insert::Catalog;
use crate::strength::{Iron, Metal, Steel};

fn remedies(situation: &Situation) -> Vec<Assessment> {
    remedies_of(situation, Catalog::standard())
}

fn hole(metal: Metal) -> Situation {
    Situation {
        metal,
        through: Some(false),
        depth: Some(mm(34.0)),
        floor: Some(mm(12.0)),
        nearest_edge: Some(mm(30.0)),
        nearest_hole: Some(mm(60.0)),
        face_cut: Some(Length::ZERO),
        damage_described: true,
        damage: damage(vec![station(0.0, 20.0, 10.0, 1.5, 0.0)]),
        ..Situation::of(thread("3/8-16"))
    }
}

fn steps_of(situation: &Situation, assessment: &Assessment) -> Vec<Step> {
    steps(&Work {
        situation,
        assessment,
        record: &HoleRecord::default(),
        face: &FaceRecord::default(),
    })
}

fn listed(situation: &Situation) -> Vec<Step> {
    let all = remedies(situation);
    let assessment = all
        .iter()
        .find(|assessment| assessment.remedy == Remedy::KeyLockingInsert)
        .unwrap();
    steps_of(situation, assessment)
}

fn step(situation: &Situation, step: CutStep) -> Step {
    let key = StepKey::Cut(step);
    listed(situation)
        .into_iter()
        .find(|step| step.key == key)
        .unwrap()
}

fn number<'a>(step: &'a Step, name: &str) -> Option<&'a Number> {
    step.numbers.iter().find(|number| number.name == name)
}

/// Thin wall for 3/8-16: drill 29/64, so an end mill of 7/16 (0.4375 in) below it. Soft iron, high-speed steel: 60 to 80 ft/min.
#[test]
fn the_center_step_names_its_tools_and_rpm() {
    let center = step(&hole(Metal::Gray(Iron::Class20)), CutStep::Center);
    assert_eq!(
        number(&center, "Tools").unwrap().value,
        Value::Text("end mill 7/16, then stub drill 7/16".to_owned())
    );
    let Value::Rpm { least, most } = number(&center, "RPM").unwrap().value else {
        panic!()
    };
    assert!(
        (least - 3.8197 * 60.0 / 0.4375).abs() < 0.1 && (most - 3.8197 * 80.0 / 0.4375).abs() < 0.1
    );
    assert!(center.numbers.len() <= 5, "{:?}", center.numbers);
    assert!(center.notes[0].contains("end mill 7/16") || center.notes[0].contains("End mill 7/16"));
}

#[test]
fn the_drill_step_gives_rpm_and_the_number_of_drills() {
    let soft = step(&hole(Metal::Gray(Iron::Class20)), CutStep::Drill);
    let unknown = step(&hole(Metal::default()), CutStep::Drill);
    let most = |step: &Step| match number(step, "RPM").unwrap().value {
        Value::Rpm { most, .. } => most,
        _ => panic!(),
    };
    // Unknown iron: slower.
    assert!(most(&unknown) < most(&soft));
    assert!(
        unknown
            .notes
            .iter()
            .any(|note| note.contains("The iron is unknown"))
    );
    assert!(
        soft.notes
            .iter()
            .any(|note| note.contains("on hand for this hole"))
    );
    let judged = "Number of tools: judgment.".to_owned();
    assert!(soft.sources.contains(&judged));
}

#[test]
fn other_metals_get_no_rpm_and_the_reason() {
    let drill = step(&hole(Metal::Steel(Steel::A36)), CutStep::Drill);
    assert!(number(&drill, "RPM").is_none());
    assert!(drill.notes[0].contains("No RPM is given"));
}

#[test]
fn the_tap_step_has_the_chamfers_and_hard_metal_has_its_advice() {
    let mut situation = hole(Metal::Gray(Iron::Class25));
    let tap = step(&situation, CutStep::Tap);
    // 1/2-13 outside: plug 3 to 5 threads of 1.954 mm.
    assert!(
        tap.notes[0].contains("plug 3 to 5 threads, 5.86"),
        "{}",
        tap.notes[0]
    );
    situation.damage.hard = vec![HardZone {
        span: span(0.0, 2.0),
        tolerance: None,
    }];
    let relieve = step(&situation, CutStep::RelieveHard);
    assert!(relieve.notes.iter().any(|note| note.contains("file")));
}

#[test]
fn every_note_and_source_is_a_sentence() {
    let mut situation = hole(Metal::Gray(Iron::Class25));
    situation.bolt = Some(crate::strength::Grade::Sae5);
    situation.grip = Some(mm(20.0));
    for assessment in remedies(&situation) {
        for step in steps_of(&situation, &assessment) {
            for note in step.notes.iter().chain(&step.sources) {
                assert!(note.ends_with('.'), "{note}");
            }
        }
    }
}
