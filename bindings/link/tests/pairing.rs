//! Pairing over real TLS: who is let in, and who is not.

#![allow(clippy::unwrap_used)]

mod common;

use chrono::{DateTime, TimeDelta, Utc};
use common::raw::{Raw, with_body};
use common::{Bench, Desk, quick};
use holebook_link::server::{Event, Limits};
use holebook_link::{Clock, LinkError, OfferState};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::{Duration, Instant};

#[test]
fn a_device_pairs_by_the_link_or_by_the_words() {
    let bench = Bench::start();
    bench.desk.store.set_own_name("Bench by the door").unwrap();
    let by_link = bench.offer();
    let by_words = bench.offer();
    let words = by_words.words().unwrap().to_string().to_uppercase();
    for (offer, code) in [(&by_link, by_link.link()), (&by_words, &words)] {
        let phone = Desk::new();
        let shop = phone.pair(code).unwrap();
        assert_eq!(shop.name, "Bench by the door");
        assert_eq!(shop.fingerprint, bench.desk.store.fingerprint().unwrap());
        assert_eq!(shop.addresses, [bench.address()]);
        assert_eq!(phone.store.shops().unwrap(), [shop]);
        let device = bench.desk.store.devices().unwrap().remove(0);
        assert_eq!(device.name, "Ada's phone");
        let state = bench.desk.store.offer_state(offer.id()).unwrap();
        assert_eq!(state, OfferState::Used { device: device.id });
        let paired = Event::Paired {
            device: device.id,
            name: device.name,
        };
        assert_eq!(bench.events.lock().unwrap().pop(), Some(paired));
    }
}

#[test]
fn a_code_that_was_used_pairs_nobody_else() {
    let bench = Bench::start();
    let offer = bench.offer();
    Desk::new().pair(offer.link()).unwrap();
    let words = offer.words().unwrap().to_string();
    for code in [offer.link(), &words] {
        let error = Desk::new().pair(code).unwrap_err();
        assert!(matches!(error, LinkError::CodeUsed), "{error}");
    }
    assert_eq!(bench.desk.store.devices().unwrap().len(), 1);
}

#[test]
fn a_code_that_is_too_old_says_so() {
    let minutes = Arc::new(AtomicI64::new(0));
    let turned = minutes.clone();
    let start = DateTime::<Utc>::from_timestamp_millis(1_800_000_000_000).unwrap();
    let clock = Clock::new(move || start + TimeDelta::minutes(turned.load(Ordering::SeqCst)));
    let bench = Bench::start_with(Desk::with_clock(clock), quick());
    let offer = bench.offer();
    minutes.store(10, Ordering::SeqCst);
    let error = Desk::new().pair(offer.link()).unwrap_err();
    assert!(matches!(error, LinkError::CodeEnded), "{error}");
    assert!(bench.desk.store.devices().unwrap().is_empty());
}

#[test]
fn a_computer_with_another_key_is_told_nothing() {
    let (bench, other) = (Bench::start(), Bench::start());
    // The code of one, with the other's address: as if somebody else had taken the address.
    let offer = bench.offer_at(other.address());
    let words = offer.words().unwrap().to_string();
    for code in [offer.link(), &words] {
        let error = Desk::new().pair(code).unwrap_err();
        assert!(matches!(error, LinkError::WrongKey), "{error}");
    }
    assert!(other.events.lock().unwrap().is_empty(), "no secret came");
    assert!(Desk::new().pair(bench.offer().link()).is_ok());
}

#[test]
fn nobody_there_is_said_in_a_sentence() {
    let mut bench = Bench::start();
    let offer = bench.offer();
    bench.stop();
    let error = Desk::new().pair(offer.link()).unwrap_err();
    assert!(matches!(error, LinkError::Unreachable { .. }), "{error}");
    assert!(
        error.to_string().contains("nothing listens there"),
        "{error}"
    );
}

/// What somebody sends who guesses secrets.
fn guess(number: u64) -> Vec<u8> {
    let body = format!("{{\"secret\":\"{number:021}A\",\"name\":\"guess\"}}");
    with_body("POST", "/pair", None, body.as_bytes())
}

#[test]
fn ten_thousand_guesses_get_nowhere() {
    let limits = Limits {
        codes_per_minute: Limits::default().codes_per_minute,
        ..quick()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let offer = bench.offer();
    let mut raw = Raw::connect(bench.address());
    let statuses: Vec<u16> = (0..10_000)
        .map(|number| raw.ask(&guess(number)).unwrap().status)
        .collect();
    let looked_at = statuses.iter().filter(|status| **status == 403).count();
    let turned_away = statuses.iter().filter(|status| **status == 429).count();
    assert_eq!(looked_at + turned_away, 10_000);
    // Should it take longer than a minute, some more are looked at.
    assert!((5..1000).contains(&looked_at), "{looked_at}");
    let state = bench.desk.store.offer_state(offer.id()).unwrap();
    assert_eq!(state, OfferState::TriedTooOften);
    assert!(bench.desk.store.devices().unwrap().is_empty());
    let error = Desk::new().pair(offer.link()).unwrap_err();
    assert!(
        matches!(error, LinkError::TooManyTries | LinkError::CodeEnded),
        "{error}"
    );
}

#[test]
fn a_wrong_code_is_answered_later_and_later() {
    let limits = Limits {
        wrong_code: Duration::from_millis(100),
        ..Limits::default()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let mut raw = Raw::connect(bench.address());
    let since = Instant::now();
    for number in 0..4 {
        assert_eq!(raw.ask(&guess(number)).unwrap().status, 403);
    }
    assert!(
        since.elapsed() >= Duration::from_millis(1500),
        "100, 200, 400 and 800 ms"
    );
}
