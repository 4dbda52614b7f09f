#![allow(clippy::unwrap_used)]

use super::super::damage::{BrokenTool, Station};
use super::super::record::Remedy;
use super::super::remedies::{assessment_of, remedies as remedies_of};
use super::super::testing::*;
use super::*;
use crate::drill::Drill;
use crate::insert::Catalogue;
use crate::strength::{Grade, Iron, Metal};

fn remedies(situation: &Situation) -> Vec<Assessment> {
    remedies_of(situation, Catalogue::standard())
}

fn hole() -> Situation {
    Situation {
        bolt: Some(Grade::Sae5),
        metal: Metal::Gray(Iron::Class25),
        through: Some(false),
        depth: Some(mm(32.0)),
        floor: Some(mm(9.0)),
        nearest_edge: Some(mm(30.0)),
        nearest_hole: Some(mm(60.0)),
        face_cut: Some(mm(0.5)),
        damage_read: true,
        damage: damage(vec![station(0.0, 20.0, 10.0, 1.0, 0.0)]),
        ..Situation::of(thread("3/8-16"))
    }
}

fn thin(situation: &Situation) -> Assessment {
    let all = remedies(situation);
    assessment_of(&all, &thin_wall()).unwrap().clone()
}

fn of(situation: &Situation, remedy: Remedy) -> Assessment {
    remedies(situation)
        .into_iter()
        .find(|a| a.remedy == remedy)
        .unwrap()
}

fn words(situation: &Situation, assessment: &Assessment) -> Vec<&'static str> {
    let steps = steps(situation, assessment, &HoleRecord::default());
    steps.iter().map(|step| step.key.word()).collect()
}

fn step(steps: &[Step], word: &str) -> Step {
    steps
        .iter()
        .find(|step| step.key.word() == word)
        .unwrap()
        .clone()
}

fn number(step: &Step, name: &str) -> Value {
    step.numbers
        .iter()
        .find(|number| number.name == name)
        .unwrap()
        .value
        .clone()
}

#[test]
fn the_order_survives_the_face_cut() {
    let mut situation = hole();
    situation.damage.hard = vec![span(0.0, 2.0).into()];
    situation.damage.broken_tool = Some(BrokenTool {
        what: "tap".into(),
        length: Some(mm(8.0)),
        top: None,
    });
    assert_eq!(
        words(&situation, &thin(&situation)),
        [
            "clear-broken",
            "relieve-hard",
            "centre",
            "drill",
            "tap",
            "dry-fit",
            "face-cut",
            "countersink",
            "set",
            "keys",
            "rule-across",
            "runs-in",
            "square",
            "prove"
        ]
    );
    let listed = steps(&situation, &thin(&situation), &HoleRecord::default());
    let before: Vec<&str> = listed
        .iter()
        .filter(|s| s.before_face_cut)
        .map(|s| s.key.word())
        .collect();
    assert_eq!(
        before,
        [
            "clear-broken",
            "relieve-hard",
            "centre",
            "drill",
            "tap",
            "dry-fit"
        ]
    );
    assert_eq!(
        step(&listed, "clear-broken").title,
        "Get the broken tap out"
    );
}

#[test]
fn each_remedy_has_its_own_steps() {
    let mut situation = hole();
    situation.face_cut = Some(Length::ZERO);
    assert_eq!(
        words(&situation, &of(&situation, Remedy::Leave)),
        ["runs-in", "prove"]
    );
    assert_eq!(
        words(&situation, &of(&situation, Remedy::Chase)),
        ["tap", "runs-in", "square", "prove"]
    );
    let wire = words(&situation, &of(&situation, Remedy::WireInsert));
    assert_eq!(
        wire,
        [
            "centre",
            "drill",
            "tap",
            "dry-fit",
            "countersink",
            "set",
            "rule-across",
            "runs-in",
            "square",
            "prove"
        ]
    );
    let plug = words(&situation, &of(&situation, Remedy::ThreadedPlug));
    assert_eq!(
        plug[1..6],
        ["drill", "tap", "plug", "drill-plug", "tap-plug"]
    );
    let larger = words(&situation, &of(&situation, Remedy::LargerBolt));
    assert!(!larger.contains(&"set") && larger.contains(&"tap"));
}

#[test]
fn the_numbers_stand_at_their_step() {
    let situation = hole();
    let listed = steps(&situation, &thin(&situation), &HoleRecord::default());
    let drill = step(&listed, "drill");
    assert_eq!(drill.title, "Drill 29/64");
    assert_eq!(number(&drill, "drill"), Value::Drill(Drill::fraction(29)));
    // .560 in of full thread and five pitches of 1/13 in are 23.99 mm from the finished face; today .5 mm more.
    let Value::Length(after) = number(&drill, "full diameter to, from the finished face") else {
        panic!()
    };
    let Value::Length(now) = number(&drill, "full diameter to, from today's face") else {
        panic!()
    };
    assert!((after.mm() - 23.993).abs() < 0.001, "{after}");
    assert_eq!(now, after + mm(0.5));
    // Half the cotangent of 59 degrees, times 29/64 in.
    let Value::Length(point) = number(&drill, "point beyond that") else {
        panic!()
    };
    assert!((point.mm() - 0.3004 * 11.509375).abs() < 0.001);
    let set = step(&listed, "set");
    let thou = |n| Length::from_fraction(n, 1000);
    assert_eq!(
        number(&set, "top below the finished face"),
        Value::Between(thou(10), thou(30))
    );
    assert_eq!(
        number(&set, "top below today's face, if set now"),
        Value::Length(thou(20) + mm(0.5))
    );
    assert_eq!(number(&step(&listed, "keys"), "keys"), Value::Count(4));
    assert_eq!(
        number(&step(&listed, "centre"), "old hole off centre by"),
        Value::Length(mm(1.0))
    );
}

#[test]
fn the_torque_at_the_proof_follows_from_the_iron() {
    let situation = hole();
    let assessment = thin(&situation);
    let listed = steps(&situation, &assessment, &HoleRecord::default());
    let prove = step(&listed, "prove");
    let Value::NewtonMetres(torque) = number(&prove, "torque, dry, not above") else {
        panic!()
    };
    // Half the strip load, 35 % scatter off, least nut factor .18, 9.525 mm.
    let expected = 0.5 * assessment.parent_strength_n.unwrap() / 1.35 * 0.18 * 9.525e-3;
    assert!((torque - expected).abs() < 1e-6, "{torque} {expected}");
    assert!(prove.cautions.contains(&Caution::Torque));
    assert!(
        prove
            .cautions
            .iter()
            .any(|c| matches!(c, Caution::IronStripsFirst { .. }))
    );
}

#[test]
fn what_is_done_is_worked_out_from_entries() {
    let situation = hole();
    let assessment = thin(&situation);
    let mut record = HoleRecord {
        choice: choice(thin_wall()),
        ..HoleRecord::default()
    };
    let mut drilled = cut(&thin_wall(), CutStep::Drill);
    drilled.body.depth = Some(mm(20.0));
    record.cuts = vec![
        cut(&plain(Remedy::Chase), CutStep::Centre),
        cut(&plain(Remedy::Chase), CutStep::Tap),
        drilled,
    ];
    let listed = steps(&situation, &assessment, &record);
    // Back on centre is back on centre; a tap run through for another remedy is not this one's tap.
    assert!(step(&listed, "centre").done.is_some());
    assert!(step(&listed, "tap").done.is_none());
    let done = step(&listed, "drill").done.unwrap();
    assert_eq!(done.by.as_deref(), Some("M. Vance"));
    assert_eq!(
        done.but.as_deref(),
        Some("recorded 20 mm (0.7874 in) deep, and 24.49 mm (0.9643 in) are needed")
    );
    record.cuts.push(cut(&thin_wall(), CutStep::Tap));
    record.keys.push(keys(&thin_wall()));
    record.keys[0].body.driven = 3;
    let listed = steps(&situation, &assessment, &record);
    assert_eq!(step(&listed, "dry-fit").waits_for, None);
    assert_eq!(step(&listed, "set").waits_for, Some(StepKey::DryFit));
    assert_eq!(
        step(&listed, "keys").done.unwrap().but.as_deref(),
        Some("3 of 4 keys are driven")
    );
}

#[test]
fn the_face_cut_is_done_when_what_was_planned_has_come_off() {
    let mut situation = hole();
    let assessment = thin(&situation);
    let listed = steps(&situation, &assessment, &HoleRecord::default());
    assert!(step(&listed, "face-cut").done.is_none());
    (situation.face_cut, situation.milled) = (Some(mm(0.2)), mm(0.3));
    assert!(
        step(
            &steps(&situation, &assessment, &HoleRecord::default()),
            "face-cut"
        )
        .done
        .is_none()
    );
    (situation.face_cut, situation.milled) = (Some(Length::ZERO), mm(0.5));
    let listed = steps(&situation, &assessment, &HoleRecord::default());
    assert!(step(&listed, "face-cut").done.is_some());
    assert!(listed.iter().all(|step| !step.before_face_cut));
}

#[test]
fn a_step_out_of_order_says_why_it_asks() {
    let situation = hole();
    let assessment = thin(&situation);
    let mut record = HoleRecord {
        choice: choice(thin_wall()),
        ..HoleRecord::default()
    };
    let asks = |record: &HoleRecord, word: &str| {
        out_of_order(
            &situation,
            &assessment,
            record,
            StepKey::from_word(word).unwrap(),
        )
    };
    assert_eq!(asks(&record, "centre"), None);
    assert!(
        asks(&record, "tap")
            .unwrap()
            .contains("no entry says that drilling is done")
    );
    assert!(
        asks(&record, "keys")
            .unwrap()
            .contains("setting the insert")
    );
    record.cuts = vec![
        cut(&thin_wall(), CutStep::Centre),
        cut(&thin_wall(), CutStep::Drill),
        cut(&thin_wall(), CutStep::Tap),
    ];
    assert_eq!(asks(&record, "dry-fit"), None);
    record.dry_fits = vec![dry_fit(&thin_wall(), true)];
    let why = asks(&record, "set").unwrap();
    assert!(
        why.contains("0.5 mm (0.0197 in) that is still to come")
            && why.contains("(0.0397 in) below today's face"),
        "{why}"
    );
    assert!(
        asks(&record, "plug")
            .unwrap()
            .contains("no part of this remedy")
    );
    record.sets = vec![set(&thin_wall(), false, Some("no mill until June"))];
    assert_eq!(asks(&record, "keys"), None);
    // Set .5 mm below, and .5 mm to come off.
    assert!(
        asks(&record, "face-cut")
            .unwrap()
            .contains("cutter would meet it")
    );
    record.sets[0].body.below_face = Some(mm(1.0));
    assert_eq!(asks(&record, "face-cut"), None);
}

#[test]
fn every_step_has_words_and_a_key_that_reads_back() {
    for key in StepKey::ALL {
        assert_eq!(StepKey::from_word(key.word()), Some(key));
    }
    assert_eq!(StepKey::from_word("polish"), None);
    let crater: Vec<Station> = vec![station(0.0, 6.0, 16.0, 1.0, 0.0)];
    let mut situation = Situation {
        damage: damage(crater),
        ..hole()
    };
    situation.damage.broken_tool = Some(BrokenTool {
        what: "stud".into(),
        length: None,
        top: None,
    });
    for assessment in remedies(&situation) {
        for step in steps(&situation, &assessment, &HoleRecord::default()) {
            assert!(
                !step.title.is_empty() && step.why.ends_with('.'),
                "{step:?}"
            );
            for caution in step.cautions {
                assert!(caution.to_string().ends_with('.'), "{caution}");
            }
        }
    }
}
