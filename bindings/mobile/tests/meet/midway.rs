//! While an exchange goes on: how far it is, nothing else beside it, ending it, and shutting down.

use crate::bench::Bench;
use crate::common::Desk;
use crate::gate::Gate;
use crate::pages::{ask, page};
use crate::phone::{castings, exchange, note, paired, report, with};
use holebook_mobile::*;
use std::sync::Arc;
use std::thread;

/// How many pixels the edge of a photo has: some 250 kB each.
const EDGE: u32 = 500;
/// Where the way stands still: some photos came through, and some did not.
const MIDWAY: u64 = 600_000;

/// A shop computer with photos, and a phone whose exchange with it stands still in the middle of them.
struct Midway {
    bench: Bench,
    gate: Gate,
    phone: Desk,
    shop: PairedShop,
    run: Arc<ExchangeRun>,
}

impl Midway {
    fn begin() -> Self {
        let bench = Bench::start();
        for photo in 0..6 {
            bench.desk.photograph(photo, EDGE);
        }
        let gate = Gate::before(bench.address());
        let phone = Desk::new();
        let code = bench.offer_at(gate.address).link().to_owned();
        let shop = phone.notebook.pair(code).unwrap();
        gate.close_after(MIDWAY);
        let run = phone.notebook.begin_exchange(with(&shop)).unwrap();
        gate.wait_until_closed();
        Self {
            bench,
            gate,
            phone,
            shop,
            run,
        }
    }

    /// An exchange later brings all of it.
    fn completes(&self, book: &Notebook) {
        exchange(book, with(&self.shop)).unwrap();
        assert!(book.verify().unwrap().findings.is_empty());
        let here = castings(book);
        assert_eq!(here.len(), 6);
        assert_eq!(self.bench.desk.notebook.castings().unwrap().len(), 6);
    }
}

fn stopped(error: &NotebookError) -> bool {
    matches!(error, NotebookError::Stopped { .. })
}

#[test]
fn how_far_it_is_can_be_asked_and_the_page_shows_the_same_run() {
    let midway = Midway::begin();
    let book = &midway.phone.notebook;
    let progress = midway.run.progress();
    assert_eq!(progress.stage, ExchangeStage::Taking, "{progress:?}");
    assert_eq!((progress.turn, progress.turns), (1, 1));
    assert_eq!(progress.shelf, "the shop computer Shop computer");
    assert!(
        progress.photo_bytes < progress.photo_bytes_of,
        "{progress:?}"
    );
    assert!(progress.photo_bytes_of > MIDWAY, "{progress:?}");
    assert!(!midway.run.is_over());
    let shown = page(book, "/exchange");
    assert!(shown.contains("Under way") && shown.contains("The shop computer Shop computer"));
    // One can go on writing meanwhile.
    note(book, "meanwhile");
    midway.gate.open();
    assert_eq!(report(midway.run.result().unwrap()).photos_taken, 6);
    assert_eq!(midway.run.progress().stage, ExchangeStage::Over);
    assert!(page(book, "/exchange").contains("Took "));
}

#[test]
fn a_second_one_is_refused_by_call_and_by_page() {
    let midway = Midway::begin();
    let book = &midway.phone.notebook;
    for with in [with(&midway.shop), ExchangeWith::Every] {
        let refused = book.begin_exchange(with).err().unwrap();
        assert!(
            matches!(refused, NotebookError::UnderWay { .. }),
            "{refused:?}"
        );
    }
    let refused = ask(book, Method::Post, "/exchange/begin", &[]);
    assert_eq!(refused.status, 422);
    midway.gate.open();
    midway.run.result().unwrap();
    // And what a page began stands in the way of a call.
    midway.gate.close_after(1);
    assert_eq!(ask(book, Method::Post, "/exchange/begin", &[]).status, 303);
    let refused = book.begin_exchange(with(&midway.shop)).err().unwrap();
    assert!(
        matches!(refused, NotebookError::UnderWay { .. }),
        "{refused:?}"
    );
    midway.gate.open();
}

#[test]
fn it_is_ended_by_call_or_by_page_and_the_next_goes_on_from_there() {
    for by_page in [false, true] {
        let midway = Midway::begin();
        let book = &midway.phone.notebook;
        if by_page {
            assert_eq!(ask(book, Method::Post, "/exchange/end", &[]).status, 303);
        } else {
            midway.run.cancel();
        }
        midway.gate.open();
        let error = midway.run.result().unwrap_err();
        assert!(stopped(&error), "{error:?}");
        midway.run.cancel();
        midway.completes(book);
    }
}

#[test]
fn shutting_down_ends_it_and_all_is_whole_when_it_is_opened_again() {
    let midway = Midway::begin();
    let book = midway.phone.notebook.clone();
    let closing = thread::spawn({
        let book = book.clone();
        move || book.shutdown()
    });
    // The run can be asked all the while.
    assert!(!midway.run.is_over());
    midway.gate.open();
    closing.join().unwrap();
    let error = midway.run.result().unwrap_err();
    assert!(stopped(&error), "{error:?}");
    assert!(midway.run.is_over());
    let closed: [Result<(), NotebookError>; 7] = [
        book.begin_exchange(ExchangeWith::Every).map(drop),
        book.known_shelves().map(drop),
        book.shops().map(drop),
        book.pair("a b c".to_owned()).map(drop),
        book.see_shops_at(Vec::new()),
        book.keep_bundles_in("bundles".to_owned()),
        book.write_bundle("b.zip".to_owned(), BundleOf::All)
            .map(drop),
    ];
    for call in closed {
        assert!(
            matches!(call, Err(NotebookError::Closed { .. })),
            "{call:?}"
        );
    }
    let at = midway.phone.dir.path().join("notebook");
    let again = Notebook::open(at.to_string_lossy().into_owned()).unwrap();
    midway.completes(&again);
}

#[test]
fn a_notebook_that_nobody_shut_down_lets_go_of_its_folder_all_the_same() {
    let bench = Bench::start();
    let (phone, shop) = paired(&bench);
    let run = phone.notebook.begin_exchange(with(&shop)).unwrap();
    let Desk {
        notebook,
        dir: _dir,
    } = phone;
    drop(notebook);
    // Well or ended early, it comes to its end.
    let _ = run.result();
    assert!(run.is_over());
}
