#![allow(clippy::unwrap_used)]

use super::super::record::*;
use super::super::testing::*;
use super::*;

fn state(record: &HoleRecord) -> State {
    standing(record).state
}

fn one_question(record: &HoleRecord) -> Question {
    let questions = standing(record).questions;
    assert_eq!(questions.len(), 1, "{questions:?}");
    let said = questions[0].to_string();
    assert!(!said.contains('\n') && said.len() > 20, "{said}");
    questions[0].clone()
}

#[test]
fn an_insert_goes_through_every_state() {
    let work = thin_wall();
    let mut record = HoleRecord::default();
    assert_eq!(state(&record), State::Unread);
    record.wanted = Answers(vec![said(wanted("3/8-16"))]);
    assert_eq!(state(&record), State::Unread);
    record.readings.push(reading(Quantity::Depth, 32.0));
    assert_eq!(state(&record), State::Read);
    record.choice = choice(work.clone());
    assert_eq!(state(&record), State::Planned);
    record.cuts.push(cut(&work, CutStep::Drill));
    assert_eq!(state(&record), State::Planned);
    record.cuts.push(cut(&work, CutStep::Tap));
    assert_eq!(state(&record), State::Cut);
    record.dry_fits.push(dry_fit(&work, true));
    assert_eq!(state(&record), State::DryFitted);
    record.sets.push(set(&work, true, None));
    assert_eq!(state(&record), State::Set);
    record.keys.push(keys(&work));
    record.proofs.push(proof(&work, true));
    let standing = standing(&record);
    assert_eq!(standing.state, State::Proved);
    assert!(!standing.in_question(), "{:?}", standing.questions);
}

#[test]
fn a_sound_hole_goes_from_read_to_proved() {
    let mut record = HoleRecord {
        damage: Answers(vec![said(damage(vec![]))]),
        ..HoleRecord::default()
    };
    assert_eq!(state(&record), State::Read);
    let sound = plain(Remedy::Leave);
    record.proofs.push(proof(&sound, true));
    assert_eq!(state(&record), State::Proved);
    record.choice = choice(sound);
    assert_eq!(state(&record), State::Proved);
    assert!(!standing(&record).in_question());
    assert_eq!(
        State::path(Some(Remedy::Leave)),
        &[State::Unread, State::Read, State::Proved]
    );
}

#[test]
fn a_plug_is_set_when_it_is_fitted() {
    let work = plain(Remedy::ThreadedPlug);
    let mut record = HoleRecord {
        choice: choice(work.clone()),
        ..HoleRecord::default()
    };
    record.cuts.push(cut(&work, CutStep::Tap));
    assert_eq!(state(&record), State::Cut);
    record.cuts.push(cut(&work, CutStep::Plug));
    assert_eq!(state(&record), State::Set);
    record.proofs.push(proof(&work, true));
    assert_eq!(state(&record), State::Proved);
}

#[test]
fn work_for_another_remedy_counts_for_nothing_and_is_asked_about() {
    let heavy = Work {
        family: Some(crate::insert::Family::KeyLockingHeavyDuty),
        outside_thread: Some("9/16-12 UNC".into()),
        ..thin_wall()
    };
    let mut record = HoleRecord {
        choice: choice(heavy),
        ..HoleRecord::default()
    };
    record.cuts.push(cut(&thin_wall(), CutStep::Tap));
    // A broken bolt that is out is out, whatever comes after.
    record.cuts.push(cut(&thin_wall(), CutStep::ClearBroken));
    assert_eq!(state(&record), State::Planned);
    let question = one_question(&record);
    assert!(
        question.to_string().contains("thin wall, 1/2-13 UNC"),
        "{question}"
    );
    assert_eq!(question.entries(), [record.cuts[0].entry]);
}

#[test]
fn work_without_a_choice_is_asked_about() {
    let mut record = HoleRecord::default();
    record.cuts.push(cut(&thin_wall(), CutStep::Tap));
    assert!(matches!(
        one_question(&record),
        Question::NothingChosen { .. }
    ));
}

#[test]
fn two_answers_that_differ_are_a_question_and_the_same_twice_is_not() {
    let mut record = HoleRecord {
        wanted: Answers(vec![said(wanted("3/8-16")), said(wanted("3/8-16"))]),
        ..HoleRecord::default()
    };
    assert!(!standing(&record).in_question());
    record.wanted.0.push(said(wanted("3/8-24")));
    assert!(matches!(
        one_question(&record),
        Question::SeveralAnswers {
            fact: Fact::Wanted,
            ..
        }
    ));
    // Nothing can be proved while it is not settled what for.
    record.proofs.push(proof(&plain(Remedy::Leave), true));
    assert_ne!(state(&record), State::Proved);
}

#[test]
fn readings_may_differ_by_their_errors() {
    let mut record = HoleRecord {
        readings: vec![
            reading(Quantity::NearestEdge, 14.0),
            reading(Quantity::NearestEdge, 14.2),
        ],
        ..HoleRecord::default()
    };
    assert!(!standing(&record).in_question());
    record.readings.push(reading(Quantity::NearestEdge, 14.3));
    let question = one_question(&record);
    assert!(
        question.to_string().contains("14 mm to 14.3 mm"),
        "{question}"
    );
    // Drilling deepens the hole: readings of its depth from before and after may differ.
    record.readings = vec![
        reading(Quantity::Depth, 30.0),
        reading(Quantity::Depth, 34.0),
    ];
    assert!(standing(&record).in_question());
    record.choice = choice(thin_wall());
    record.cuts.push(cut(&thin_wall(), CutStep::Drill));
    assert!(!standing(&record).in_question());
}

#[test]
fn a_failed_proof_or_check_beside_a_passed_one_withholds_proved() {
    let work = thin_wall();
    let mut record = HoleRecord {
        choice: choice(work.clone()),
        ..HoleRecord::default()
    };
    record.sets.push(set(&work, true, None));
    record.keys.push(keys(&work));
    record.proofs.push(proof(&work, true));
    assert_eq!(state(&record), State::Proved);
    record.proofs.push(proof(&work, false));
    assert_eq!(state(&record), State::Set);
    assert!(matches!(
        one_question(&record),
        Question::ProofFailed { .. }
    ));
    record.proofs.pop();
    record.checks = vec![
        check(CheckKind::RuleAcross, true),
        check(CheckKind::RuleAcross, false),
    ];
    assert_eq!(state(&record), State::Set);
    assert!(matches!(
        one_question(&record),
        Question::CheckFailed {
            check: CheckKind::RuleAcross,
            ..
        }
    ));
}

#[test]
fn setting_before_the_face_cut_wants_a_reason() {
    let work = thin_wall();
    let mut record = HoleRecord {
        choice: choice(work.clone()),
        ..HoleRecord::default()
    };
    record.sets.push(set(&work, false, Some(" ")));
    assert!(matches!(
        one_question(&record),
        Question::SetBeforeFaceCut { .. }
    ));
    record.sets[0].body.reason = Some("the mill is away until June; set 0.9 mm below".into());
    assert!(!standing(&record).in_question());
    assert_eq!(state(&record), State::Set);
}

#[test]
fn a_proof_without_an_insert_or_keys_is_asked_about() {
    let work = thin_wall();
    let mut record = HoleRecord {
        choice: choice(work.clone()),
        ..HoleRecord::default()
    };
    record.proofs.push(proof(&work, true));
    assert_eq!(state(&record), State::Proved);
    assert!(matches!(
        one_question(&record),
        Question::ProvedNotSet { .. }
    ));
    record.sets.push(set(&work, true, None));
    assert!(matches!(
        one_question(&record),
        Question::ProvedWithoutKeys { .. }
    ));
}

#[test]
fn the_order_of_entries_changes_nothing() {
    let work = thin_wall();
    let mut record = HoleRecord {
        choice: choice(work.clone()),
        ..HoleRecord::default()
    };
    record.readings = vec![
        reading(Quantity::NearestEdge, 14.0),
        reading(Quantity::NearestEdge, 15.0),
    ];
    record.cuts = vec![
        cut(&work, CutStep::Tap),
        cut(&plain(Remedy::Chase), CutStep::Tap),
    ];
    record.proofs = vec![proof(&work, true), proof(&work, false)];
    let forward = standing(&record);
    record.readings.reverse();
    record.cuts.reverse();
    record.proofs.reverse();
    let backward = standing(&record);
    assert_eq!(forward.state, backward.state);
    assert_eq!(forward.questions.len(), backward.questions.len());
}

#[test]
fn words_are_those_of_the_notebook() {
    let words: Vec<String> = State::ALL.iter().map(State::to_string).collect();
    assert_eq!(
        words,
        [
            "unread",
            "read",
            "planned",
            "cut",
            "dry-fitted",
            "set",
            "proved"
        ]
    );
    for state in State::ALL {
        assert_eq!(
            serde_json::to_string(&state).unwrap(),
            format!("\"{state}\"")
        );
    }
}
