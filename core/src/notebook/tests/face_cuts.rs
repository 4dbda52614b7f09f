//! What a face cut, or the correction of one, would do to the holes.

use super::*;
use crate::hole::problem::Problem;
use crate::hole::record::{Choice, Cut, CutStep, FaceMilled};
use crate::hole::testing::{damage, mm, station, thin_wall};
use crate::notebook::EntryId;

/// A loose hole with a thin-wall insert chosen, which needs 14.224 mm of thread below the finished
/// face, drilled and tapped to a depth.
fn tap(notebook: &Notebook, hole: HoleId, depth: Length) {
    let loose = damage(vec![station(0.0, 20.0, 9.4, 0.0, 0.0)]);
    let done = |step, depth| {
        HoleEntry::Cut(Cut {
            spec: thin_wall(),
            step,
            depth: Some(depth),
            diameter: None,
            tool: None,
            removal: None,
            reason: None,
        })
    };
    let entries = [
        wanted("3/8-16"),
        depth_of(32.0),
        HoleEntry::Damage(loose),
        HoleEntry::Remedy(Choice {
            spec: thin_wall(),
            reason: None,
            basis: None,
        }),
        done(CutStep::Drill, depth + mm(11.0)),
        done(CutStep::Tap, depth),
    ];
    for entry in entries {
        notebook.record(hole, entry, &[]).unwrap();
    }
}

fn mill(notebook: &Notebook, face: FaceId, removed: Length, corrects: Option<EntryId>) -> EntryId {
    let milled = FaceMilled {
        removed,
        ..FaceMilled::default()
    };
    notebook
        .record_face_milled(face, &milled, corrects)
        .unwrap()
}

/// The holes that a cut would affect, all of them by a thread that is too shallow.
fn affected(
    notebook: &Notebook,
    face: FaceId,
    removed: Length,
    corrects: Option<EntryId>,
) -> Vec<HoleId> {
    let milled = FaceMilled {
        removed,
        ..FaceMilled::default()
    };
    let effects = notebook.face_cut_effects(face, &milled, corrects).unwrap();
    let too_shallow = |problem: &Problem| matches!(problem, Problem::TooShallow { .. });
    assert!(
        effects
            .iter()
            .all(|effect| effect.problems.iter().any(too_shallow))
    );
    effects.iter().map(|effect| effect.hole).collect()
}

/// A cut of .020 in was .035 in. What was tapped after it was measured from the face that it left.
#[test]
fn a_corrected_cut_asks_about_the_work_before_it_only() {
    let inch = |thousandths| Length::from_fraction(thousandths, 1000);
    let (bench, face, holes) = Bench::with_holes(2);
    let (notebook, before, after) = (&bench.notebook, holes[0], holes[1]);
    notebook.plan_face_cut(face, inch(20), &[]).unwrap();
    tap(notebook, before, mm(14.8));
    let cut = mill(notebook, face, inch(20), None);
    tap(notebook, after, mm(14.3));
    let open = |hole| notebook.hole(hole).unwrap().status.problems;
    assert_eq!((open(before), open(after)), (vec![], vec![]));

    assert_eq!(affected(notebook, face, inch(20), Some(cut)), []);
    assert_eq!(affected(notebook, face, inch(35), Some(cut)), [before]);
    // A second cut of the difference reaches both.
    assert_eq!(affected(notebook, face, inch(15), None), [before, after]);
    // The question is about what the record then says.
    let corrected = mill(notebook, face, inch(35), Some(cut));
    assert_eq!(open(after), vec![]);
    assert_eq!(open(before).len(), 1);
    // The correction of a correction counts from the same place.
    assert_eq!(affected(notebook, face, inch(20), Some(corrected)), []);
    assert!(
        notebook
            .face_cut_effects(face, &FaceMilled::default(), Some(cut))
            .is_err()
    );
}
