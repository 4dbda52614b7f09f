//! Photos travel with the entries that name them.

use super::*;
use crate::exchange::{NotebookShelf, Progress, Stage, exchange_over, unwatched};
use crate::notebook::tests::photos::photo_file;
use crate::photo::{LARGEST_FILE_BYTES, PhotoError, PhotoHash};
use std::io::{self, Read as _};
use std::ops::ControlFlow;

#[test]
fn a_photo_reaches_the_other_notebook_before_its_entry() {
    let (shelf, source) = (shelf(), TempDir::new().unwrap());
    let first = Bench::new();
    let (face, _) = lay_out(&first.notebook, 1);
    let (photo, incoming) = first
        .notebook
        .add_photo(face, &photo_file(&source, 9), None)
        .unwrap();
    let report = meet(&first.notebook, shelf.path());
    assert_eq!(report.photos_left, 1);
    assert!(
        shelf
            .path()
            .join("photos")
            .join(incoming.hash.to_string())
            .is_file()
    );
    let second = Bench::new();
    assert_eq!(meet(&second.notebook, shelf.path()).photos_taken, 1);
    assert_eq!(
        second.notebook.photo(photo).unwrap(),
        first.notebook.photo(photo).unwrap()
    );
    assert!(second.notebook.verify().unwrap().is_sound());
    assert_eq!(meet(&second.notebook, shelf.path()), Report::default());
}

#[test]
fn a_damaged_photo_does_not_hold_up_the_entries_and_comes_later() {
    let (shelf, source) = (shelf(), TempDir::new().unwrap());
    let first = Bench::new();
    let (face, _) = lay_out(&first.notebook, 1);
    let (_, incoming) = first
        .notebook
        .add_photo(face, &photo_file(&source, 9), None)
        .unwrap();
    meet(&first.notebook, shelf.path());
    let on_shelf = shelf.path().join("photos").join(incoming.hash.to_string());
    fs::write(&on_shelf, "cut short").unwrap();

    let second = Bench::new();
    let report = exchange(&second.notebook, shelf.path()).unwrap();
    assert_eq!((report.entries_taken, report.photos_taken), (4, 0));
    assert_eq!(report.photos_missing, [incoming.hash]);
    assert_eq!(report.problems.len(), 1);
    // The one that has it sees that the shelf's is cut short.
    assert_eq!(meet(&first.notebook, shelf.path()).photos_left, 1);
    assert_eq!(meet(&second.notebook, shelf.path()).photos_taken, 1);
    assert!(second.notebook.verify().unwrap().is_sound());

    // A missing one is said each time until it comes.
    fs::remove_file(second.notebook.photos().original(&incoming.hash)).unwrap();
    fs::remove_file(&on_shelf).unwrap();
    assert_eq!(
        meet(&second.notebook, shelf.path()).photos_missing,
        [incoming.hash]
    );
    meet(&first.notebook, shelf.path());
    assert_eq!(meet(&second.notebook, shelf.path()).photos_taken, 1);
}

#[test]
fn a_photo_that_kept_its_size_and_not_its_content_is_left_again_by_whoever_has_it() {
    let (shelf, source) = (shelf(), TempDir::new().unwrap());
    let first = Bench::new();
    let (face, _) = lay_out(&first.notebook, 1);
    let photo = photo_file(&source, 9);
    let (_, incoming) = first.notebook.add_photo(face, &photo, None).unwrap();
    meet(&first.notebook, shelf.path());
    let on_shelf = shelf.path().join("photos").join(incoming.hash.to_string());
    let whole = fs::read(&on_shelf).unwrap();
    // As a stick has it that was pulled out too early.
    fs::write(&on_shelf, vec![0; whole.len()]).unwrap();
    assert_eq!(meet(&first.notebook, shelf.path()), Report::default());

    let second = Bench::new();
    let report = exchange(&second.notebook, shelf.path()).unwrap();
    assert_eq!(report.photos_missing, [incoming.hash]);
    assert_eq!(report.problems.len(), 1);
    assert_eq!(meet(&first.notebook, shelf.path()).photos_left, 1);
    assert_eq!(fs::read(&on_shelf).unwrap(), whole);
    assert_eq!(meet(&second.notebook, shelf.path()).photos_taken, 1);
    for bench in [&first, &second] {
        assert_eq!(meet(&bench.notebook, shelf.path()), Report::default());
        assert!(bench.notebook.verify().unwrap().is_sound());
    }
}

/// A notebook with one photo, and where that lies in it.
fn with_a_photo() -> (Bench, PathBuf) {
    let source = TempDir::new().unwrap();
    let bench = Bench::new();
    let (face, _) = lay_out(&bench.notebook, 1);
    let photo = photo_file(&source, 9);
    let (_, incoming) = bench.notebook.add_photo(face, &photo, None).unwrap();
    let place = bench.notebook.photos().original(&incoming.hash);
    (bench, place)
}

#[test]
fn a_photo_that_was_damaged_here_does_not_take_the_place_of_a_sound_one() {
    let shelf = shelf();
    let (first, place) = with_a_photo();
    let second = joined(&first.notebook, shelf.path());
    let whole = fs::read(&place).unwrap();
    let on_shelf = shelf.path().join("photos").join(place.file_name().unwrap());
    fs::write(&place, &whole[..whole.len() / 2]).unwrap();
    let report = exchange(&first.notebook, shelf.path()).unwrap();
    assert_eq!((report.photos_left, report.problems.len()), (0, 1));
    assert!(report.problems[0].why.contains("damaged here"));
    assert_eq!(fs::read(&on_shelf).unwrap(), whole);
    // Once it was moved aside, the shelf's is taken.
    first.notebook.repair().unwrap();
    assert_eq!(meet(&first.notebook, shelf.path()).photos_taken, 1);
    assert_eq!(fs::read(&place).unwrap(), whole);
    assert!(second.notebook.verify().unwrap().is_sound());
}

#[test]
fn a_photo_that_was_lost_here_is_asked_for_though_no_entry_is_new() {
    let (host, _) = with_a_photo();
    let guest = Bench::new();
    let visit = || exchange_over(&guest.notebook, &NotebookShelf(&host.notebook), &unwatched);
    assert_eq!(visit().unwrap().photos_taken, 1);
    assert_eq!(visit().unwrap(), Report::default());
    let photo = guest.notebook.photos().hashes().unwrap()[0];
    fs::remove_file(guest.notebook.photos().original(&photo)).unwrap();
    assert_eq!(visit().unwrap().photos_taken, 1);
}

#[test]
fn after_an_exchange_with_a_problem_the_next_one_looks_at_everything_again() {
    let (host, place) = with_a_photo();
    let guest = Bench::new();
    let visit = || exchange_over(&guest.notebook, &NotebookShelf(&host.notebook), &unwatched);
    let whole = fs::read(&place).unwrap();
    let mut damaged = whole.clone();
    damaged[whole.len() / 2] ^= 1;
    fs::write(&place, damaged).unwrap();
    assert_eq!(visit().unwrap().problems.len(), 1);
    // Nothing that the shelf lists is another than before.
    fs::write(&place, whole).unwrap();
    assert_eq!(visit().unwrap().photos_taken, 1);
}

#[test]
fn a_photo_that_is_left_takes_the_place_of_one_that_was_cut_short_there() {
    let (guest, place) = with_a_photo();
    let host = Bench::new();
    let visit = || exchange_over(&guest.notebook, &NotebookShelf(&host.notebook), &unwatched);
    assert_eq!(visit().unwrap().photos_left, 1);
    let photo = host.notebook.photos().hashes().unwrap()[0];
    let there = host.notebook.photos().original(&photo);
    fs::write(&there, "cut short").unwrap();
    assert_eq!(visit().unwrap().photos_left, 1);
    assert_eq!(fs::read(there).unwrap(), fs::read(place).unwrap());
}

#[test]
fn photos_are_left_before_any_line() {
    let (guest, _) = with_a_photo();
    let host = Bench::new();
    let photo = guest.notebook.photos().hashes().unwrap()[0];
    let watch = |progress: Progress| {
        if progress.stage == Stage::Leaving && progress.entries > 0 {
            assert!(host.notebook.photos().holds(&photo));
        }
        ControlFlow::Continue(())
    };
    let shelf = NotebookShelf(&host.notebook);
    let report = exchange_over(&guest.notebook, &shelf, &watch).unwrap();
    assert_eq!((report.photos_left, report.entries_left), (1, 4));
}

#[test]
fn a_photo_without_end_is_not_taken() {
    let host = Bench::new();
    let photos = host.notebook.photos();
    let mut endless = io::repeat(7).take(LARGEST_FILE_BYTES + (1 << 20));
    let taken = photos.adopt_from(&PhotoHash::of(b"a photo"), &mut endless);
    assert!(matches!(taken, Err(PhotoError::FileTooLarge { .. })));
    assert!(host.notebook.verify().unwrap().stray.is_empty());
}
