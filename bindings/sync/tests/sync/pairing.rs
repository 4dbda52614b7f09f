//! Pairing: which codes work, and how guessing is limited.

use holebook_sync::server::{Event, Limits};
use holebook_sync::{OfferState, PairingError};
use holebook_test_support::raw_tls::{RawTls, request_with_body};
use holebook_test_support::{TestClock, TestNotebook, TestShopComputer, test_limits};
use std::time::{Duration, Instant};

#[test]
fn device_pairs_by_link_or_words() {
    let computer = TestShopComputer::start();
    computer.store.set_server_name("Bench by the door").unwrap();
    let by_link = computer.offer();
    let by_words = computer.offer();
    let words = by_words.words().unwrap().to_string().to_uppercase();
    for (offer, code) in [(&by_link, by_link.link()), (&by_words, &words)] {
        let phone = TestNotebook::new();
        let shop = phone.pair(code).unwrap();
        assert_eq!(shop.name, "Bench by the door");
        assert_eq!(shop.fingerprint, computer.store.fingerprint().unwrap());
        assert_eq!(shop.addresses, [computer.address()]);
        assert_eq!(phone.store.shops().unwrap(), [shop]);
        let device = computer.store.devices().unwrap().remove(0);
        assert_eq!(device.name, "Ada's phone");
        let state = computer.store.offer_state(offer.id()).unwrap();
        assert_eq!(state, OfferState::Used { device: device.id });
        let paired = Event::Paired {
            device: device.id,
            name: device.name,
        };
        assert_eq!(computer.events.lock().unwrap().pop(), Some(paired));
    }
}

#[test]
fn used_code_pairs_no_other_device() {
    let computer = TestShopComputer::start();
    let offer = computer.offer();
    TestNotebook::new().pair(offer.link()).unwrap();
    let words = offer.words().unwrap().to_string();
    for code in [offer.link(), &words] {
        let error = TestNotebook::new().pair(code).unwrap_err();
        assert!(matches!(error, PairingError::CodeUsed), "{error}");
    }
    assert_eq!(computer.store.devices().unwrap().len(), 1);
}

#[test]
fn expired_code_is_rejected() {
    let clock = TestClock::default();
    let notebook = TestNotebook::with_clock(clock.clock());
    let computer = TestShopComputer::start_with(notebook, test_limits());
    let offer = computer.offer();
    clock.advance_minutes(10);
    let error = TestNotebook::new().pair(offer.link()).unwrap_err();
    assert!(matches!(error, PairingError::CodeExpired), "{error}");
    assert!(computer.store.devices().unwrap().is_empty());
}

#[test]
fn computer_with_another_key_gets_no_secret() {
    let (computer, other) = (TestShopComputer::start(), TestShopComputer::start());
    // The code of one with the address of the other, as if the other had taken that address.
    let offer = computer.offer_at(other.address());
    let words = offer.words().unwrap().to_string();
    for code in [offer.link(), &words] {
        let error = TestNotebook::new().pair(code).unwrap_err();
        assert!(matches!(error, PairingError::WrongKey), "{error}");
    }
    assert!(
        other.events.lock().unwrap().is_empty(),
        "no secret was sent"
    );
    assert!(TestNotebook::new().pair(computer.offer().link()).is_ok());
}

#[test]
fn unreachable_computer_is_an_error_with_a_reason() {
    let mut computer = TestShopComputer::start();
    let offer = computer.offer();
    computer.stop();
    let error = TestNotebook::new().pair(offer.link()).unwrap_err();
    assert!(matches!(error, PairingError::Unreachable { .. }), "{error}");
    assert!(
        error.to_string().contains("nothing is listening there"),
        "{error}"
    );
}

/// A request that guesses a secret.
fn guess(number: u64) -> Vec<u8> {
    let body = format!("{{\"secret\":\"{number:021}A\",\"name\":\"guess\"}}");
    request_with_body("POST", "/pair", None, body.as_bytes())
}

#[test]
fn ten_thousand_guesses_pair_nothing() {
    let limits = Limits {
        max_codes_per_minute: Limits::default().max_codes_per_minute,
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let offer = computer.offer();
    let mut raw = RawTls::connect(computer.address());
    let statuses: Vec<u16> = (0..10_000)
        .map(|number| raw.send(&guess(number)).unwrap().status)
        .collect();
    let checked = statuses.iter().filter(|status| **status == 403).count();
    let limited = statuses.iter().filter(|status| **status == 429).count();
    assert_eq!(checked + limited, 10_000);
    // If it takes longer than a minute, some more are checked.
    assert!((5..1000).contains(&checked), "{checked}");
    let state = computer.store.offer_state(offer.id()).unwrap();
    assert_eq!(state, OfferState::TooManyTries);
    assert!(computer.store.devices().unwrap().is_empty());
    let error = TestNotebook::new().pair(offer.link()).unwrap_err();
    assert!(
        matches!(
            error,
            PairingError::TooManyTries | PairingError::CodeExpired
        ),
        "{error}"
    );
}

#[test]
fn each_wrong_code_doubles_the_delay() {
    let limits = Limits {
        wrong_code_delay: Duration::from_millis(100),
        ..Limits::default()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let mut raw = RawTls::connect(computer.address());
    let since = Instant::now();
    for number in 0..4 {
        assert_eq!(raw.send(&guess(number)).unwrap().status, 403);
    }
    assert!(
        since.elapsed() >= Duration::from_millis(1500),
        "100, 200, 400 and 800 ms"
    );
}
