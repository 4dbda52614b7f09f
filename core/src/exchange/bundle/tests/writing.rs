//! Writing a bundle: whole or not at all, never over another file, always the same, and not home by itself.

use super::*;
use crate::exchange::bundle::{BundleError, Written, take_in, write_over};
use crate::exchange::{ExchangeError, Progress, Report};
use crate::notebook::tests::worked_out;
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::time::Duration;

fn take(notebook: &Notebook, place: &std::path::Path) -> Report {
    let report = take_in(notebook, place, &unwatched).unwrap();
    assert_eq!(report.problems, []);
    report
}

/// The names in the shop's folder that are not those of photos that it was given.
fn names(shop: &Shop) -> Vec<String> {
    let names = fs::read_dir(shop.dir.path()).unwrap();
    let names = names.map(|file| file.unwrap().file_name().into_string().unwrap());
    names.filter(|name| !name.ends_with(".jpg")).collect()
}

#[test]
fn a_bundle_holds_all_and_is_taken_once() {
    let (shop, other) = (Shop::new(), Bench::new());
    let place = shop.place("all.zip");
    let written = write(shop.notebook(), &place, What::All, &unwatched).unwrap();
    assert_eq!((written.entries, written.photos), (4, 1));
    assert_eq!(written.bytes, fs::metadata(&place).unwrap().len());
    assert_eq!(written.photos_missing, []);
    let report = take(&other.notebook, &place);
    assert_eq!((report.entries_taken, report.photos_taken), (4, 1));
    assert_eq!(worked_out(&other.notebook), worked_out(shop.notebook()));
    assert!(other.notebook.verify().unwrap().is_sound());
    assert_eq!(take(&other.notebook, &place), Report::default());
    assert_eq!(
        other.notebook.shelves().unwrap(),
        [],
        "a bundle is no shelf to come back to"
    );
}

#[test]
fn the_same_content_gives_the_same_bytes_whoever_writes_it_and_when() {
    let (shop, other) = (Shop::new(), Bench::new());
    let (first, second) = (shop.place("1.zip"), shop.place("2.zip"));
    write(shop.notebook(), &first, What::All, &unwatched).unwrap();
    take(&other.notebook, &first);
    let (face, _) = lay_out(&other.notebook, 2);
    add_photo(&other.notebook, face, &shop.dir, 8);
    let theirs = shop.place("theirs.zip");
    write(&other.notebook, &theirs, What::All, &unwatched).unwrap();
    take(shop.notebook(), &theirs);
    std::thread::sleep(Duration::from_millis(2100)); // The times of a zip file are even seconds.
    write(shop.notebook(), &second, What::All, &unwatched).unwrap();
    assert_eq!(fs::read(second).unwrap(), fs::read(theirs).unwrap());
}

#[test]
fn a_file_that_is_there_stays_unless_it_may_be_replaced() {
    let shop = Shop::new();
    let place = shop.place("all.zip");
    fs::write(&place, "somebody's").unwrap();
    let refused = write(shop.notebook(), &place, What::All, &unwatched).unwrap_err();
    assert!(
        matches!(refused, ExchangeError::Bundle(BundleError::Exists { .. })),
        "{refused}"
    );
    assert_eq!(fs::read(&place).unwrap(), b"somebody's");
    assert_eq!(names(&shop), ["all.zip"]);
    write_over(shop.notebook(), &place, What::All, &unwatched).unwrap();
    assert_eq!(take(&Bench::new().notebook, &place).entries_taken, 4);
    let appears = |_: Progress| {
        let _ = fs::write(shop.place("late.zip"), "somebody's");
        ControlFlow::Continue(())
    };
    let refused = write(
        shop.notebook(),
        &shop.place("late.zip"),
        What::All,
        &appears,
    )
    .unwrap_err();
    assert!(
        matches!(refused, ExchangeError::Bundle(BundleError::Exists { .. })),
        "{refused}"
    );
    assert_eq!(fs::read(shop.place("late.zip")).unwrap(), b"somebody's");
    for nowhere in [shop.place("no/folder/all.zip"), shop.dir.path().to_owned()] {
        let refused = write_over(shop.notebook(), &nowhere, What::All, &unwatched).unwrap_err();
        let said = refused.to_string();
        assert!(
            said.contains("cannot be written") && said.contains("see that its folder"),
            "{said}"
        );
    }
}

#[test]
fn whoever_watches_sees_how_far_it_is_and_can_end_it_and_nothing_is_left() {
    let shop = Shop::new();
    let seen = Mutex::new(Vec::new());
    let watch = |progress: Progress| {
        seen.lock().unwrap().push(progress);
        ControlFlow::Continue(())
    };
    let place = shop.place("all.zip");
    write(shop.notebook(), &place, What::All, &watch).unwrap();
    let seen = seen.into_inner().unwrap();
    let last = seen.last().unwrap();
    assert_eq!((last.entries, last.entries_of), (4, 4));
    assert!(last.photo_bytes == last.photo_bytes_of && last.photo_bytes > 0);
    for patience in 0..seen.len() {
        let left = Mutex::new(patience);
        let watch = |_: Progress| {
            let mut left = left.lock().unwrap();
            let go_on = left.checked_sub(1);
            *left = go_on.unwrap_or(0);
            go_on.map_or(ControlFlow::Break(()), |_| ControlFlow::Continue(()))
        };
        let ended = write_over(shop.notebook(), &place, What::All, &watch);
        assert!(matches!(ended, Err(ExchangeError::Stopped)), "{patience}");
        assert_eq!(names(&shop), ["all.zip"]);
    }
}

#[test]
fn what_is_not_home_is_sent_alone_and_is_home_when_a_person_says_so() {
    let (shop, other) = (Shop::new(), Bench::new());
    take(&other.notebook, &{
        let place = shop.place("first.zip");
        let first = write(shop.notebook(), &place, What::NotHome, &unwatched).unwrap();
        assert_eq!((first.entries, first.photos), (4, 1));
        assert_eq!(shop.notebook().entries_to_bring_home().unwrap(), 4);
        // Kept as text until the person says so; what is written meanwhile is not home.
        let kept = serde_json::to_string(&first).unwrap();
        shop.say(30.0);
        let kept: Written = serde_json::from_str(&kept).unwrap();
        kept.count_as_home(shop.notebook()).unwrap();
        assert_eq!(shop.notebook().entries_to_bring_home().unwrap(), 1);
        place
    });
    add_photo(shop.notebook(), shop.face, &shop.dir, 9);
    let place = shop.place("second.zip");
    let second = write(shop.notebook(), &place, What::NotHome, &unwatched).unwrap();
    assert_eq!((second.entries, second.photos), (2, 1));
    // Whoever lacks what was before takes none of it, and is told.
    let stranger = Bench::new();
    let report = take_in(&stranger.notebook, &place, &unwatched).unwrap();
    assert_eq!((report.entries_taken, report.problems.len()), (0, 1));
    assert_eq!(take(&other.notebook, &place).entries_taken, 2);
    assert_eq!(worked_out(&other.notebook), worked_out(shop.notebook()));
    // Lines of others are theirs to bring.
    let nothing = write(
        &other.notebook,
        &shop.place("none.zip"),
        What::NotHome,
        &unwatched,
    );
    let nothing = nothing.unwrap_err();
    assert!(
        nothing.to_string().contains("lies on a shelf already"),
        "{nothing}"
    );
    assert!(!shop.place("none.zip").exists());
    let empty = write(
        &Bench::new().notebook,
        &shop.place("none.zip"),
        What::All,
        &unwatched,
    );
    assert!(
        empty
            .unwrap_err()
            .to_string()
            .contains("the notebook is empty")
    );
}

#[test]
fn a_photo_that_is_not_here_is_told_and_all_else_is_written() {
    let shop = Shop::new();
    fs::remove_file(shop.notebook().photos().original(&shop.photo)).unwrap();
    let place = shop.place("all.zip");
    let written = write(shop.notebook(), &place, What::All, &unwatched).unwrap();
    assert_eq!((written.entries, written.photos), (4, 0));
    assert_eq!(written.photos_missing, [shop.photo]);
    let report = take(&Bench::new().notebook, &place);
    assert_eq!(
        (report.entries_taken, report.photos_missing),
        (4, vec![shop.photo])
    );
}

#[test]
fn a_long_journal_stands_in_pieces() {
    let shop = Shop::new();
    let note = |at: usize| {
        crate::notebook::Saying::Note(crate::hole::record::Note {
            text: format!("{at} {}", "x".repeat(15_000)),
        })
    };
    let notes: Vec<_> = (0..600).map(note).collect();
    shop.notebook().say_all(shop.hole, &notes).unwrap();
    let place = shop.place("all.zip");
    let written = write(shop.notebook(), &place, What::All, &unwatched).unwrap();
    assert!(
        written.entries == 604 && written.bytes < 1 << 20,
        "{written:?}"
    );
    let bundle = crate::exchange::Bundle::open(&place).unwrap();
    let survey = crate::exchange::Shelf::survey(&bundle, None)
        .unwrap()
        .unwrap();
    assert!(survey.stretches.len() > 2);
    let other = Bench::new();
    assert_eq!(take(&other.notebook, &place).entries_taken, 604);
    assert_eq!(worked_out(&other.notebook), worked_out(shop.notebook()));
}
