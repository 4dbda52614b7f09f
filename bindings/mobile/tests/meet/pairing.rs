//! Pairing with a real shop computer: who is let in, and who is not.

use crate::bench::raw::pretend;
use crate::bench::{Bench, Desk as ShopDesk, quick};
use crate::common::Desk;
use crate::phone::{exchange, pair, paired, trouble, with};
use chrono::{DateTime, TimeDelta, Utc};
use holebook_link::{Clock, WORDS};
use holebook_mobile::*;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

fn refused(phone: &Desk, code: &str) -> (PairingTrouble, String) {
    trouble(phone.notebook.pair(code.to_owned()).unwrap_err())
}

#[test]
fn a_phone_pairs_by_the_link_or_by_the_words_under_its_own_name() {
    let bench = Bench::start();
    bench.desk.store.set_own_name("Bench by the door").unwrap();
    let words = bench.offer().words().unwrap().to_string().to_uppercase();
    for code in [bench.offer().link(), &words] {
        let phone = Desk::new();
        let settings = phone.notebook.settings().unwrap();
        let device_name = "Ada's phone".to_owned();
        let settings = Settings {
            device_name,
            ..settings
        };
        phone.notebook.set_settings(settings).unwrap();
        let shop = pair(&phone, code);
        assert_eq!(shop.name, "Bench by the door");
        let fingerprint = bench.desk.store.fingerprint().unwrap();
        assert_eq!(shop.id, format!("shop:{fingerprint}"));
        assert_eq!(shop.announced_as, fingerprint.short());
        assert_eq!(shop.addresses, [bench.address().to_string()]);
        assert_eq!(shop.last_exchange_at, None);
        assert_eq!(phone.notebook.shops().unwrap(), std::slice::from_ref(&shop));
        let shelf = phone.notebook.known_shelves().unwrap().remove(0);
        assert!(shelf.paired && shelf.last.is_none());
        assert_eq!(
            (shelf.id, shelf.name.as_str()),
            (shop.id, "the shop computer Bench by the door")
        );
        assert_eq!(
            bench.desk.store.devices().unwrap().remove(0).name,
            "Ada's phone"
        );
    }
}

#[test]
fn what_is_no_code_says_where_it_is_wrong() {
    let (bench, phone) = (Bench::start(), Desk::new());
    let words = bench.offer().words().unwrap().to_string();
    let short = words.rsplit_once(' ').unwrap().0.to_owned();
    for (code, says) in [
        ("", "no code was given".to_owned()),
        (
            "https://example.org/pair?v=1",
            "not a link for pairing".to_owned(),
        ),
        (&short, format!("a code has {WORDS} words")),
        (
            &words.replacen(' ', " xyzzy ", 1),
            "word 2, \"xyzzy\"".to_owned(),
        ),
    ] {
        let (trouble, reason) = refused(&phone, code);
        assert_eq!(trouble, PairingTrouble::CodeUnreadable, "{code}");
        assert!(reason.contains(&says), "{reason}");
    }
    assert_eq!(phone.notebook.shops().unwrap(), []);
}

#[test]
fn codes_that_are_unknown_used_or_over_say_which() {
    let minutes = Arc::new(AtomicI64::new(0));
    let turned = minutes.clone();
    let start = DateTime::<Utc>::from_timestamp_millis(1_800_000_000_000).unwrap();
    let clock = Clock::new(move || start + TimeDelta::minutes(turned.load(Ordering::SeqCst)));
    let bench = Bench::start_with(ShopDesk::with_clock(clock), quick());
    let phone = Desk::new();
    let (used, old) = (bench.offer(), bench.offer());
    // The same link with a secret that nobody gave out: 16 bytes of base64url.
    let (place, _) = old.link().split_once("&s=").unwrap();
    let unknown = format!("{place}&s={}", "A".repeat(22));
    assert_eq!(refused(&phone, &unknown).0, PairingTrouble::CodeUnknown);
    pair(&Desk::new(), used.link());
    assert_eq!(refused(&phone, used.link()).0, PairingTrouble::CodeUsed);
    minutes.store(10, Ordering::SeqCst);
    assert_eq!(refused(&phone, old.link()).0, PairingTrouble::CodeOver);
    assert!(
        !phone
            .notebook
            .known_shelves()
            .unwrap()
            .iter()
            .any(|shelf| shelf.paired)
    );
}

#[test]
fn too_many_wrong_codes_are_told_to_wait() {
    let limits = holebook_link::server::Limits {
        codes_per_minute: 2,
        ..quick()
    };
    let bench = Bench::start_with(ShopDesk::new(), limits);
    let phone = Desk::new();
    let offer = bench.offer();
    let (place, _) = offer.link().split_once("&s=").unwrap();
    let wrong = format!("{place}&s={}", "A".repeat(22));
    let told = (0..5).map(|_| refused(&phone, &wrong).0);
    let told: Vec<_> = told.collect();
    assert_eq!(told[0], PairingTrouble::CodeUnknown);
    assert_eq!(told[4], PairingTrouble::TooManyTries, "{told:?}");
}

#[test]
fn pairings_that_cannot_be_read_say_so_and_the_notebook_goes_on() {
    let phone = Desk::new();
    let at = phone.dir.path().join("notebook/link.sqlite");
    std::fs::write(
        at,
        "this is no database, and longer than the head of one: ".repeat(20),
    )
    .unwrap();
    let (trouble, reason) = trouble(phone.notebook.shops().unwrap_err());
    assert_eq!(trouble, PairingTrouble::NotKept);
    assert!(reason.contains("link.sqlite"), "{reason}");
    assert_eq!(phone.notebook.castings().unwrap(), []);
}

#[test]
fn a_device_whose_name_is_too_long_is_told_so_before_anything_is_asked() {
    let (bench, phone) = (Bench::start(), Desk::new());
    let settings = Settings {
        device_name: "a phone ".repeat(10),
        ..phone.notebook.settings().unwrap()
    };
    phone.notebook.set_settings(settings).unwrap();
    let offer = bench.offer();
    let (trouble, reason) = refused(&phone, offer.link());
    assert_eq!(trouble, PairingTrouble::Name);
    assert!(reason.contains("from 1 to 60 letters"), "{reason}");
    pair(&Desk::new(), offer.link());
}

#[test]
fn a_shop_computer_with_a_fault_of_its_own_or_of_another_time_is_told_apart() {
    let mut bench = Bench::start();
    bench.stop();
    for (status, says) in [
        ("500 Fault", "look at what Holebook says there"),
        ("418 Later", "update both"),
    ] {
        let answer = format!("HTTP/1.1 {status}\r\nContent-Length: 0\r\n\r\n");
        let address = pretend(&bench.desk, move |_, out| out.write_all(answer.as_bytes()));
        let (trouble, reason) = refused(&Desk::new(), bench.offer_at(address).link());
        assert_eq!(trouble, PairingTrouble::Failed, "{reason}");
        assert!(reason.contains(says), "{reason}");
    }
}

#[test]
fn another_computer_at_its_address_is_told_nothing() {
    let (bench, other) = (Bench::start(), Bench::start());
    let offer = bench.offer_at(other.address());
    let words = offer.words().unwrap().to_string();
    for code in [offer.link(), &words] {
        assert_eq!(refused(&Desk::new(), code).0, PairingTrouble::WrongKey);
    }
    assert!(other.events.lock().unwrap().is_empty(), "no secret came");
}

#[test]
fn a_shop_computer_that_is_not_there_says_so() {
    let mut bench = Bench::start();
    let offer = bench.offer();
    bench.stop();
    let (trouble, reason) = refused(&Desk::new(), offer.link());
    assert_eq!(trouble, PairingTrouble::NotReached);
    assert!(reason.contains("same network"), "{reason}");
}

#[test]
fn a_revoked_phone_is_let_in_no_more_until_it_is_paired_again() {
    let bench = Bench::start();
    let (phone, shop) = paired(&bench);
    exchange(&phone.notebook, with(&shop)).unwrap();
    let device = bench.desk.store.devices().unwrap().remove(0).id;
    bench.desk.store.revoke(device).unwrap();
    let refused = exchange(&phone.notebook, with(&shop)).unwrap_err();
    let NotebookError::Shelf {
        trouble, reason, ..
    } = refused
    else {
        panic!("{refused:?}")
    };
    assert_eq!(trouble, ShelfTrouble::NotLetIn);
    assert!(reason.contains("revoked"), "{reason}");
    assert_eq!(pair(&phone, bench.offer().link()).id, shop.id);
    exchange(&phone.notebook, with(&shop)).unwrap();
}

#[test]
fn a_forgotten_shop_computer_is_exchanged_with_no_more() {
    let bench = Bench::start();
    let (phone, shop) = paired(&bench);
    let book = &phone.notebook;
    exchange(book, with(&shop)).unwrap();
    book.forget_shop(shop.id.clone()).unwrap();
    assert_eq!(book.shops().unwrap(), []);
    assert_eq!(book.known_shelves().unwrap(), []);
    let not_paired = |error| assert_eq!(trouble(error).0, PairingTrouble::NotPaired);
    not_paired(book.begin_exchange(with(&shop)).err().unwrap());
    not_paired(book.forget_shop(shop.id).unwrap_err());
    // The list of shelves lets go of it as well.
    let shop = pair(&phone, bench.offer().link());
    book.forget_shelf(shop.id.clone()).unwrap();
    not_paired(book.begin_exchange(with(&shop)).err().unwrap());
}
