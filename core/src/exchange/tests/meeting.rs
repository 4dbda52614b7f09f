//! Two notebooks meet on a shelf and end equal.

use super::*;
use crate::notebook::tests::{depth_of, lines, wanted, worked_out};
use crate::notebook::{Line, Saying, Settings};

#[test]
fn what_one_writes_the_other_has_after_both_exchanged() {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    first.notebook.say(hole, wanted("3/8-16"), &[]).unwrap();
    let left = meet(&first.notebook, shelf.path());
    assert_eq!((left.entries_left, left.entries_taken), (4, 0));
    let second = Bench::new();
    let taken = meet(&second.notebook, shelf.path());
    assert_eq!((taken.entries_left, taken.entries_taken), (0, 4));
    second.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    meet(&second.notebook, shelf.path());
    meet(&first.notebook, shelf.path());
    assert_eq!(
        first.notebook.hole(hole).unwrap(),
        second.notebook.hole(hole).unwrap()
    );
    assert_eq!(worked_out(&first.notebook), worked_out(&second.notebook));
    assert!(second.notebook.verify().unwrap().is_sound());
}

#[test]
fn what_lies_on_no_shelf_yet_is_counted_until_it_was_left_there() {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    let to_bring = |bench: &Bench| bench.notebook.entries_to_bring_home().unwrap();
    assert_eq!(to_bring(&first), 3);
    meet(&first.notebook, shelf.path());
    assert_eq!(to_bring(&first), 0);
    let second = joined(&first.notebook, shelf.path());
    assert_eq!(to_bring(&second), 0, "what others wrote is theirs to bring");
    first.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    assert_eq!(to_bring(&first), 1);
    meet(&first.notebook, &shelf.path().join("second-shelf"));
    first.notebook.rebuild().unwrap();
    assert_eq!(to_bring(&first), 0, "any shelf will do");
}

#[test]
fn the_shelf_has_the_form_that_it_promises() {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    meet(&first.notebook, shelf.path());
    first.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    meet(&first.notebook, shelf.path());
    let device = first.notebook.device().unwrap();
    let names: Vec<_> = files(shelf.path())
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    let told = lines(&first.notebook);
    let name = |first: u64, last: u64| {
        let end = &told[last as usize - 1].hash().to_string()[..16];
        PathBuf::from(format!(
            "journal/{device}/{first:012}-{last:012}-{end}.jsonl"
        ))
    };
    let expected = [name(1, 3), name(4, 4)];
    assert_eq!(names, expected);
    let text = fs::read_to_string(shelf.path().join(&names[0])).unwrap();
    let left: Vec<_> = text
        .lines()
        .map(|line| Line::read(line.to_owned()).unwrap())
        .collect();
    assert_eq!(left, told[..3]);
}

#[test]
fn a_second_exchange_with_nothing_new_moves_nothing() {
    let shelf = shelf();
    let (first, _) = with_a_hole();
    let second = joined(&first.notebook, shelf.path());
    let before = files(shelf.path());
    for notebook in [&first.notebook, &second.notebook] {
        assert_eq!(meet(notebook, shelf.path()), Report::default());
    }
    assert_eq!(files(shelf.path()), before);
}

#[test]
fn answers_given_apart_stand_as_two_until_a_person_settles_them() {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    let asked = first.notebook.say(hole, wanted("3/8-16"), &[]).unwrap();
    let second = joined(&first.notebook, shelf.path());
    first.notebook.say(hole, wanted("M10"), &[asked]).unwrap();
    second
        .notebook
        .say(hole, wanted("1/2-13"), &[asked])
        .unwrap();
    for notebook in [&first.notebook, &second.notebook, &first.notebook] {
        meet(notebook, shelf.path());
    }
    for notebook in [&first.notebook, &second.notebook] {
        let view = notebook.hole(hole).unwrap();
        assert_eq!(view.record.wanted.0.len(), 2);
        assert!(view.in_question);
    }
    second.notebook.settle(hole, wanted("M10")).unwrap();
    meet(&second.notebook, shelf.path());
    meet(&first.notebook, shelf.path());
    assert!(!first.notebook.hole(hole).unwrap().in_question);
    assert_eq!(worked_out(&first.notebook), worked_out(&second.notebook));
}

#[test]
fn many_entries_are_left_in_several_files_and_taken_whole() {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    let note = |at: usize| {
        Saying::Note(crate::hole::record::Note {
            text: format!("{at} {}", "x".repeat(15_000)),
        })
    };
    for part in 0..3 {
        let notes: Vec<_> = (0..200).map(|at| note(part * 200 + at)).collect();
        first.notebook.say_all(hole, &notes).unwrap();
    }
    meet(&first.notebook, shelf.path());
    assert_eq!(segments(shelf.path()).len(), 3);
    let second = Bench::new();
    assert_eq!(meet(&second.notebook, shelf.path()).entries_taken, 603);
    assert_eq!(worked_out(&first.notebook), worked_out(&second.notebook));
}

#[test]
fn a_device_s_name_is_known_to_the_other() {
    let shelf = shelf();
    let (first, hole) = with_a_hole();
    let settings = Settings {
        device_name: "phone".into(),
        ..first.notebook.settings().unwrap()
    };
    first.notebook.set_settings(&settings).unwrap();
    let entry = first.notebook.say(hole, depth_of(2.0), &[]).unwrap();
    let second = joined(&first.notebook, shelf.path());
    assert_eq!(
        second.notebook.entry(entry).unwrap().device_name.as_deref(),
        Some("phone")
    );
}

#[test]
fn a_shelf_is_made_where_only_its_last_part_is_missing() {
    let parent = shelf();
    let (first, _) = with_a_hole();
    assert!(meet(&first.notebook, &parent.path().join("new")).made_shelf);
    let refused = exchange(&first.notebook, &parent.path().join("stick/folder"))
        .unwrap_err()
        .to_string();
    assert!(refused.contains("not there; plug"), "{refused}");
    let file = parent.path().join("file");
    fs::write(&file, "x").unwrap();
    assert!(exchange(&first.notebook, &file).is_err());
}
