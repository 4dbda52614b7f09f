//! A notebook that was copied, or restored from a backup, is noticed, and nothing is lost.

use super::*;
use crate::notebook::tests::{depth_of, lines, wanted, worked_out};
use crate::notebook::{Line, Settings};

fn texts(notebook: &Notebook) -> Vec<String> {
    let mut texts: Vec<_> = lines(notebook)
        .iter()
        .map(|line: &Line| line.text().to_owned())
        .collect();
    texts.sort();
    texts
}

#[test]
fn a_notebook_restored_from_a_backup_takes_its_later_lines_and_goes_on_under_a_new_identity() {
    let shelf = shelf();
    let (bench, hole) = with_a_hole();
    let backup = copy_of(&bench);
    bench.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    meet(&bench.notebook, shelf.path());
    let lost = lines(&bench.notebook);
    drop(bench);

    let restored = Notebook::open(backup.path()).unwrap();
    let before = restored.device().unwrap();
    let report = meet(&restored, shelf.path());
    assert_eq!(report.entries_taken, 1);
    assert_eq!(report.went_on_as, Some(restored.device().unwrap()));
    assert_ne!(restored.device().unwrap(), before);
    assert_eq!(lines(&restored), lost);
    restored.say(hole, depth_of(31.0), &[]).unwrap();
    let report = meet(&restored, shelf.path());
    assert_eq!(
        (report.entries_left, report.went_on_as),
        (1, None),
        "it happens once"
    );
    assert!(restored.verify().unwrap().is_sound());
}

#[test]
fn both_lines_of_a_forked_notebook_are_kept_and_reach_everybody() {
    let shelf = shelf();
    let (bench, hole) = with_a_hole();
    let settings = Settings {
        device_name: "bench".into(),
        ..bench.notebook.settings().unwrap()
    };
    bench.notebook.set_settings(&settings).unwrap();
    meet(&bench.notebook, shelf.path());
    let backup = copy_of(&bench);
    let restored = Notebook::open(backup.path()).unwrap();
    bench.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    bench.notebook.say(hole, wanted("M10"), &[]).unwrap();
    restored.say(hole, depth_of(31.0), &[]).unwrap();
    restored.say(hole, wanted("3/8-16"), &[]).unwrap();
    restored.say(hole, depth_of(32.0), &[]).unwrap();

    meet(&bench.notebook, shelf.path());
    let report = meet(&restored, shelf.path());
    assert_eq!(report.entries_taken, 2);
    assert!(report.went_on_as.is_some());
    assert_eq!(
        report.entries_left, 4,
        "its own three, and its name under the new identity"
    );
    let third = Bench::new();
    meet(&third.notebook, shelf.path());
    let report = meet(&bench.notebook, shelf.path());
    assert_eq!(report.entries_taken, 4);
    assert!(report.went_on_as.is_some(), "the other copy finds out too");
    for _ in 0..2 {
        for notebook in [&bench.notebook, &restored, &third.notebook] {
            meet(notebook, shelf.path());
        }
    }
    for notebook in [&restored, &third.notebook] {
        assert_eq!(texts(notebook), texts(&bench.notebook));
        assert_eq!(worked_out(notebook), worked_out(&bench.notebook));
        assert!(notebook.verify().unwrap().is_sound());
    }
    assert!(third.notebook.hole(hole).unwrap().in_question);
    assert_eq!(third.notebook.hole(hole).unwrap().record.readings.len(), 3);

    // And all of it goes onto a shelf that neither has seen.
    let other = super::shelf();
    meet(&bench.notebook, other.path());
    meet(&restored, other.path());
    let fourth = Bench::new();
    meet(&fourth.notebook, other.path());
    assert_eq!(texts(&fourth.notebook), texts(&bench.notebook));
}

#[test]
fn a_file_that_two_copies_wrote_at_once_is_left_again_under_another_name() {
    let (here, there) = (shelf(), shelf());
    let (bench, hole) = with_a_hole();
    let backup = copy_of(&bench);
    let restored = Notebook::open(backup.path()).unwrap();
    bench.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    restored.say(hole, depth_of(31.0), &[]).unwrap();
    meet(&bench.notebook, here.path());
    meet(&restored, there.path());
    // A store without a way to refuse: the second writer's file takes the first one's place.
    copy_folder(there.path(), here.path());
    meet(&bench.notebook, here.path());
    let third = Bench::new();
    meet(&third.notebook, here.path());
    assert_eq!(third.notebook.hole(hole).unwrap().record.readings.len(), 2);
}

#[test]
fn what_was_written_under_a_former_name_is_still_to_be_brought_home() {
    let (bench, hole) = with_a_hole();
    let backup = copy_of(&bench);
    let copy = Notebook::open(backup.path()).unwrap();
    copy.say(hole, depth_of(30.0), &[]).unwrap();
    bench.notebook.say(hole, depth_of(31.0), &[]).unwrap();
    assert_eq!(bench.notebook.entries_to_bring_home().unwrap(), 4);
    let taken = bench.notebook.take(&lines(&copy)).unwrap();
    assert!(taken.went_on_as.is_some());
    assert_eq!(bench.notebook.entries_to_bring_home().unwrap(), 4);
    meet(&bench.notebook, shelf().path());
    assert_eq!(bench.notebook.entries_to_bring_home().unwrap(), 0);
}
