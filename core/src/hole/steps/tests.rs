#![allow(clippy::unwrap_used)]

mod guidance;

use super::super::damage::{BrokenTool, Station};
use super::super::record::{FaceCut, FaceMilled, FaceRecord, FactEntries, HoleRecord, Remedy};
use super::super::remedies::{Assessment, assessment_of, assessments as remedies_of};
use super::super::situation::Situation;
use super::super::testing::*;
use super::*;
use crate::drill::Drill;
use crate::insert::Catalog;
use crate::length::{Length, Rounding};
use crate::strength::{Grade, Iron, Metal};

fn remedies(situation: &Situation) -> Vec<Assessment> {
    remedies_of(situation, Catalog::standard())
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
        damage_described: true,
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

/// A face with the situation's cut planned, and its stock removed after all other entries.
fn face(situation: &Situation) -> FaceRecord {
    let left = situation.face_cut.unwrap_or(Length::ZERO);
    let cut = FaceMilled {
        removed: situation.milled,
        ..FaceMilled::default()
    };
    FaceRecord {
        planned_cut: FactEntries(vec![recorded(FaceCut::typed(left + situation.milled))]),
        milled: Vec::from_iter(situation.milled.is_positive().then(|| recorded(cut))),
        ..FaceRecord::default()
    }
}

fn steps_of(situation: &Situation, assessment: &Assessment, record: &HoleRecord) -> Vec<Step> {
    steps(&Work {
        situation,
        assessment,
        record,
        face: &face(situation),
    })
}

fn names(situation: &Situation, assessment: &Assessment) -> Vec<&'static str> {
    let steps = steps_of(situation, assessment, &HoleRecord::default());
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
fn the_order_works_before_and_after_the_face_cut() {
    let mut situation = hole();
    situation.damage.hard = vec![span(0.0, 2.0).into()];
    situation.damage.broken_tool = Some(BrokenTool {
        what: "tap".into(),
        length: Some(mm(8.0)),
        top: None,
    });
    assert_eq!(
        names(&situation, &thin(&situation)),
        [
            "clear-broken",
            "relieve-hard",
            "center",
            "drill",
            "tap",
            "trial-fit",
            "face-cut",
            "countersink",
            "install",
            "broach-slots",
            "stake-keys",
            "stake-check",
            "runs-in-by-hand",
            "square",
            "final-check"
        ]
    );
    let listed = steps_of(&situation, &thin(&situation), &HoleRecord::default());
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
            "center",
            "drill",
            "tap",
            "trial-fit"
        ]
    );
    assert_eq!(step(&listed, "clear-broken").title, "Remove the broken tap");
}

#[test]
fn each_remedy_has_its_own_steps() {
    let mut situation = hole();
    situation.face_cut = Some(Length::ZERO);
    assert_eq!(
        names(&situation, &of(&situation, Remedy::Leave)),
        ["final-check"]
    );
    assert_eq!(
        names(&situation, &of(&situation, Remedy::Chase)),
        ["tap", "runs-in-by-hand", "square", "final-check"]
    );
    let wire = names(&situation, &of(&situation, Remedy::WireInsert));
    assert_eq!(
        wire,
        [
            "center",
            "drill",
            "tap",
            "trial-fit",
            "countersink",
            "install",
            "stake-check",
            "runs-in-by-hand",
            "square",
            "final-check"
        ]
    );
    let plug = names(&situation, &of(&situation, Remedy::ThreadedPlug));
    assert_eq!(
        plug[1..6],
        ["drill", "tap", "plug", "drill-plug", "tap-plug"]
    );
    let larger = names(&situation, &of(&situation, Remedy::LargerBolt));
    assert!(!larger.contains(&"install") && larger.contains(&"tap"));
}

#[test]
fn each_step_has_its_numbers() {
    let situation = hole();
    let listed = steps_of(&situation, &thin(&situation), &HoleRecord::default());
    let drill = step(&listed, "drill");
    assert_eq!(drill.title, "Drill 29/64");
    assert_eq!(number(&drill, "Drill"), Value::Drill(Drill::fraction(29)));
    // .560 in of full thread and five pitches of 1/13 in are 23.99 mm from the finished face; .5 mm
    // more from the face as is.
    let Value::Computed {
        length: after,
        rounding: Rounding::Up,
    } = number(&drill, "Drill depth to full diameter, finished face")
    else {
        panic!()
    };
    let Value::Computed {
        length: now,
        rounding: Rounding::Up,
    } = number(&drill, "Drill depth to full diameter, face as is")
    else {
        panic!()
    };
    assert!((after.mm() - 23.993).abs() < 0.001, "{after}");
    assert_eq!(now, after + mm(0.5));
    // Half the cotangent of 59 degrees, times 29/64 in.
    let Value::Computed {
        length: point,
        rounding: Rounding::Up,
    } = number(&drill, "Drill point beyond that")
    else {
        panic!()
    };
    assert!((point.mm() - 0.3004 * 11.509375).abs() < 0.001);
    let set = step(&listed, "install");
    let thou = |n| Length::from_fraction(n, 1000);
    assert_eq!(
        number(&set, "Top below the finished face"),
        Value::Range {
            least: thou(10),
            most: thou(30)
        }
    );
    assert_eq!(
        number(&set, "Top below the face as is, if installed now"),
        Value::Computed {
            length: thou(20) + mm(0.5),
            rounding: Rounding::Up,
        }
    );
    assert_eq!(
        number(&step(&listed, "stake-keys"), "Keys"),
        Value::Count(4)
    );
    assert_eq!(
        number(&step(&listed, "center"), "Old hole off center by"),
        Value::Length(mm(1.0))
    );
}

#[test]
fn the_torque_limit_follows_from_the_iron() {
    let situation = hole();
    let assessment = thin(&situation);
    let listed = steps_of(&situation, &assessment, &HoleRecord::default());
    let check = step(&listed, "final-check");
    let Value::TorqueNm(torque) = number(&check, "Torque limit, dry") else {
        panic!()
    };
    // K D F: usual nut factor .20, 9.525 mm, half the strip load.
    let expected = 0.5 * assessment.parent_strength_n.unwrap() * 0.20 * 9.525e-3;
    assert!((torque - expected).abs() < 1e-6, "{torque} {expected}");
    assert!(check.cautions.contains(&Caution::Torque));
    assert!(
        check
            .cautions
            .iter()
            .any(|c| matches!(c, Caution::IronStripsFirst { .. }))
    );
}

#[test]
fn entries_decide_which_steps_are_done() {
    let situation = hole();
    let assessment = thin(&situation);
    let mut record = HoleRecord {
        choice: choice(thin_wall()),
        ..HoleRecord::default()
    };
    let mut drilled = cut(&thin_wall(), CutStep::Drill);
    drilled.body.depth = Some(mm(20.0));
    record.cuts = vec![
        cut(&plain_spec(Remedy::Chase), CutStep::Center),
        cut(&plain_spec(Remedy::Chase), CutStep::Tap),
        drilled,
    ];
    let listed = steps_of(&situation, &assessment, &record);
    // Centering counts for any remedy; a tap run for another remedy does not.
    assert!(step(&listed, "center").done.is_some());
    assert!(step(&listed, "tap").done.is_none());
    let drill = step(&listed, "drill");
    assert_eq!(drill.done, None);
    assert_eq!(
        drill.problems[0].to_string(),
        "drilled only 20 mm (.787 in) deep from the face as is, and 24.5 mm (.965 in) is needed: \
         drill 4.5 mm (.177 in) deeper before installing"
    );
    record.cuts[2].body.depth = Some(mm(24.5));
    record.cuts.push(cut(&thin_wall(), CutStep::Tap));
    record
        .installs
        .push(install(&thin_wall(), false, Some("no mill until June")));
    record.installs[0].body.below_face = Some(mm(1.0));
    record.stake_keys.push(stake_keys(&thin_wall()));
    record.stake_keys[0].body.driven = 3;
    let listed = steps_of(&situation, &assessment, &record);
    let done = step(&listed, "drill").done.unwrap();
    assert_eq!(done.by.as_deref(), Some("M. Vance"));
    assert_eq!(step(&listed, "trial-fit").waits_for, None);
    assert_eq!(step(&listed, "install").waits_for, Some(StepKey::TrialFit));
    let keys = step(&listed, "stake-keys");
    assert_eq!(keys.done, None);
    assert_eq!(
        keys.problems[0].to_string(),
        "3 of 4 keys driven: drive the rest and record all 4"
    );
}

#[test]
fn the_face_cut_is_done_when_the_planned_stock_is_removed() {
    let mut situation = hole();
    let assessment = thin(&situation);
    let listed = steps_of(&situation, &assessment, &HoleRecord::default());
    assert!(step(&listed, "face-cut").done.is_none());
    (situation.face_cut, situation.milled) = (Some(mm(0.2)), mm(0.3));
    assert!(
        step(
            &steps_of(&situation, &assessment, &HoleRecord::default()),
            "face-cut"
        )
        .done
        .is_none()
    );
    (situation.face_cut, situation.milled) = (Some(Length::ZERO), mm(0.5));
    let listed = steps_of(&situation, &assessment, &HoleRecord::default());
    assert!(step(&listed, "face-cut").done.is_some());
    assert!(listed.iter().all(|step| !step.before_face_cut));
}

#[test]
fn a_step_out_of_order_says_why_it_needs_a_reason() {
    let situation = hole();
    let assessment = thin(&situation);
    let mut record = HoleRecord {
        choice: choice(thin_wall()),
        ..HoleRecord::default()
    };
    let why_reason = |record: &HoleRecord, word: &str| {
        let work = Work {
            situation: &situation,
            assessment: &assessment,
            record,
            face: &face(&situation),
        };
        out_of_order(&work, StepKey::from_word(word).unwrap())
    };
    assert_eq!(why_reason(&record, "center"), None);
    assert!(
        why_reason(&record, "tap")
            .unwrap()
            .contains("drilling is not recorded yet")
    );
    assert!(
        why_reason(&record, "stake-keys")
            .unwrap()
            .contains("installing the insert")
    );
    record.cuts = vec![
        cut(&thin_wall(), CutStep::Center),
        cut(&thin_wall(), CutStep::Drill),
        cut(&thin_wall(), CutStep::Tap),
    ];
    assert_eq!(why_reason(&record, "trial-fit"), None);
    record.trial_fits = vec![trial_fit(&thin_wall(), true)];
    let why = why_reason(&record, "install").unwrap();
    assert!(
        why.contains("a face cut of 0.5 mm (.020 in) is not done yet")
            && why.contains("(.040 in) below the face as is"),
        "{why}"
    );
    assert!(
        why_reason(&record, "plug")
            .unwrap()
            .contains("not part of this remedy")
    );
    record.installs = vec![install(&thin_wall(), false, Some("no mill until June"))];
    record.installs[0].body.below_face = Some(mm(1.0));
    assert_eq!(why_reason(&record, "stake-keys"), None);
}

#[test]
fn every_step_has_text_and_a_name_that_reads_back() {
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
        for step in steps_of(&situation, &assessment, &HoleRecord::default()) {
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
