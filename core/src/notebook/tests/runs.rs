//! Tool runs of a face and of a casting.

use super::*;
use crate::hole::damage::{Damage, Span, Station};
use crate::hole::record::{Choice, FaceMilled, Remedy, RemedySpec};
use crate::hole::stage::Stage;
use crate::hole::steps::StepKey;
use crate::insert::Family;
use crate::length::Unit;
use crate::notebook::{NotebookError, RunHole, ToolRun, ToolRuns};

fn mm(value: f64) -> Length {
    Length::from_mm(value).unwrap()
}

/// The thin-wall key-locking insert for 3/8-16.
fn thin_wall() -> HoleEntry {
    HoleEntry::Remedy(Choice {
        spec: RemedySpec {
            remedy: Remedy::KeyLockingInsert,
            family: Some(Family::KeyLockingThinWall),
            length: Some(mm(12.7)),
            outside_thread: Some("1/2-13 UNC".into()),
        },
        reason: None,
        basis: None,
    })
}

/// Measures a loose 3/8-16 hole and chooses the insert.
fn plan_hole(notebook: &Notebook, hole: HoleId) {
    let reading = |quantity, value| {
        HoleEntry::Reading(Reading {
            quantity,
            value: mm(value),
            tolerance: None,
            instrument: None,
        })
    };
    let span = Span {
        from: Length::ZERO,
        to: mm(20.0),
    };
    let missing = Damage {
        stations: vec![Station::of(span, mm(9.4), Length::ZERO, 0.0)],
        ..Damage::default()
    };
    let wanted = HoleEntry::WantedThread(WantedThread {
        thread: Thread::parse("3/8-16").unwrap(),
        bolt: None,
        through: Some(false),
        pressure: false,
    });
    let entries = [
        wanted,
        reading(Quantity::Depth, 34.0),
        reading(Quantity::Floor, 12.0),
        reading(Quantity::NearestEdge, 30.0),
        reading(Quantity::NearestHole, 60.0),
        HoleEntry::Damage(missing),
        thin_wall(),
    ];
    notebook.record_all(hole, &entries).unwrap();
}

fn numbers(holes: impl IntoIterator<Item = RunHole>) -> Vec<u32> {
    holes.into_iter().map(|hole| hole.number).collect()
}

fn run<'a>(runs: &'a ToolRuns, word: &str) -> &'a ToolRun {
    let found = runs.runs.iter().find(|run| run.tool.word == word);
    found.unwrap_or_else(|| {
        let words: Vec<_> = runs.runs.iter().map(|run| &run.tool.word).collect();
        panic!("no {word} in {words:?}")
    })
}

fn ready(run: &ToolRun) -> Vec<u32> {
    numbers(run.ready.iter().map(|hole| hole.at.clone()))
}

fn waiting(run: &ToolRun) -> Vec<u32> {
    numbers(run.waiting.iter().map(|hole| hole.at.clone()))
}

/// Records the first way of every hole that is ready for a tool.
fn work_off(notebook: &Notebook, face: FaceId, word: &str) {
    let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
    for hole in &run(&runs, word).ready {
        let key = &hole.ways[0].key;
        notebook
            .record_as_planned(hole.at.hole, hole.step.key, Unit::Inch, key)
            .unwrap();
    }
}

#[test]
fn a_face_is_worked_off_tool_by_tool() {
    let (bench, face, holes) = Bench::with_holes(3);
    let notebook = &bench.notebook;
    notebook.plan_face_cut(face, mm(0.5), &[]).unwrap();
    plan_hole(notebook, holes[0]);
    plan_hole(notebook, holes[1]);
    let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
    let drill = run(&runs, "29-64-drill");
    assert_eq!((ready(drill), drill.done), (vec![1, 2], 0));
    assert!(!drill.cautions.is_empty());
    let tap = &runs.runs[1];
    assert_eq!((ready(tap), waiting(tap)), (vec![], vec![1, 2]));
    assert_eq!(tap.waiting[0].first, "Drill 29/64");
    assert_eq!(runs.others[0].at.number, 3);
    assert_eq!(runs.others[0].first, "Set the thread");

    work_off(notebook, face, "29-64-drill");
    let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
    let tap = runs.runs[1].tool.word.clone();
    assert_eq!(
        (run(&runs, "29-64-drill").done, ready(&runs.runs[1])),
        (2, vec![1, 2])
    );
    assert!(tap.starts_with("1-2-13-unc-tap"), "{tap}");
    work_off(notebook, face, &tap);
    work_off(notebook, face, "trial-fit-1-2-13-unc");
    let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
    assert_eq!(numbers(runs.before_face_cut.clone()), [1, 2]);
    assert!(runs.runs.iter().all(|run| run.ready.is_empty()));
    let waits = runs.runs.iter().find(|run| run.is_open()).unwrap();
    assert_eq!(waits.waiting[0].first, "Cut the face");
    let milled = FaceMilled {
        removed: mm(0.5),
        ..FaceMilled::default()
    };
    notebook.record_face_milled(face, &milled, None).unwrap();
    loop {
        let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
        let Some(next) = runs.runs.iter().find(|run| !run.ready.is_empty()) else {
            break;
        };
        work_off(notebook, face, &next.tool.word.clone());
    }
    for hole in &holes[..2] {
        let status = notebook.hole(*hole).unwrap().status;
        assert_eq!(status.stage, Stage::Passed, "{:?}", status.problems);
    }
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn checks_do_not_wait_for_each_other_and_the_marks_give_the_order() {
    let (bench, face, holes) = Bench::with_holes(3);
    let notebook = &bench.notebook;
    let source = TempDir::new().unwrap();
    let (photo, _) = notebook
        .add_photo(face, &photos::photo_file(&source, 3), None)
        .unwrap();
    for (hole, x) in holes.iter().zip([0.0, 40.0, 10.0]) {
        plan_hole(notebook, *hole);
        notebook.mark(*hole, photo, x, 1.0, &[]).unwrap();
    }
    notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
    let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
    assert_eq!(ready(run(&runs, "29-64-drill")), [1, 3, 2]);
    while let Some(next) = notebook
        .tool_runs(face, Unit::Inch)
        .unwrap()
        .runs
        .iter()
        .find(|run| !run.ready.is_empty() && !run.tool.word.contains("check"))
    {
        work_off(notebook, face, &next.tool.word);
        let keys = notebook.tool_runs(face, Unit::Inch).unwrap().runs;
        if keys.iter().all(|run| {
            run.ready
                .iter()
                .all(|hole| matches!(hole.step.key, StepKey::Check(_)))
        }) {
            break;
        }
    }
    let runs = notebook.tool_runs(face, Unit::Inch).unwrap();
    let open = runs.runs.iter().filter(|run| run.is_open());
    let open: Vec<usize> = open.map(|run| run.ready.len()).collect();
    assert_eq!(
        open,
        [3, 3, 3, 0],
        "three checks at once, the final one waits"
    );
}

#[test]
fn a_casting_has_the_holes_of_all_its_faces() {
    let (bench, face, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let casting = notebook.face(face).unwrap().casting;
    let body = super::super::FaceBody {
        casting,
        name: "back".into(),
        note: None,
    };
    let back = notebook.add_face(&body).unwrap();
    let other = notebook.add_hole(back, None, None).unwrap();
    for (face, hole) in [(face, holes[0]), (back, other)] {
        notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
        plan_hole(notebook, hole);
    }
    let runs = notebook.tool_runs_of_casting(casting, Unit::Inch).unwrap();
    let faces: Vec<&str> = run(&runs, "29-64-drill")
        .ready
        .iter()
        .map(|hole| hole.at.face_name.as_str())
        .collect();
    assert_eq!(faces, ["cover joint", "back"]);
}

#[test]
fn a_tap_refuses_what_is_not_what_was_shown() {
    let (bench, face, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
    plan_hole(notebook, hole);
    let drill = StepKey::Cut(crate::hole::record::CutStep::Drill);
    let shown = notebook.as_planned(hole, drill, Unit::Inch).unwrap();
    let refusal = |key: &str| match notebook.record_as_planned(hole, drill, Unit::Inch, key) {
        Err(NotebookError::Invalid(why)) => why,
        other => panic!("{other:?}"),
    };
    assert!(refusal("").contains("the plan has changed"));
    // A deeper face cut makes every depth larger.
    let planned = notebook.face(face).unwrap().record.planned_cut.0[0].entry;
    notebook.plan_face_cut(face, mm(0.5), &[planned]).unwrap();
    assert!(refusal(&shown[0].key).contains("the plan has changed"));
    let shown = notebook.as_planned(hole, drill, Unit::Inch).unwrap();
    let entry = notebook
        .record_as_planned(hole, drill, Unit::Inch, &shown[0].key)
        .unwrap();
    let record = notebook.hole(hole).unwrap().record;
    assert_eq!(HoleEntry::Cut(record.cuts[0].body.clone()), shown[0].entry);
    assert!(refusal(&shown[0].key).contains("recorded already"));
    notebook.undo(entry).unwrap();
    assert!(notebook.hole(hole).unwrap().record.cuts.is_empty());
}
