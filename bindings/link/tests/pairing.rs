//! Pairing over real TLS: who is let in, and who is not.

#![allow(clippy::unwrap_used)]

mod common;

use chrono::{DateTime, TimeDelta, Utc};
use common::{Bench, Desk, quick};
use holebook_link::server::{Event, Limits};
use holebook_link::{Clock, LinkError, OfferState};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

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

/// A link with another secret, as somebody would guess it.
fn guess(link: &str, number: u64) -> String {
    let (start, secret) = link.rsplit_once("&s=").unwrap();
    let guess = format!("{number:022}");
    assert_ne!(guess, secret);
    // The last letter stands for two bits only.
    format!("{start}&s={}A", &guess[1..])
}

#[test]
fn ten_thousand_guesses_get_nowhere() {
    let limits = Limits {
        codes_per_minute: Limits::default().codes_per_minute,
        ..quick()
    };
    let bench = Bench::start_with(Desk::new(), limits);
    let offer = bench.offer();
    let phone = Desk::new();
    let (mut unknown, mut turned_away) = (0, 0);
    for number in 0..10_000 {
        match phone.pair(&guess(offer.link(), number)) {
            Err(LinkError::CodeUnknown) => unknown += 1,
            Err(LinkError::TooManyTries) => turned_away += 1,
            other => panic!("{other:?}"),
        }
    }
    assert!(unknown >= 5 && unknown + turned_away == 10_000);
    // The test may take longer than a minute; each minute lets some more be looked at.
    assert!(turned_away > 9_000, "{turned_away}");
    let state = bench.desk.store.offer_state(offer.id()).unwrap();
    assert_eq!(state, OfferState::TriedTooOften);
    assert!(bench.desk.store.devices().unwrap().is_empty());
}
