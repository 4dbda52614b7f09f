//! Exchanging with a real shop computer over TLS, and finding it again.

use crate::bench::Bench;
use crate::common::{Desk, read_hole};
use crate::phone::{castings, exchange, note, paired, report, with};
use holebook_mobile::*;

#[test]
fn what_was_written_in_the_barn_and_in_the_shop_comes_together() {
    let bench = Bench::start();
    bench.desk.note("from the bench", 3);
    bench.desk.photograph(1, 40);
    let (phone, shop) = paired(&bench);
    read_hole(&phone.notebook);
    let did = report(exchange(&phone.notebook, with(&shop)).unwrap());
    assert_eq!((did.photos_left, did.photos_taken), (1, 1));
    // By the core's own calls, on the other side of the wire.
    let there = bench.desk.notebook.castings().unwrap().into_iter();
    let mut there: Vec<String> = there.map(|casting| casting.name).collect();
    there.sort();
    assert_eq!(castings(&phone.notebook), there);
    assert_eq!(phone.notebook.entries_to_bring_home().unwrap(), 0);
    assert_eq!(phone.notebook.photos_to_bring_home().unwrap(), 0);
    let shelf = phone.notebook.known_shelves().unwrap().remove(0);
    assert_eq!(shelf.last.unwrap().entries_left, did.entries_left);
    assert!(
        phone.notebook.shops().unwrap()[0]
            .last_exchange_at
            .is_some()
    );
    let again = report(exchange(&phone.notebook, with(&shop)).unwrap());
    assert_eq!((again.entries_taken, again.entries_left), (0, 0));
}

#[test]
fn two_answers_come_in_question_on_both_sides() {
    let bench = Bench::start();
    let ((barn, shop), (other, _)) = (paired(&bench), paired(&bench));
    let hole = read_hole(&barn.notebook).hole;
    exchange(&barn.notebook, with(&shop)).unwrap();
    exchange(&other.notebook, with(&shop)).unwrap();
    let want = |phone: &Desk, thread: &str| {
        let wanted = Wanted {
            thread: thread.to_owned(),
            bolt: None,
            through: None,
        };
        let before = phone.notebook.hole(hole.clone()).unwrap().record.wanted;
        let over = before.all.into_iter().map(|said| said.entry).collect();
        phone.notebook.want(hole.clone(), wanted, over).unwrap();
    };
    want(&barn, "7/16-14");
    want(&other, "1/2-13");
    exchange(&other.notebook, with(&shop)).unwrap();
    let did = report(exchange(&barn.notebook, with(&shop)).unwrap());
    assert_eq!(did.in_question, [hole]);
}

#[test]
fn with_every_shelf_one_that_is_not_reached_keeps_no_other_from_its_turn() {
    let (mut gone, bench) = (Bench::start(), Bench::start());
    let (phone, _) = paired(&gone);
    phone
        .notebook
        .pair(bench.offer().link().to_owned())
        .unwrap();
    gone.stop();
    note(&phone.notebook, "one");
    let outcomes = exchange(&phone.notebook, ExchangeWith::Every).unwrap();
    let done = |outcome: &&ShelfOutcome| matches!(outcome, ShelfOutcome::Done { report, .. } if report.entries_left == 1);
    assert_eq!(outcomes.iter().filter(done).count(), 1, "{outcomes:?}");
    let missed = |outcome: &&ShelfOutcome| matches!(outcome, ShelfOutcome::Failed { trouble: Some(ShelfTrouble::Unreachable), reason, .. } if !reason.is_empty());
    assert_eq!(outcomes.iter().filter(missed).count(), 1, "{outcomes:?}");
}

#[test]
fn a_shop_computer_whose_address_changed_is_found_where_the_phone_saw_it() {
    let mut bench = Bench::start();
    let stranger = Bench::start();
    let (phone, shop) = paired(&bench);
    let book = &phone.notebook;
    bench.stop();
    bench.port = 0;
    bench.resume();
    let missed = exchange(book, with(&shop)).unwrap_err();
    assert!(
        matches!(
            missed,
            NotebookError::Shelf {
                trouble: ShelfTrouble::Unreachable,
                ..
            }
        ),
        "{missed:?}"
    );

    let see = |name: &str, addresses: &[String]| {
        let name = name.to_owned();
        let addresses = addresses.to_vec();
        book.see_shops_at(vec![SeenShop { name, addresses }])
            .unwrap();
    };
    // Whoever passes himself off as it is told nothing.
    see(&shop.announced_as, &[stranger.address().to_string()]);
    let other = exchange(book, with(&shop)).unwrap_err();
    assert!(matches!(other, NotebookError::Shelf { .. }), "{other:?}");
    assert!(stranger.events.lock().unwrap().is_empty());

    let now = bench.address().to_string();
    see("another", std::slice::from_ref(&now));
    assert!(
        exchange(book, with(&shop)).is_err(),
        "that is another's name"
    );
    let addresses = [
        "nonsense".to_owned(),
        stranger.address().to_string(),
        now.clone(),
    ];
    see(&shop.announced_as, &addresses);
    report(exchange(book, with(&shop)).unwrap());
    assert_eq!(
        book.shops().unwrap()[0].addresses[0],
        now,
        "it is remembered"
    );
}
