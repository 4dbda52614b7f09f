//! The setup of a face: recorded, inherited by its holes, taken over by another face.

use super::*;
use crate::hole::face_setup::{MeasuringTool, MeasuringTools, UsualReading, UsualThread};
use crate::hole::record::FaceMilled;
use crate::hole::stage::Stage;
use crate::notebook::{FaceBody, SetupChange};

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

fn thread(text: &str) -> SetupChange {
    let HoleEntry::WantedThread(wanted) = wanted(text) else {
        unreachable!()
    };
    SetupChange::Thread {
        usual: UsualThread { wanted },
        replaces: Vec::new(),
    }
}

fn usual(quantity: Quantity, value: f64) -> SetupChange {
    let reading = Reading {
        quantity,
        value: mm(value),
        tolerance: Some(mm(0.5)),
        instrument: Some("6 in rule".into()),
    };
    SetupChange::Reading {
        usual: UsualReading { reading },
        replaces: Vec::new(),
    }
}

fn tools(names: &[&str]) -> SetupChange {
    let tool = |name: &&str| MeasuringTool {
        name: (*name).to_owned(),
        tolerance: None,
    };
    SetupChange::Tools {
        in_use: MeasuringTools {
            tools: names.iter().map(tool).collect(),
        },
        replaces: Vec::new(),
    }
}

#[test]
fn holes_are_listed_with_the_thread_they_inherit_until_they_have_their_own() {
    let (bench, face, holes) = Bench::with_holes(3);
    let notebook = &bench.notebook;
    let threads = || {
        let holes = notebook.face(face).unwrap().holes.into_iter();
        holes
            .map(|hole| hole.thread.map(|thread| thread.designation()))
            .collect::<Vec<_>>()
    };
    notebook.record(holes[1], wanted("M10"), &[]).unwrap();
    let set = notebook.change_setup(face, &[thread("3/8-16")]).unwrap();
    let (usual, own) = (Some("3/8-16 UNC".to_owned()), Some("M10x1.5".to_owned()));
    assert_eq!(threads(), [usual.clone(), own.clone(), usual]);
    assert_eq!(
        notebook.hole(holes[0]).unwrap().status.stage,
        Stage::NotMeasured
    );
    assert!(notebook.hole(holes[0]).unwrap().record.wanted.0.is_empty());

    // What the entry replaced does not come back when it is taken out.
    let SetupChange::Thread { usual, .. } = thread("1/2-13") else {
        unreachable!()
    };
    let replaces = set;
    let set = notebook
        .change_setup(face, &[SetupChange::Thread { usual, replaces }])
        .unwrap();
    let entry = set[0];
    notebook
        .change_setup(face, &[SetupChange::Remove { entry }])
        .unwrap();
    assert_eq!(threads(), [None, own, None]);
    // It is out already.
    assert!(
        notebook
            .change_setup(face, &[SetupChange::Remove { entry }])
            .is_err()
    );
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn a_change_of_the_setup_reopens_the_holes_that_inherit_it() {
    let (bench, face, holes) = Bench::with_holes(2);
    let notebook = &bench.notebook;
    notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
    notebook
        .change_setup(face, &[thread("3/8-16"), usual(Quantity::Depth, 30.0)])
        .unwrap();
    notebook.record(holes[1], depth_of(30.0), &[]).unwrap();
    let sound = || HoleEntry::Damage(crate::hole::damage::Damage::default());
    notebook.record_for(&holes, &sound(), &[]).unwrap();
    let spec = serde_json::from_value(serde_json::json!({
        "for": {"remedy": "leave"}, "passes": true, "how": "new bolt"
    }));
    let check = HoleEntry::FinalCheck(spec.unwrap());
    notebook.record_for(&holes, &check, &[]).unwrap();
    let stages = || {
        let listed = notebook.face(face).unwrap().holes.into_iter();
        listed.map(|hole| hole.stage).collect::<Vec<_>>()
    };
    assert_eq!(stages(), [Stage::Passed, Stage::Passed]);

    // Tools and values that the holes do not inherit change nothing.
    notebook
        .change_setup(face, &[tools(&["6 in rule"])])
        .unwrap();
    assert_eq!(stages(), [Stage::Passed, Stage::Passed]);
    let before = notebook.face(face).unwrap().record.setup.readings[0].entry;
    let SetupChange::Reading { usual, .. } = usual(Quantity::Depth, 29.0) else {
        unreachable!()
    };
    let replaces = vec![before];
    let deeper = SetupChange::Reading { usual, replaces };
    notebook.change_setup(face, &[deeper]).unwrap();
    assert_eq!(stages(), [Stage::Measured, Stage::Passed]);
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn what_is_not_valid_is_refused_and_nothing_is_kept() {
    let (bench, face, _) = Bench::with_holes(0);
    let notebook = &bench.notebook;
    let before = lines(notebook);
    let wrong = [
        usual(Quantity::Depth, 0.0),
        usual(Quantity::Bore, 9.0),
        tools(&["rule", " RULE "]),
        tools(&[" "]),
        tools(&["rule"; 60]),
    ];
    for change in wrong {
        let changes = [thread("M10"), change];
        assert!(notebook.change_setup(face, &changes).is_err());
        assert_eq!(lines(notebook), before, "{changes:?}");
    }
    assert!(
        notebook
            .change_setup(FaceId::fresh(), &[thread("M10")])
            .is_err()
    );
}

#[test]
fn a_face_takes_over_what_it_does_not_have_from_another() {
    let (bench, face, _) = Bench::with_holes(0);
    let notebook = &bench.notebook;
    let all = [
        thread("3/8-16"),
        usual(Quantity::Depth, 30.0),
        usual(Quantity::NearestEdge, 14.0),
        tools(&["6 in rule", "caliper"]),
    ];
    notebook.change_setup(face, &all).unwrap();
    let milled = FaceMilled {
        removed: mm(0.5),
        ..FaceMilled::default()
    };
    notebook.record_face_milled(face, &milled, None).unwrap();
    let casting = notebook.face(face).unwrap().casting;
    let body = FaceBody {
        casting,
        name: "other side".into(),
        note: None,
    };
    let other = notebook.add_face(&body).unwrap();
    notebook.change_setup(other, &[thread("M10")]).unwrap();
    assert_eq!(notebook.copy_setup(face, other).unwrap().len(), 3);

    let setup = notebook.face(other).unwrap().record.setup;
    let kept = setup.thread.agreed().unwrap().thread.designation();
    assert_eq!(kept, "M10x1.5");
    let depth = &setup.usual(Quantity::Depth).next().unwrap().body;
    assert_eq!(depth.value, mm(29.5), "from the other face as it is");
    assert_eq!(depth.instrument.as_deref(), Some("6 in rule"));
    assert_eq!(setup.tool(" Caliper ").unwrap().name, "caliper");
    assert_eq!(notebook.copy_setup(face, other).unwrap(), []);
}
