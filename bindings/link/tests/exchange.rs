//! Exchanges over real TLS, also where the connection breaks and the server goes away.

#![allow(clippy::unwrap_used)]

mod common;

use common::proxy::Proxy;
use common::{Bench, Desk, files, raw};
use holebook_core::exchange::{ExchangeError, NotebookShelf, Shelf as _, Stretch};
use holebook_link::Passed;
use holebook_link::server::Event;
use proptest::test_runner::{Config, TestRunner};
use std::time::{Duration, Instant};

#[test]
fn what_either_has_comes_to_the_other() {
    let bench = Bench::start();
    let (phone, shop) = bench.paired();
    phone.note("barn", 30);
    phone.photograph(1, 700);
    bench.desk.note("bench", 20);
    bench.desk.photograph(2, 700);
    let report = phone.exchange(&shop).unwrap();
    assert_eq!((report.photos_taken, report.photos_left), (1, 1));
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    assert_eq!(phone.ends(), bench.desk.ends());
    assert_eq!(
        files(phone.dir.path()).len(),
        files(bench.desk.dir.path()).len()
    );

    let device = bench.desk.store.devices().unwrap().remove(0);
    let passed = device.last_exchange.unwrap().passed;
    let expected = Passed {
        entries_brought: report.entries_left as u64,
        photos_brought: 1,
        entries_taken: report.entries_taken as u64,
        photos_taken: 1,
    };
    assert_eq!(passed, expected);
    assert_eq!((report.entries_left, report.entries_taken), (33, 23));
    let device = device.id;
    let event = bench.events.lock().unwrap().pop();
    assert_eq!(event, Some(Event::Exchanged { device, passed }));
    assert!(phone.store.shops().unwrap()[0].last_exchange_at.is_some());
}

#[test]
fn the_shop_computer_remembers_an_exchange_that_only_took_and_one_that_found_nothing_new() {
    let bench = Bench::start();
    let (phone, shop) = bench.paired();
    bench.desk.note("bench", 4);
    let passed = || {
        bench.desk.store.devices().unwrap()[0]
            .last_exchange
            .map(|last| last.passed)
    };
    assert_eq!(passed(), None);
    phone.exchange(&shop).unwrap();
    let took = Passed {
        entries_taken: 4,
        ..Passed::default()
    };
    assert_eq!(passed(), Some(took));
    phone.exchange(&shop).unwrap();
    assert_eq!(passed(), Some(Passed::default()));
}

#[test]
fn lines_are_in_the_notebook_when_the_shop_computer_says_so() {
    let bench = Bench::start();
    let (phone, _) = bench.paired();
    let token = raw::token(&phone);
    let leave = |from: u64| {
        let head = phone.notebook.heads().unwrap()[0];
        let stretch = Stretch::to(&head, from);
        let lines = NotebookShelf(&phone.notebook).lines(&stretch, from);
        let put = raw::with_body("PUT", &format!("/{stretch}"), Some(&token), &lines.unwrap());
        raw::Raw::connect(bench.address()).ask(&put).unwrap().status
    };
    phone.note("barn", 2);
    assert_eq!(leave(2), 422, "the line before is not there");
    assert_eq!(bench.desk.notebook.heads().unwrap(), []);
    assert_eq!(leave(1), 204);
    for seq in 3..20 {
        phone.note("barn", 1);
        assert_eq!(leave(seq), 204);
        let there = bench.desk.notebook.heads().unwrap();
        assert_eq!(there, phone.notebook.heads().unwrap());
    }
}

#[test]
fn a_device_remembers_an_exchange_that_found_nothing_new() {
    let bench = Bench::start();
    let (phone, shop) = bench.paired();
    let last = || phone.store.shops().unwrap()[0].last_exchange_at.unwrap();
    phone.note("barn", 1);
    phone.exchange(&shop).unwrap();
    let first = last();
    std::thread::sleep(Duration::from_millis(20));
    phone.exchange(&shop).unwrap();
    assert!(last() > first);
}

#[test]
fn what_the_shop_got_from_one_device_reaches_the_other() {
    let bench = Bench::start();
    let ((one, shop), (other, _)) = (bench.paired(), bench.paired());
    one.note("one", 5);
    one.photograph(1, 300);
    one.exchange(&shop).unwrap();
    other.exchange(&shop).unwrap();
    assert_eq!(one.ends(), other.ends());
}

#[test]
fn two_devices_at_once_end_equal() {
    let bench = Bench::start();
    let devices = [bench.paired(), bench.paired()];
    for (number, (device, _)) in devices.iter().enumerate() {
        device.note(&format!("device {number}"), 300);
        for photo in 0..6 {
            device.photograph(10 * number as u8 + photo, 400);
        }
    }
    std::thread::scope(|scope| {
        for (device, shop) in &devices {
            scope.spawn(|| device.exchange(shop).unwrap());
        }
    });
    for (device, shop) in &devices {
        device.exchange(shop).unwrap();
    }
    let [(one, _), (other, _)] = &devices;
    assert_eq!(one.ends(), bench.desk.ends());
    assert_eq!(other.ends(), bench.desk.ends());
}

#[test]
fn nothing_new_moves_next_to_nothing() {
    let bench = Bench::start();
    let proxy = Proxy::before(bench.address());
    let (phone, shop) = bench.paired_at(proxy.address);
    phone.note("barn", 500);
    for photo in 0..20 {
        phone.photograph(photo, 50);
    }
    phone.exchange(&shop).unwrap();
    let before = proxy.passed();
    let report = phone.exchange(&shop).unwrap();
    let moved = proxy.passed() - before;
    assert_eq!(report.entries_left + report.entries_taken, 0);
    assert!(moved < 4096, "{moved} bytes, the handshake's among them");
}

#[test]
fn a_connection_that_is_cut_anywhere_is_made_up_for_by_the_next_exchange() {
    let bench = Bench::start();
    let proxy = Proxy::before(bench.address());
    let (phone, shop) = bench.paired_at(proxy.address);
    let mut cut = 0;
    let mut seed = 0;
    let cases = 40;
    let mut runner = TestRunner::new(Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    });
    // Each case leaves both sides a little more than the last, so that there is always something to be cut.
    let state = std::cell::RefCell::new((&mut cut, &mut seed));
    runner
        .run(&(200_u64..600_000), |bytes| {
            let mut state = state.borrow_mut();
            phone.note("barn", 20);
            bench.desk.note("bench", 20);
            for desk in [&phone, &bench.desk] {
                *state.1 += 1;
                desk.photograph(*state.1, 400);
            }
            proxy.cut_after(bytes);
            match phone.exchange(&shop) {
                Ok(_) => {}
                Err(ExchangeError::Unreachable { .. }) => *state.0 += 1,
                Err(other) => panic!("{other}"),
            }
            proxy.mend();
            let report = phone.exchange(&shop).unwrap();
            assert!(report.problems.is_empty(), "{:?}", report.problems);
            assert_eq!(phone.ends(), bench.desk.ends());
            Ok(())
        })
        .unwrap();
    assert!(cut > 10, "only {cut} were cut in the midst");
    for desk in [&phone, &bench.desk] {
        let unfinished = files(desk.dir.path());
        assert!(
            !unfinished.iter().any(|name| name.contains(".incoming")),
            "{unfinished:?}"
        );
        assert!(desk.notebook.verify().unwrap().findings.is_empty());
    }
}

#[test]
fn a_server_that_was_killed_is_gone_on_with() {
    let mut bench = Bench::start();
    let proxy = Proxy::before(bench.address());
    let (phone, shop) = bench.paired_at(proxy.address);
    for round in 0..4 {
        phone.note("barn", 50);
        bench.desk.note("bench", 50);
        phone.photograph(2 * round, 900);
        bench.desk.photograph(2 * round + 1, 900);
        std::thread::scope(|scope| {
            let exchange = scope.spawn(|| phone.exchange(&shop));
            let (start, since) = (proxy.passed(), Instant::now());
            // In the midst, as far along as the round says.
            while proxy.passed() - start < 300_000 * u64::from(round)
                && since.elapsed().as_secs() < 10
            {
                std::thread::yield_now();
            }
            bench.kill();
            proxy.cut_after(0);
            let _ = exchange.join().unwrap();
        });
        proxy.mend();
        bench.resume();
        phone.exchange(&shop).unwrap();
        assert_eq!(phone.ends(), bench.desk.ends());
    }
}

#[test]
fn a_server_that_was_restarted_is_no_trouble_to_a_shelf_in_use() {
    let mut bench = Bench::start();
    let (phone, shop) = bench.paired();
    let shelf = holebook_link::LanShelf::open(&phone.store, &shop, &[]).unwrap();
    use holebook_core::exchange::Shelf as _;
    assert!(shelf.survey(None).unwrap().is_some());
    bench.stop();
    bench.resume();
    assert!(shelf.survey(None).unwrap().is_some());
    bench.stop();
    let error = shelf.survey(None).unwrap_err();
    assert!(
        matches!(error, ExchangeError::Unreachable { .. }),
        "{error}"
    );
}

#[test]
fn a_new_address_is_remembered() {
    let mut bench = Bench::start();
    let (phone, shop) = bench.paired();
    phone.note("barn", 1);
    let old = bench.address();
    bench.stop();
    bench.port = 0;
    // Somebody else has the old address now.
    let stranger = Bench::start_with(Desk::new(), common::quick());
    bench.resume();
    assert!(phone.exchange(&shop).is_err());
    phone
        .exchange_at(&shop, &[stranger.address(), bench.address()])
        .unwrap();
    assert_eq!(
        phone.store.shops().unwrap()[0].addresses,
        [bench.address(), old]
    );
    phone.exchange(&shop).unwrap();
    assert_eq!(phone.ends(), bench.desk.ends());
}

#[test]
fn a_finder_is_asked_where_no_known_address_answers() {
    let mut bench = Bench::start();
    let (phone, shop) = bench.paired();
    bench.stop();
    bench.port = 0;
    bench.resume();
    let address = bench.address();
    let shelf = holebook_link::LanShelf::open(&phone.store, &shop, &[]).unwrap();
    let shelf = shelf.with_finder(move |wanted| {
        assert_eq!(*wanted, shop);
        vec![address]
    });
    use holebook_core::exchange::Shelf as _;
    assert!(shelf.survey(None).unwrap().is_some());
    assert_eq!(phone.store.shops().unwrap()[0].addresses[0], address);
}
