//! Programs killed at random moments: nothing that was acknowledged is lost, the notebook is sound, and the next one goes on.
//!
//! `HOLEBOOK_KILLS=1000` kills so often; `HOLEBOOK_SEED=7` does what a run that printed 7 did, as far as the machine lets it.
#![allow(clippy::unwrap_used)]

mod lan;
mod stage;

use holebook_core::exchange::{NotebookShelf, exchange, exchange_over, unwatched};
use holebook_core::mend::mend;
use holebook_core::notebook::Notebook;
use holebook_tests::dice::Dice;
use stage::{Stage, copy, ids, kills};
use std::fs;
use std::path::Path;
use std::time::Duration;

/// How many kills one notebook lives through before the next is begun.
const LIVES: u64 = 5;

/// Kills a program at its work a share of the times that were asked for, with a new notebook now and then.
fn kill_at(work: &str, mut after: impl FnMut(&mut Stage, &mut Dice)) {
    let mut dice = Dice::thrown(work);
    let mut stage = Stage::set();
    for turn in 0..kills() {
        if turn % LIVES == 0 {
            stage = Stage::set();
        }
        stage.kill(work, &mut dice);
        stage.check();
        after(&mut stage, &mut dice);
    }
}

#[test]
fn nothing_acknowledged_is_lost_where_recording_is_killed() {
    kill_at("record", |_, _| {});
}

#[test]
fn nothing_acknowledged_is_lost_where_bringing_photos_in_is_killed() {
    kill_at("import", |_, _| {});
}

#[test]
fn an_exchange_over_a_folder_that_was_killed_is_finished_by_the_next() {
    kill_at("folder", |stage, _| {
        let notebook = stage.notebook();
        let shelf = stage.other();
        assert_eq!(exchange(&notebook, &shelf).unwrap().problems, []);
        assert_eq!(exchange(&notebook, &shelf).unwrap().entries_left, 0);
        // Whoever comes to the shelf finds everything.
        let guest = tempfile::tempdir().unwrap();
        let guest_book = Notebook::open(guest.path()).unwrap();
        assert_eq!(exchange(&guest_book, &shelf).unwrap().problems, []);
        assert_eq!(ids(guest.path()), ids(stage.dir()));
        assert!(guest_book.verify().unwrap().is_sound());
    });
}

#[test]
fn an_exchange_with_another_notebook_that_was_killed_is_finished_by_the_next() {
    kill_at("notebook", |stage, _| {
        let notebook = stage.notebook();
        let other = Notebook::open(&stage.other()).unwrap();
        assert!(other.verify().unwrap().is_sound());
        let met = exchange_over(&notebook, &NotebookShelf(&other), &unwatched).unwrap();
        assert_eq!((met.problems, met.went_on_as), (vec![], None));
        assert_eq!(ids(stage.dir()), ids(&stage.other()));
    });
}

#[test]
fn a_repair_that_was_killed_is_finished_by_the_next() {
    let mut dice = Dice::thrown("repair");
    let stage = Stage::set();
    stage.fill(400);
    let all = ids(stage.dir());
    for _ in 0..kills() {
        let damaged = copy(stage.dir());
        let file = damaged.path().join("notebook.sqlite");
        let mut bytes = fs::read(&file).unwrap();
        bytes[..100].fill(0);
        fs::write(&file, bytes).unwrap();
        stage::kill_repair(damaged.path(), &mut dice);
        let mended = mend(damaged.path()).unwrap();
        assert!(mended.now.is_sound(), "{mended:?}");
        assert_eq!(mended.now.stray, []);
        assert_eq!(ids(damaged.path()), all);
    }
}

/// The files as they lie when power fails, with all or only a part of the log on the disk.
#[test]
fn a_copy_made_at_any_moment_holds_what_was_acknowledged_by_then_and_a_part_of_its_log_the_first_of_it()
 {
    let mut dice = Dice::thrown("copy");
    let mut stage = Stage::set();
    let mut writer = stage.start("record", &mut dice);
    for turn in 0..kills() {
        // It is written in all the time, and what is large takes long to look through.
        if turn > 0 && turn % LIVES == 0 {
            writer.kill();
            stage = Stage::set();
            writer = stage.start("record", &mut dice);
        }
        std::thread::sleep(Duration::from_millis(dice.below(40)));
        let (copy, acknowledged) = writer.frozen(|| copy(stage.dir()));
        let part = stage::copy(copy.path());
        let log = part.path().join("notebook.sqlite-wal");
        let cut = dice.below(fs::metadata(&log).map_or(0, |log| log.len()) + 1);
        let opened = fs::OpenOptions::new().write(true).open(&log);
        opened.map(|log| log.set_len(cut).unwrap()).ok();
        let whole = sound_ids(copy.path());
        assert!(acknowledged.iter().all(|id| whole.contains(id)));
        let first = sound_ids(part.path());
        assert_eq!(first, whole[..first.len()]);
    }
    writer.kill();
}

fn sound_ids(dir: &Path) -> Vec<String> {
    assert!(Notebook::open(dir).unwrap().verify().unwrap().is_sound());
    ids(dir)
}
