//! Undo strikes out exactly what this device recorded, and refuses what would not come back.

use super::*;
use crate::notebook::{EntryId, EntryKind, NotebookError, recording};

fn refusal(result: Result<EntryId, NotebookError>) -> String {
    match result {
        Err(NotebookError::Invalid(why)) => why,
        other => panic!("{other:?}"),
    }
}

/// The last entry of a hole's details.
fn placed(notebook: &Notebook, hole: HoleId) -> EntryId {
    notebook
        .hole(hole)
        .unwrap()
        .placement
        .0
        .last()
        .unwrap()
        .entry
}

#[test]
fn undo_strikes_out_that_entry_alone_and_brings_back_what_it_replaced() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let first = notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    let reading = notebook.record(hole, depth_of(32.0), &[]).unwrap();
    let second = notebook.record(hole, wanted("M10"), &[first]).unwrap();
    let before = notebook.hole(hole).unwrap().record;
    notebook.undo(second).unwrap();
    let record = notebook.hole(hole).unwrap().record;
    assert_eq!(record.wanted.0[0].entry, first);
    assert_eq!(record.readings[0].entry, reading);
    assert_eq!(record.readings, before.readings);
    let line = notebook.entry(second).unwrap();
    assert_eq!(line.struck_out_by.unwrap().reason, "undone");
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn several_entries_are_undone_all_or_none() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let entries = notebook
        .record_all(hole, &[depth_of(30.0), depth_of(31.0)])
        .unwrap();
    let replaced = notebook.record(hole, wanted("M10"), &[]).unwrap();
    notebook
        .record(hole, wanted("3/8-16"), &[replaced])
        .unwrap();
    let before = lines(notebook);
    let with_replaced = [entries[0], replaced, entries[1]];
    assert!(notebook.undo_all(&with_replaced).is_err());
    assert_eq!(lines(notebook), before);
    assert_eq!(notebook.undo_all(&entries).unwrap().len(), 2);
    assert!(notebook.hole(hole).unwrap().record.readings.is_empty());
}

#[test]
fn what_would_not_come_back_is_refused_with_one_sentence() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let first = notebook.record(hole, wanted("3/8-16"), &[]).unwrap();
    notebook.record(hole, wanted("M10"), &[first]).unwrap();
    let before = lines(notebook);
    assert!(refusal(notebook.undo(first)).contains("newer entry has replaced it"));
    assert_eq!(lines(notebook), before);
    let reading = notebook.record(hole, depth_of(3.0), &[]).unwrap();
    let strike = notebook.undo(reading).unwrap();
    assert!(refusal(notebook.undo(reading)).contains("struck out already"));
    assert!(refusal(notebook.undo(strike)).contains("a strike-out cannot be undone"));
    let unknown = notebook.undo(EntryId::fresh()).unwrap_err();
    assert!(
        matches!(unknown, NotebookError::NoSuch { .. }),
        "{unknown:?}"
    );
}

#[test]
fn another_device_s_entry_is_not_undone() {
    let (bench, _, holes) = Bench::with_holes(1);
    let theirs = bench.notebook.record(holes[0], depth_of(9.0), &[]).unwrap();
    let other = Bench::new();
    other
        .notebook
        .import_lines(&lines(&bench.notebook))
        .unwrap();
    assert!(refusal(other.notebook.undo(theirs)).contains("another device"));
    let hole = other.notebook.hole(holes[0]).unwrap();
    assert_eq!(hole.record.readings.len(), 1);
}

#[test]
fn a_thing_with_more_recorded_about_it_is_not_undone_away() {
    let (bench, face, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let source = TempDir::new().unwrap();
    let (photo, _) = notebook
        .add_photo(face, &photos::photo_file(&source, 3), None)
        .unwrap();
    let of_kind = |kind: EntryKind| {
        let all = lines(notebook);
        let line = all.iter().find(|line| line.entry().kind == kind.name());
        line.unwrap().entry().id
    };
    let mark = notebook.mark(hole, photo, 1.0, 2.0, &[]).unwrap();
    for (entry, thing) in [
        (placed(notebook, hole), "hole"),
        (of_kind(EntryKind::Photo), "photo"),
        (of_kind(EntryKind::Face), "face"),
        (of_kind(EntryKind::Casting), "casting"),
    ] {
        let why = refusal(notebook.undo(entry));
        assert!(why.contains(&format!("about the {thing}")), "{why}");
    }
    // Together with the mark, the hole goes; then the rest, from the inside out.
    notebook.undo_all(&[placed(notebook, hole), mark]).unwrap();
    assert!(notebook.hole(hole).is_err());
    notebook.undo(of_kind(EntryKind::Photo)).unwrap();
    let whole = [of_kind(EntryKind::Casting), of_kind(EntryKind::Face)];
    notebook.undo_all(&whole).unwrap();
    assert!(notebook.castings().unwrap().is_empty());
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn a_changed_number_is_undone_though_the_hole_has_entries() {
    let (bench, face, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    notebook.record(hole, depth_of(9.0), &[]).unwrap();
    let first = placed(notebook, hole);
    let body = super::super::HoleBody {
        face,
        number: 7,
        x: None,
        y: None,
        tolerance: None,
    };
    let moved = notebook.change_hole(hole, &body, &[first]).unwrap();
    assert_eq!(notebook.hole(hole).unwrap().number, 7);
    notebook.undo(moved).unwrap();
    assert_eq!(notebook.hole(hole).unwrap().number, 1);
}

#[test]
fn a_recording_names_what_was_committed_on_this_thread() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let (both, recorded) = recording(|| {
        let beside = std::thread::scope(|scope| {
            let other = scope.spawn(|| notebook.record(hole, depth_of(1.0), &[]).unwrap());
            other.join().unwrap()
        });
        assert!(notebook.record(hole, depth_of(0.0), &[]).is_err());
        (beside, notebook.record(hole, depth_of(2.0), &[]).unwrap())
    });
    assert_eq!(recorded, [(both.1, EntryKind::Reading)]);
    assert_eq!(recording(|| ()).1, []);
}
