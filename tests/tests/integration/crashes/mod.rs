//! Programs killed at random moments: no acknowledged change is lost, the notebook has no findings,
//! and the next program continues.

mod crash_test;
mod lan;

use crash_test::{CrashTest, copy, ids, kills};
use holebook_core::notebook::Notebook;
use holebook_core::repair::repair;
use holebook_core::sync::{NotebookRemote, ignore_progress, sync_folder, sync_with};
use holebook_test_support::SeededRng;
use std::fs;
use std::path::Path;
use std::time::Duration;

/// How many kills one notebook survives before the test starts a new one.
const KILLS_PER_NOTEBOOK: u64 = 5;

/// Kills a program at its task, as often as this test's share of the kills.
fn kill_during(task: &str, mut after: impl FnMut(&mut CrashTest, &mut SeededRng)) {
    let mut rng = SeededRng::new(task);
    let mut test = CrashTest::new();
    let mut acknowledged = [0, 0];
    for round in 0..kills() {
        if round % KILLS_PER_NOTEBOOK == 0 {
            acknowledged = sum(acknowledged, test.acknowledged());
            test = CrashTest::new();
        }
        test.kill(task, &mut rng);
        test.check();
        after(&mut test, &mut rng);
    }
    let [entries, photos] = sum(acknowledged, test.acknowledged());
    let kills = kills();
    println!(
        "{task}: {kills} kills, {entries} entries and {photos} photos acknowledged, none lost"
    );
}

fn sum(one: [usize; 2], other: [usize; 2]) -> [usize; 2] {
    [one[0] + other[0], one[1] + other[1]]
}

#[test]
fn killed_recording_loses_no_acknowledged_entry() {
    kill_during("record", |_, _| {});
}

#[test]
fn killed_checkpoint_loses_no_acknowledged_entry() {
    kill_during("checkpoint", |_, _| {});
}

/// Killed while it opens, writes, and closes the notebook with its last checkpoint.
#[test]
fn killed_stop_loses_no_acknowledged_entry() {
    kill_during("stop", |_, _| {});
}

#[test]
fn killed_import_loses_no_acknowledged_photo() {
    kill_during("import", |_, _| {});
}

#[test]
fn killed_sync_with_a_folder_is_finished_by_the_next() {
    kill_during("folder", |test, _| {
        let notebook = test.notebook();
        let remote = test.other();
        assert_eq!(sync_folder(&notebook, &remote).unwrap().problems, []);
        assert_eq!(sync_folder(&notebook, &remote).unwrap().entries_pushed, 0);
        // Another device finds everything in the folder.
        let other_dir = tempfile::tempdir().unwrap();
        let other_notebook = Notebook::open(other_dir.path()).unwrap();
        assert_eq!(sync_folder(&other_notebook, &remote).unwrap().problems, []);
        assert_eq!(ids(other_dir.path()), ids(test.dir()));
        assert!(other_notebook.verify().unwrap().is_ok());
    });
}

#[test]
fn killed_sync_with_a_notebook_is_finished_by_the_next() {
    kill_during("notebook", |test, _| {
        let notebook = test.notebook();
        let other = Notebook::open(&test.other()).unwrap();
        assert!(other.verify().unwrap().is_ok());
        let report = sync_with(&notebook, &NotebookRemote(&other), &ignore_progress).unwrap();
        assert_eq!((report.problems, report.continued_as), (vec![], None));
        assert_eq!(ids(test.dir()), ids(&test.other()));
    });
}

#[test]
fn killed_repair_is_finished_by_the_next() {
    let mut rng = SeededRng::new("repair");
    let test = CrashTest::new();
    test.fill(400);
    let all = ids(test.dir());
    for _ in 0..kills() {
        let damaged = copy(test.dir());
        let file = damaged.path().join("notebook.sqlite");
        let mut bytes = fs::read(&file).unwrap();
        bytes[..100].fill(0);
        fs::write(&file, bytes).unwrap();
        crash_test::kill_repair(damaged.path(), &mut rng);
        let report = repair(damaged.path()).unwrap();
        assert!(report.now.is_ok(), "{report:?}");
        assert_eq!(report.now.unexpected_files, []);
        assert_eq!(ids(damaged.path()), all);
    }
    let (kills, entries) = (kills(), all.len());
    println!("repair: {kills} kills, {entries} entries acknowledged in each notebook, none lost");
}

/// The files as they are when power fails, with all or only part of the log on disk: the copy has
/// everything acknowledged by then, and with part of its log the first entries of that.
#[test]
fn copy_at_any_moment_holds_every_acknowledged_entry() {
    let mut rng = SeededRng::new("copy");
    let mut test = CrashTest::new();
    let mut writer = test.start("record", &mut rng);
    for round in 0..kills() {
        // The notebook keeps growing, and a large one takes long to verify.
        if round > 0 && round % KILLS_PER_NOTEBOOK == 0 {
            writer.kill();
            test = CrashTest::new();
            writer = test.start("record", &mut rng);
        }
        std::thread::sleep(Duration::from_millis(rng.below(40)));
        let (copy, acknowledged) = writer.frozen(|| copy(test.dir()));
        let truncated = crash_test::copy(copy.path());
        let log = truncated.path().join("notebook.sqlite-wal");
        let cut = rng.below(fs::metadata(&log).map_or(0, |log| log.len()) + 1);
        let opened = fs::OpenOptions::new().write(true).open(&log);
        opened.map(|log| log.set_len(cut).unwrap()).ok();
        let whole = verified_ids(copy.path());
        assert!(acknowledged.iter().all(|id| whole.contains(id)));
        let first = verified_ids(truncated.path());
        assert_eq!(first, whole[..first.len()]);
    }
    writer.kill();
}

fn verified_ids(dir: &Path) -> Vec<String> {
    assert!(Notebook::open(dir).unwrap().verify().unwrap().is_ok());
    ids(dir)
}
