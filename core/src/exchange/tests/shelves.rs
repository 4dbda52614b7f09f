//! What holds whatever the shelf is: a notebook as a shelf, news that travel over several, ending early, nothing new.

use super::*;
use crate::exchange::{
    ExchangeError, FolderShelf, NotebookShelf, Progress, Shelf, Stage, Stretch, Survey,
    exchange_over, unwatched,
};
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{depth_of, lines, worked_out};
use crate::notebook::{DeviceId, Saying};
use crate::photo::PhotoHash;
use std::io::{Read, Write};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Exchanges with another notebook as the shelf.
fn visit(guest: &Notebook, host: &Notebook) -> Report {
    let report = exchange_over(guest, &NotebookShelf(host), &unwatched).unwrap();
    assert_eq!(report.problems, []);
    report
}

#[test]
fn a_notebook_is_a_shelf_for_another() {
    let source = TempDir::new().unwrap();
    let (host, hole) = with_a_hole();
    let guest = Bench::new();
    assert_eq!(visit(&guest.notebook, &host.notebook).entries_taken, 3);
    guest.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    let face = guest.notebook.list().unwrap().castings[0].faces[0].id;
    let photo = photo_file(&source, 9);
    guest.notebook.add_photo(face, &photo, None).unwrap();
    let report = visit(&guest.notebook, &host.notebook);
    assert_eq!((report.entries_left, report.photos_left), (2, 1));
    assert_eq!(worked_out(&guest.notebook), worked_out(&host.notebook));
    assert!(host.notebook.verify().unwrap().is_sound());
    host.notebook.say(hole, depth_of(31.0), &[]).unwrap();
    let report = visit(&guest.notebook, &host.notebook);
    assert_eq!((report.entries_taken, report.entries_left), (1, 0));
    assert_eq!(guest.notebook.entries_to_bring_home().unwrap(), 0);
}

#[test]
fn news_travel_over_shelves_that_their_writer_never_saw() {
    let (here, there) = (shelf(), shelf());
    let (first, _) = with_a_hole();
    let [second, third] = [Bench::new(), Bench::new()];
    meet(&first.notebook, here.path());
    meet(&second.notebook, here.path());
    assert_eq!(meet(&second.notebook, there.path()).entries_left, 3);
    assert_eq!(meet(&third.notebook, there.path()).entries_taken, 3);
    // Its writer finds them there, and leaves nothing again.
    assert_eq!(meet(&first.notebook, there.path()).entries_left, 0);
    assert_eq!(visit(&third.notebook, &first.notebook), Report::default());
}

/// A notebook as a shelf that counts what is asked of it.
struct Asked<'a> {
    shelf: NotebookShelf<'a>,
    surveys: AtomicUsize,
    others: AtomicUsize,
}

impl Shelf for Asked<'_> {
    fn id(&self) -> String {
        self.shelf.id()
    }

    fn name(&self) -> String {
        self.shelf.name()
    }

    fn survey(&self, known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        let survey = self.shelf.survey(known)?;
        let whole = usize::from(survey.is_some());
        self.surveys.fetch_add(whole, Ordering::Relaxed);
        Ok(survey)
    }

    fn lines(&self, stretch: &Stretch, from: u64) -> Result<Vec<u8>, ExchangeError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.shelf.lines(stretch, from)
    }

    fn leave_lines(&self, stretch: &Stretch, lines: &[u8]) -> Result<(), ExchangeError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.shelf.leave_lines(stretch, lines)
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.shelf.photo(photo, into)
    }

    fn leave_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        self.others.fetch_add(1, Ordering::Relaxed);
        self.shelf.leave_photo(photo, bytes, from)
    }

    fn doubt(&self, file: &str) {
        self.shelf.doubt(file);
    }
}

#[test]
fn where_nothing_changed_on_either_side_nothing_is_listed() {
    let (host, hole) = with_a_hole();
    let guest = Bench::new();
    let asked = |expected: (usize, usize)| {
        let shelf = Asked {
            shelf: NotebookShelf(&host.notebook),
            surveys: AtomicUsize::new(0),
            others: AtomicUsize::new(0),
        };
        let report = exchange_over(&guest.notebook, &shelf, &unwatched).unwrap();
        let counts = (shelf.surveys.into_inner(), shelf.others.into_inner());
        assert_eq!(counts, expected);
        report
    };
    asked((1, 1));
    asked((0, 0));
    guest.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    // Once more after leaving, to know the state that it is in now.
    asked((2, 1));
    asked((0, 0));
    host.notebook.say(hole, depth_of(31.0), &[]).unwrap();
    assert_eq!(asked((1, 1)).entries_taken, 1);
    let known = guest.notebook.shelves().unwrap();
    assert_eq!((known.len(), known[0].moved.entries_taken), (1, 1));
    guest.notebook.forget_shelf(&known[0].id).unwrap();
    asked((1, 0));
}

#[test]
fn whoever_watches_can_end_it_and_the_next_one_goes_on() {
    let (shelf, source) = (shelf(), TempDir::new().unwrap());
    let (first, _) = with_a_hole();
    let face = first.notebook.list().unwrap().castings[0].faces[0].id;
    for kind in 0..6 {
        let photo = photo_file(&source, kind);
        first.notebook.add_photo(face, &photo, None).unwrap();
    }
    meet(&first.notebook, shelf.path());
    let shelf = FolderShelf::open(shelf.path()).unwrap().0;
    let second = Bench::new();
    let steps = AtomicUsize::new(0);
    let mut runs = 0;
    loop {
        runs += 1;
        let patience = runs * 2;
        steps.store(0, Ordering::Relaxed);
        let watch = |progress: Progress| {
            assert!(progress.photo_bytes <= progress.photo_bytes_of);
            assert!(progress.entries <= progress.entries_of || progress.stage == Stage::Looking);
            if steps.fetch_add(1, Ordering::Relaxed) < patience {
                ControlFlow::Continue(())
            } else {
                ControlFlow::Break(())
            }
        };
        match exchange_over(&second.notebook, &shelf, &watch) {
            Ok(_) => break,
            Err(ExchangeError::Stopped) => assert!(second.notebook.verify().unwrap().is_sound()),
            Err(error) => panic!("{error}"),
        }
    }
    assert!(runs > 3, "it was ended {runs} times");
    assert_eq!(worked_out(&first.notebook), worked_out(&second.notebook));
}

#[test]
fn what_is_recorded_during_an_exchange_is_left_by_the_next() {
    let host = Bench::new();
    let (guest, hole) = with_a_hole();
    let recorded = AtomicUsize::new(0);
    let watch = |progress: Progress| {
        let leaving = progress.stage == Stage::Leaving && progress.entries > 0;
        if leaving && recorded.fetch_add(1, Ordering::Relaxed) == 0 {
            guest.notebook.say(hole, depth_of(30.0), &[]).unwrap();
        }
        ControlFlow::Continue(())
    };
    let shelf = NotebookShelf(&host.notebook);
    let report = exchange_over(&guest.notebook, &shelf, &watch).unwrap();
    assert_eq!(report.entries_left, 3);
    assert_eq!(guest.notebook.entries_to_bring_home().unwrap(), 1);
    assert_eq!(visit(&guest.notebook, &host.notebook).entries_left, 1);
    assert_eq!(guest.notebook.entries_to_bring_home().unwrap(), 0);
}

#[test]
fn what_comes_to_a_shelf_while_lines_are_left_there_is_taken_by_the_next() {
    let (host, hole) = with_a_hole();
    let guest = Bench::new();
    visit(&guest.notebook, &host.notebook);
    guest.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    let recorded = AtomicUsize::new(0);
    let watch = |progress: Progress| {
        let leaving = progress.stage == Stage::Leaving && progress.entries > 0;
        if leaving && recorded.fetch_add(1, Ordering::Relaxed) == 0 {
            host.notebook.say(hole, depth_of(31.0), &[]).unwrap();
        }
        ControlFlow::Continue(())
    };
    let shelf = NotebookShelf(&host.notebook);
    let report = exchange_over(&guest.notebook, &shelf, &watch).unwrap();
    assert_eq!((report.entries_left, report.entries_taken), (1, 0));
    assert_eq!(visit(&guest.notebook, &host.notebook).entries_taken, 1);
}

#[test]
fn an_exchange_that_found_nothing_new_is_the_last_one_all_the_same() {
    let (host, _) = with_a_hole();
    let guest = Bench::new();
    let taken = || guest.notebook.shelves().unwrap()[0].moved.entries_taken;
    visit(&guest.notebook, &host.notebook);
    assert_eq!(taken(), 3);
    visit(&guest.notebook, &host.notebook);
    assert_eq!(taken(), 0);
}

#[test]
fn holes_that_came_in_question_are_told() {
    let (host, hole) = with_a_hole();
    let guest = Bench::new();
    visit(&guest.notebook, &host.notebook);
    let say = |notebook: &Notebook, thread| {
        let wanted = crate::notebook::tests::wanted(thread);
        notebook.say(hole, wanted, &[]).unwrap();
    };
    say(&host.notebook, "M10");
    say(&guest.notebook, "3/8-16");
    assert_eq!(visit(&guest.notebook, &host.notebook).in_question, [hole]);
    assert_eq!(visit(&guest.notebook, &host.notebook).in_question, []);
}

#[test]
fn a_long_journal_is_given_in_pieces_that_a_guest_may_take_up_in_the_middle() {
    let (host, hole) = with_a_hole();
    let note = |at: usize| {
        Saying::Note(crate::hole::record::Note {
            text: format!("{at} {}", "x".repeat(15_000)),
        })
    };
    let notes: Vec<_> = (0..600).map(note).collect();
    host.notebook.say_all(hole, &notes).unwrap();
    let guest = Bench::new();
    let shelf = NotebookShelf(&host.notebook);
    let stop_early = |progress: Progress| match progress.entries {
        0 => ControlFlow::Continue(()),
        _ => ControlFlow::Break(()),
    };
    let ended = exchange_over(&guest.notebook, &shelf, &stop_early);
    assert!(matches!(ended, Err(ExchangeError::Stopped)));
    let taken = visit(&guest.notebook, &host.notebook).entries_taken;
    assert!(taken > 0 && taken < 603, "{taken}");
    assert_eq!(worked_out(&guest.notebook), worked_out(&host.notebook));
}

#[test]
fn a_notebook_gives_no_lines_that_it_does_not_have() {
    let (host, _) = with_a_hole();
    let shelf = NotebookShelf(&host.notebook);
    let survey = shelf.survey(None).unwrap().unwrap();
    let known = survey.stretches.first().unwrap().clone();
    let other = Stretch {
        device: DeviceId::fresh(),
        ..known.clone()
    };
    for (stretch, from) in [(&other, 1), (&known, 0), (&known, 4)] {
        let refused = shelf.lines(stretch, from);
        assert!(matches!(refused, Err(ExchangeError::File(_))), "{from}");
    }
}

#[test]
fn a_notebook_says_so_where_it_lacks_the_line_before_those_that_are_left() {
    let (writer, hole) = with_a_hole();
    let text = |at: usize| format!("{}\n", lines(&writer.notebook)[at].text());
    let first = writer.notebook.heads().unwrap()[0];
    writer.notebook.say(hole, depth_of(30.0), &[]).unwrap();
    let last = writer.notebook.heads().unwrap()[0];
    let host = Bench::new();
    let shelf = NotebookShelf(&host.notebook);
    let stretch = Stretch::to(&last, first.seq + 1);
    let refused = shelf.leave_lines(&stretch, text(3).as_bytes());
    assert!(matches!(refused, Err(ExchangeError::File(_))));
    assert_eq!(host.notebook.heads().unwrap(), []);
    visit(&writer.notebook, &host.notebook);
    shelf.leave_lines(&stretch, text(3).as_bytes()).unwrap();
}
