//! The next task in a hole's row is that of the hole's plan, whatever is recorded.

use super::*;
use crate::hole::limits::Limits;
use crate::hole::next::NextAction;
use crate::hole::next_task::NextTask;
use crate::hole::plan::Plan;
use crate::hole::record::{Choice, FaceMilled, Note};
use crate::hole::steps::{CuttingTool, Step, Value as StepValue};
use crate::notebook::paths;
use rusqlite::Connection;

/// The sample: 14 holes at all stages, one with a conflict.
fn sample() -> (TempDir, Notebook) {
    let dir = TempDir::new().unwrap();
    let conn = Connection::open(dir.path().join(paths::FILE)).unwrap();
    conn.execute_batch(include_str!("stored/v5.sql")).unwrap();
    drop(conn);
    let notebook = Notebook::open(dir.path()).unwrap();
    (dir, notebook)
}

/// The number of a step that begins with one of these names.
fn number(step: &Step, names: &[&str]) -> Option<StepValue> {
    let mut numbers = step.numbers.iter();
    let found = numbers.find(|number| names.iter().any(|name| number.name.starts_with(name)));
    found.map(|number| number.value.clone())
}

/// What the plan's own step says of the tool and the depth.
fn of_step(step: &Step) -> (Option<String>, Option<Length>) {
    let tool = match number(step, &["Drill", "Tap", "Tools"]) {
        Some(StepValue::Drill(drill)) => Some(CuttingTool::Drill(drill).to_string()),
        Some(StepValue::Text(text)) => Some(text),
        _ => None,
    };
    let deep = [
        "Drill depth to full diameter, face as is",
        "Full thread depth, face as is",
    ];
    let depth = match number(step, &deep) {
        Some(StepValue::Computed { length, .. }) => Some(length),
        _ => None,
    };
    (tool, depth)
}

fn check_all(notebook: &Notebook, face: FaceId) -> Vec<NextTask> {
    let catalog = notebook.catalog().unwrap();
    let holes = notebook.face(face).unwrap().holes.into_iter();
    let checked = holes.map(|row| {
        let hole = notebook.hole(row.id).unwrap();
        let plan = Plan::of(&hole.record, &hole.face_record, &catalog);
        assert_eq!(row.next.action, plan.next, "hole {}", row.number);
        let mut expected = (None, None);
        if let NextAction::Step { step, .. } = plan.next {
            let step = plan.steps.iter().find(|it| it.key == step).unwrap();
            let (tool, depth) = of_step(step);
            // The chamfer of a tap is a number of its own.
            let chamfer = match number(step, &["Chamfer"]) {
                Some(StepValue::Text(chamfer)) => format!(", {chamfer}"),
                _ => String::new(),
            };
            expected = (tool.map(|tool| tool + &chamfer), depth);
        }
        let tool = row.next.tool.as_ref().map(ToString::to_string);
        assert_eq!((tool, row.next.depth), expected, "hole {}", row.number);
        row.next
    });
    checked.collect()
}

/// Chooses the first remedy for every hole that is measured and has none.
fn choose_remedies(notebook: &Notebook, face: FaceId) {
    let catalog = notebook.catalog().unwrap();
    for row in notebook.face(face).unwrap().holes {
        if row.next.action != NextAction::ChooseRemedy {
            continue;
        }
        let hole = notebook.hole(row.id).unwrap();
        let plan = Plan::of(&hole.record, &hole.face_record, &catalog);
        let choice = Choice {
            spec: plan.leading().unwrap().spec(),
            reason: None,
            basis: None,
        };
        notebook
            .record(row.id, HoleEntry::Remedy(choice), &[])
            .unwrap();
    }
}

#[test]
fn every_row_has_the_next_task_of_its_plan_after_every_kind_of_change() {
    let (_dir, notebook) = sample();
    let face = notebook.list().unwrap().castings[0].faces[0].id;
    let first = check_all(&notebook, face);
    let is_step = |task: &&NextTask| matches!(task.action, NextAction::Step { .. });
    assert!(first.iter().filter(is_step).count() > 3, "{first:?}");
    choose_remedies(&notebook, face);
    let first = check_all(&notebook, face);
    assert!(first.iter().any(|task| task.tool.is_some()), "{first:?}");
    assert!(first.iter().any(|task| task.depth.is_some()), "{first:?}");

    let hole = notebook.face(face).unwrap().holes[4].id;
    notebook.record(hole, depth_of(33.0), &[]).unwrap();
    let note = HoleEntry::Note(Note {
        text: "rust".into(),
    });
    notebook.record(hole, note, &[]).unwrap();
    notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    check_all(&notebook, face);
    // A cut of the face changes the depths of all its holes.
    let removed = Length::from_mm(0.25).unwrap();
    let milled = FaceMilled {
        removed,
        ..FaceMilled::default()
    };
    notebook.record_face_milled(face, &milled, None).unwrap();
    let milled = check_all(&notebook, face);
    assert_ne!(first, milled);
    // The shop's limits decide which remedies are offered.
    let limits = Limits {
        thread_left_as_is: 0.97,
        ..Limits::STANDARD
    };
    notebook.set_limits(&limits).unwrap();
    check_all(&notebook, face);
    assert!(
        notebook.verify().unwrap().findings.len() <= 1,
        "the photo is not stored"
    );
}

#[test]
fn a_new_hole_lacks_what_every_remedy_needs() {
    let (bench, face, holes) = Bench::with_holes(1);
    let task = || bench.notebook.face(face).unwrap().holes[0].next.clone();
    assert_eq!(task().action, NextAction::SetThread);
    assert_eq!(task().missing.len(), 3);
    bench
        .notebook
        .plan_face_cut(face, Length::ZERO, &[])
        .unwrap();
    bench
        .notebook
        .record(holes[0], depth_of(30.0), &[])
        .unwrap();
    assert_eq!(task().missing.len(), 1, "the damage");
}
