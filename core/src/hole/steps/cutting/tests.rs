#![allow(clippy::unwrap_used)]

use super::super::super::testing::*;
use super::super::numbers::Number;
use super::super::{Step, steps};
use super::*;
use crate::hole::damage::HardZone;
use crate::hole::record::{HoleRecord, Remedy};
use crate::hole::remedies::remedies as remedies_of;
use crate::insert::Catalogue;
use crate::strength::{Iron, Metal, Steel};

fn remedies(situation: &Situation) -> Vec<Assessment> {
    remedies_of(situation, Catalogue::standard())
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
        damage_read: true,
        damage: damage(vec![station(0.0, 20.0, 10.0, 1.5, 0.0)]),
        ..Situation::of(thread("3/8-16"))
    }
}

fn listed(situation: &Situation) -> Vec<Step> {
    let all = remedies(situation);
    let way = all
        .iter()
        .find(|way| way.remedy == Remedy::KeyLockingInsert)
        .unwrap();
    steps(situation, way, &HoleRecord::default())
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

/// Thin wall for 3/8-16: drill 29/64, so an end mill of 7/16 (0.4375 in) below it. Soft iron, high speed steel: 60 to 80 ft/min.
#[test]
fn the_centre_step_names_its_tools_and_turns() {
    let centre = step(&hole(Metal::Gray(Iron::Class20)), CutStep::Centre);
    assert_eq!(
        number(&centre, "tools").unwrap().value,
        Value::Words("end mill 7/16, then short drill 7/16".to_owned())
    );
    let Value::Turns(least, most) = number(&centre, "turns a minute").unwrap().value else {
        panic!()
    };
    assert!(
        (least - 3.8197 * 60.0 / 0.4375).abs() < 0.1 && (most - 3.8197 * 80.0 / 0.4375).abs() < 0.1
    );
    assert!(centre.numbers.len() <= 5, "{:?}", centre.numbers);
    assert!(centre.notes[0].contains("end mill 7/16") || centre.notes[0].contains("End mill 7/16"));
}

#[test]
fn the_drill_step_says_how_fast_and_how_many_drills_it_may_take() {
    let soft = step(&hole(Metal::Gray(Iron::Class20)), CutStep::Drill);
    let unknown = step(&hole(Metal::default()), CutStep::Drill);
    let most = |step: &Step| match number(step, "turns a minute").unwrap().value {
        Value::Turns(_, most) => most,
        _ => panic!(),
    };
    // Nobody knows the iron: slower.
    assert!(most(&unknown) < most(&soft));
    assert!(
        unknown
            .notes
            .iter()
            .any(|note| note.contains("Nobody knows this iron"))
    );
    assert!(
        soft.notes
            .iter()
            .any(|note| note.contains("at hand for this hole (judgement)"))
    );
}

#[test]
fn other_metals_are_given_no_turns_and_told_why() {
    let drill = step(&hole(Metal::Steel(Steel::A36)), CutStep::Drill);
    assert!(number(&drill, "turns a minute").is_none());
    assert!(drill.notes[0].contains("No turns are given"));
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
        error: None,
    }];
    let relieve = step(&situation, CutStep::RelieveHard);
    assert!(relieve.notes.iter().any(|note| note.contains("file")));
}

#[test]
fn every_note_is_a_sentence_and_every_word_of_a_proof_ends() {
    let mut situation = hole(Metal::Gray(Iron::Class25));
    situation.bolt = Some(crate::strength::Grade::Sae5);
    situation.grip = Some(mm(20.0));
    for way in remedies(&situation) {
        for step in steps(&situation, &way, &HoleRecord::default()) {
            for note in &step.notes {
                assert!(note.ends_with('.') || note.ends_with(')'), "{note}");
            }
        }
    }
}
