//! Syncs with a shop computer, also when the connection breaks or the server restarts.

use holebook_core::sync::{NotebookRemote, Remote as _, Segment, SyncError};
use holebook_sync::DeviceCounts;
use holebook_sync::server::Event;
use holebook_test_support::notebooks::files;
use holebook_test_support::raw_tls::{RawTls, request_with_body, token};
use holebook_test_support::{Proxy, TestNotebook, TestShopComputer, test_limits};
use proptest::test_runner::{Config, TestRunner};
use std::time::{Duration, Instant};

#[test]
fn sync_transfers_entries_and_photos_both_ways() {
    let computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    phone.add_castings("barn", 30);
    phone.add_photo(1, 700);
    computer.add_castings("shop", 20);
    computer.add_photo(2, 700);
    let report = phone.sync(&shop).unwrap();
    assert_eq!((report.photos_pulled, report.photos_pushed), (1, 1));
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    assert_eq!(phone.contents(), computer.contents());
    assert_eq!(
        files(phone.dir.path()).len(),
        files(computer.dir.path()).len()
    );

    let device = computer.store.devices().unwrap().remove(0);
    let counts = device.last_sync.unwrap().counts;
    let expected = DeviceCounts {
        entries_pushed: report.entries_pushed as u64,
        photos_pushed: 1,
        entries_pulled: report.entries_pulled as u64,
        photos_pulled: 1,
    };
    assert_eq!(counts, expected);
    assert_eq!((report.entries_pushed, report.entries_pulled), (33, 23));
    let device = device.id;
    let event = computer.events.lock().unwrap().pop();
    assert_eq!(event, Some(Event::Synced { device, counts }));
    assert!(phone.store.shops().unwrap()[0].last_sync_at.is_some());
}

#[test]
fn shop_computer_stores_the_counts_of_the_last_sync() {
    let computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    computer.add_castings("shop", 4);
    let passed = || {
        computer.store.devices().unwrap()[0]
            .last_sync
            .map(|last| last.counts)
    };
    assert_eq!(passed(), None);
    phone.sync(&shop).unwrap();
    let pulled = DeviceCounts {
        entries_pulled: 4,
        ..DeviceCounts::default()
    };
    assert_eq!(passed(), Some(pulled));
    phone.sync(&shop).unwrap();
    assert_eq!(passed(), Some(DeviceCounts::default()));
}

#[test]
fn acknowledged_lines_are_in_the_notebook() {
    let computer = TestShopComputer::start();
    let (phone, _) = computer.paired_device();
    let token = token(&phone);
    let push = |from: u64| {
        let head = phone.notebook.heads().unwrap()[0];
        let segment = Segment::ending_at(&head, from);
        let lines = NotebookRemote(&phone.notebook).pull_lines(&segment, from);
        let put = request_with_body("PUT", &format!("/{segment}"), Some(&token), &lines.unwrap());
        RawTls::connect(computer.address())
            .send(&put)
            .unwrap()
            .status
    };
    phone.add_castings("barn", 2);
    assert_eq!(push(2), 422, "the line before is not there");
    assert_eq!(computer.notebook.heads().unwrap(), []);
    assert_eq!(push(1), 204);
    for seq in 3..20 {
        phone.add_castings("barn", 1);
        assert_eq!(push(seq), 204);
        let there = computer.notebook.heads().unwrap();
        assert_eq!(there, phone.notebook.heads().unwrap());
    }
}

#[test]
fn device_stores_the_time_of_a_sync_without_changes() {
    let computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    let last = || phone.store.shops().unwrap()[0].last_sync_at.unwrap();
    phone.add_castings("barn", 1);
    phone.sync(&shop).unwrap();
    let first = last();
    std::thread::sleep(Duration::from_millis(20));
    phone.sync(&shop).unwrap();
    assert!(last() > first);
}

#[test]
fn entries_of_one_device_reach_another_by_the_shop_computer() {
    let computer = TestShopComputer::start();
    let ((one, shop), (other, _)) = (computer.paired_device(), computer.paired_device());
    one.add_castings("one", 5);
    one.add_photo(1, 300);
    one.sync(&shop).unwrap();
    other.sync(&shop).unwrap();
    assert_eq!(one.contents(), other.contents());
}

#[test]
fn two_devices_that_sync_at_once_end_equal() {
    let computer = TestShopComputer::start();
    let devices = [computer.paired_device(), computer.paired_device()];
    for (number, (device, _)) in devices.iter().enumerate() {
        device.add_castings(&format!("device {number}"), 300);
        for photo in 0..6 {
            device.add_photo(10 * number as u8 + photo, 400);
        }
    }
    std::thread::scope(|scope| {
        for (device, shop) in &devices {
            scope.spawn(|| device.sync(shop).unwrap());
        }
    });
    for (device, shop) in &devices {
        device.sync(shop).unwrap();
    }
    let [(one, _), (other, _)] = &devices;
    assert_eq!(one.contents(), computer.contents());
    assert_eq!(other.contents(), computer.contents());
}

#[test]
fn sync_without_changes_transfers_almost_nothing() {
    let computer = TestShopComputer::start();
    let proxy = Proxy::to(computer.address());
    let (phone, shop) = computer.paired_device_at(proxy.address);
    phone.add_castings("barn", 500);
    for photo in 0..20 {
        phone.add_photo(photo, 50);
    }
    phone.sync(&shop).unwrap();
    let before = proxy.bytes();
    let report = phone.sync(&shop).unwrap();
    let moved = proxy.bytes() - before;
    assert_eq!(report.entries_pushed + report.entries_pulled, 0);
    assert!(moved < 4096, "{moved} bytes, the handshake's among them");
}

#[test]
fn sync_over_a_cut_connection_is_finished_by_the_next() {
    let computer = TestShopComputer::start();
    let proxy = Proxy::to(computer.address());
    let (phone, shop) = computer.paired_device_at(proxy.address);
    let mut cut = 0;
    let mut seed = 0;
    let cases = 40;
    let mut runner = TestRunner::new(Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    });
    // Each case adds to both sides, so that there is always something to transfer.
    let state = std::cell::RefCell::new((&mut cut, &mut seed));
    runner
        .run(&(200_u64..600_000), |bytes| {
            let mut state = state.borrow_mut();
            phone.add_castings("barn", 20);
            computer.add_castings("shop", 20);
            for notebook in [&phone, &*computer] {
                *state.1 += 1;
                notebook.add_photo(*state.1, 400);
            }
            proxy.cut_after(bytes);
            match phone.sync(&shop) {
                Ok(_) => {}
                Err(SyncError::Unreachable { .. }) => *state.0 += 1,
                Err(other) => panic!("{other}"),
            }
            proxy.restore();
            let report = phone.sync(&shop).unwrap();
            assert!(report.problems.is_empty(), "{:?}", report.problems);
            assert_eq!(phone.contents(), computer.contents());
            Ok(())
        })
        .unwrap();
    assert!(cut > 10, "only {cut} were cut while syncing");
    for notebook in [&phone, &*computer] {
        let unfinished = files(notebook.dir.path());
        assert!(
            !unfinished.iter().any(|name| name.contains(".incoming")),
            "{unfinished:?}"
        );
        assert!(notebook.notebook.verify().unwrap().findings.is_empty());
    }
}

#[test]
fn sync_with_a_killed_server_is_finished_by_the_next() {
    let mut computer = TestShopComputer::start();
    let proxy = Proxy::to(computer.address());
    let (phone, shop) = computer.paired_device_at(proxy.address);
    for round in 0..4 {
        phone.add_castings("barn", 50);
        computer.add_castings("shop", 50);
        phone.add_photo(2 * round, 900);
        computer.add_photo(2 * round + 1, 900);
        std::thread::scope(|scope| {
            let sync = scope.spawn(|| phone.sync(&shop));
            let (start, since) = (proxy.bytes(), Instant::now());
            // During the sync, later in each round.
            while proxy.bytes() - start < 300_000 * u64::from(round)
                && since.elapsed().as_secs() < 10
            {
                std::thread::yield_now();
            }
            computer.kill();
            proxy.cut_after(0);
            let _ = sync.join().unwrap();
        });
        proxy.restore();
        computer.resume();
        phone.sync(&shop).unwrap();
        assert_eq!(phone.contents(), computer.contents());
    }
}

#[test]
fn open_remote_survives_a_server_restart() {
    let mut computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    let remote = holebook_sync::LanRemote::open(&phone.store, &shop, &[]).unwrap();
    use holebook_core::sync::Remote as _;
    assert!(remote.list(None).unwrap().is_some());
    computer.stop();
    computer.resume();
    assert!(remote.list(None).unwrap().is_some());
    computer.stop();
    let error = remote.list(None).unwrap_err();
    assert!(matches!(error, SyncError::Unreachable { .. }), "{error}");
}

#[test]
fn new_address_is_stored() {
    let mut computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    phone.add_castings("barn", 1);
    let old = computer.address();
    computer.stop();
    computer.port = 0;
    // Another computer has the old address now.
    let other = TestShopComputer::start_with(TestNotebook::new(), test_limits());
    computer.resume();
    assert!(phone.sync(&shop).is_err());
    phone
        .sync_at(&shop, &[other.address(), computer.address()])
        .unwrap();
    assert_eq!(
        phone.store.shops().unwrap()[0].addresses,
        [computer.address(), old]
    );
    phone.sync(&shop).unwrap();
    assert_eq!(phone.contents(), computer.contents());
}

#[test]
fn finder_is_used_if_no_known_address_responds() {
    let mut computer = TestShopComputer::start();
    let (phone, shop) = computer.paired_device();
    computer.stop();
    computer.port = 0;
    computer.resume();
    let address = computer.address();
    let remote = holebook_sync::LanRemote::open(&phone.store, &shop, &[]).unwrap();
    let remote = remote.with_finder(move |wanted| {
        assert_eq!(*wanted, shop);
        vec![address]
    });
    use holebook_core::sync::Remote as _;
    assert!(remote.list(None).unwrap().is_some());
    assert_eq!(phone.store.shops().unwrap()[0].addresses[0], address);
}
