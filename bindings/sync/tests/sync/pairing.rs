//! Pairing: which codes work, and how guessing is limited.

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use holebook_sync::server::{Event, Limits};
use holebook_sync::{OfferState, PairingError};
use holebook_test_support::raw_tls::{RawTls, request_with_body, serve_requests_with_key_of};
use holebook_test_support::{TestClock, TestNotebook, TestShopComputer, test_limits};
use std::sync::Mutex;
use std::time::{Duration, Instant};

#[test]
fn device_pairs_by_link_or_digits() {
    let computer = TestShopComputer::start();
    computer.store.set_server_name("Bench by the door").unwrap();
    for by_link in [true, false] {
        let offer = computer.offer();
        let code = match by_link {
            true => offer.link().to_owned(),
            false => computer.typed(&offer).replace(' ', " - "),
        };
        let phone = TestNotebook::new();
        let shop = phone.pair(&code).unwrap();
        assert_eq!(shop.name, "Bench by the door");
        assert_eq!(shop.fingerprint, computer.store.fingerprint().unwrap());
        assert_eq!(shop.addresses, [computer.address()]);
        assert_eq!(phone.store.shops().unwrap(), std::slice::from_ref(&shop));
        let device = computer.store.devices().unwrap().remove(0);
        assert_eq!(device.name, "Ada's phone");
        let state = computer.store.offer_state(offer.id()).unwrap();
        assert_eq!(state, OfferState::Used { device: device.id });
        let paired = Event::Paired {
            device: device.id,
            name: device.name,
        };
        assert_eq!(computer.events.lock().unwrap().pop(), Some(paired));
        phone.sync(&shop.fingerprint).unwrap();
    }
}

#[test]
fn used_code_pairs_no_other_device() {
    let computer = TestShopComputer::start();
    let offer = computer.offer();
    let typed = computer.typed(&offer);
    TestNotebook::new().pair(offer.link()).unwrap();
    let error = TestNotebook::new().pair(offer.link()).unwrap_err();
    assert!(matches!(error, PairingError::CodeUsed), "{error}");
    let error = TestNotebook::new().pair(&typed).unwrap_err();
    assert!(matches!(error, PairingError::CodeExpired), "{error}");
    assert_eq!(computer.store.devices().unwrap().len(), 1);
}

#[test]
fn wrong_digits_pair_nothing_and_say_so() {
    let computer = TestShopComputer::start();
    let offer = computer.offer();
    let typed = computer.typed(&offer);
    let wrong = wrong_digits(&typed, 1);
    let error = TestNotebook::new().pair(&wrong).unwrap_err();
    assert!(matches!(error, PairingError::WrongDigits), "{error}");
    assert!(computer.store.devices().unwrap().is_empty());
    assert_eq!(
        computer.events.lock().unwrap().pop(),
        Some(Event::WrongCode)
    );
    TestNotebook::new().pair(&typed).unwrap();
}

#[test]
fn digits_find_the_right_one_of_several_shop_computers() {
    let (computer, other) = (TestShopComputer::start(), TestShopComputer::start());
    let typed = computer.typed(&computer.offer());
    let (_, digits) = typed.split_once(' ').unwrap();
    let _other_offer = other.offer();
    let code = digits.parse().unwrap();
    let addresses = [other.address(), other.address(), computer.address()];
    let phone = TestNotebook::new();
    let shop = holebook_sync::pair(&phone.store, &code, "phone", &addresses).unwrap();
    assert_eq!(shop.fingerprint, computer.store.fingerprint().unwrap());
    let wrong = other.events.lock().unwrap().clone();
    assert_eq!(wrong, [Event::WrongCode], "each computer gets one guess");
    let error = holebook_sync::pair(&phone.store, &code, "phone", &[]).unwrap_err();
    assert!(matches!(error, PairingError::NoShopFound), "{error}");
}

/// A computer in between that shows a key of its own learns nothing with which it could pair.
#[test]
fn digits_are_bound_to_the_key_of_the_shop_computer() {
    let (computer, between) = (TestShopComputer::start(), TestShopComputer::start());
    let offer = computer.offer();
    // It passes the device's requests on to the shop computer, over a connection of its own.
    let forwarded = Mutex::new(RawTls::connect(computer.address()));
    let address = serve_requests_with_key_of(&between, move |head, body, out| {
        let path = head.split(' ').nth(1).unwrap();
        let request = request_with_body("POST", path, None, body);
        let response = forwarded.lock().unwrap().send(&request)?;
        out.write_all(response.head.as_bytes())?;
        out.write_all(&response.body)
    });
    let typed = computer.typed(&offer);
    let (_, digits) = typed.split_once(' ').unwrap();
    let error = TestNotebook::new()
        .pair(&format!("{address} {digits}"))
        .unwrap_err();
    assert!(matches!(error, PairingError::WrongDigits), "{error}");
    assert!(computer.store.devices().unwrap().is_empty());
}

/// A computer that does not know the digits but pretends that they are right.
#[test]
fn device_does_not_accept_a_computer_that_does_not_know_the_digits() {
    let (computer, other) = (TestShopComputer::start(), TestShopComputer::start());
    let message = request_exchange(&computer);
    let address = serve_requests_with_key_of(&other, move |head, _, out| {
        let body = match head.contains("/pair/exchange") {
            true => message.clone(),
            false => format!(
                "{{\"proof\":\"{0}\",\"token\":\"{0}\",\"name\":\"Bench\"}}",
                "A".repeat(43)
            ),
        };
        write!(
            out,
            "HTTP/1.1 200 OK\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        )
    });
    let phone = TestNotebook::new();
    let error = phone.pair(&format!("{address} 123 456 789")).unwrap_err();
    assert!(matches!(error, PairingError::WrongKey), "{error}");
    assert_eq!(phone.store.shops().unwrap(), []);
}

/// What a shop computer answers to a message of the exchange.
fn request_exchange(computer: &TestShopComputer) -> String {
    let _offer = computer.offer();
    let mut raw = RawTls::connect(computer.address());
    let response = raw.send(&exchange_request()).unwrap();
    assert_eq!(response.status, 200);
    String::from_utf8(response.body).unwrap()
}

/// A request that begins pairing by digits, with a message of the exchange: a point of the curve,
/// here its base point (RFC 8032, section 5.1), after the letter of the device's side.
fn exchange_request() -> Vec<u8> {
    let message = [&b"A\x58"[..], &[0x66; 31]].concat();
    let body = format!("{{\"message\":\"{}\"}}", URL_SAFE_NO_PAD.encode(message));
    request_with_body("POST", "/pair/exchange", None, body.as_bytes())
}

/// A request that ends it, with a proof that is a guess.
fn proof_request(number: u64) -> Vec<u8> {
    let body = format!("{{\"proof\":\"{number:042}A\",\"name\":\"guess\"}}");
    request_with_body("POST", "/pair/digits", None, body.as_bytes())
}

/// Guesses the digits over a connection of its own, and returns the status.
fn guess(computer: &TestShopComputer, number: u64) -> u16 {
    let mut raw = RawTls::connect(computer.address());
    match raw.send(&exchange_request()).unwrap().status {
        200 => raw.send(&proof_request(number)).unwrap().status,
        status => status,
    }
}

/// The typed code with its last digit changed by this much.
fn wrong_digits(typed: &str, by: u32) -> String {
    let (before, last) = typed.split_at(typed.len() - 1);
    let last = (last.parse::<u32>().unwrap() + by) % 10;
    format!("{before}{last}")
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
    let error = TestNotebook::new().pair(offer.link()).unwrap_err();
    assert!(matches!(error, PairingError::WrongKey), "{error}");
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

#[test]
fn guesses_of_one_peer_are_limited_and_do_not_lock_out_the_owner() {
    let limits = Limits {
        wrong_code_delay: Duration::from_millis(1),
        ..Limits::default()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let offer = computer.offer();
    let statuses: Vec<u16> = (0..200).map(|number| guess(&computer, number)).collect();
    assert_eq!(statuses[..5], [403; 5]);
    assert!(statuses[5..].iter().all(|status| *status == 429));
    assert!(computer.store.devices().unwrap().is_empty());
    // The code is still open, its link works, and a fresh code takes digits from this peer again.
    let typed = computer.typed(&offer);
    let error = TestNotebook::new().pair(&typed).unwrap_err();
    assert!(matches!(error, PairingError::TooManyTries), "{error}");
    TestNotebook::new().pair(offer.link()).unwrap();
    let fresh = computer.offer();
    TestNotebook::new().pair(&computer.typed(&fresh)).unwrap();
}

#[test]
fn digits_are_replaced_at_once_after_many_wrong_guesses() {
    let computer = TestShopComputer::start();
    let offer = computer.offer();
    let before = computer.typed(&offer);
    for number in 0..20 {
        assert_eq!(guess(&computer, number), 403);
    }
    let after = computer.typed(&offer);
    assert_ne!(before, after);
    let error = TestNotebook::new().pair(&before).unwrap_err();
    assert!(matches!(error, PairingError::WrongDigits), "{error}");
    TestNotebook::new().pair(&after).unwrap();
}

#[test]
fn each_guess_needs_an_exchange_of_its_own() {
    let computer = TestShopComputer::start();
    let _offer = computer.offer();
    let mut raw = RawTls::connect(computer.address());
    assert_eq!(raw.send(&proof_request(0)).unwrap().status, 400);
    let mut raw = RawTls::connect(computer.address());
    assert_eq!(raw.send(&exchange_request()).unwrap().status, 200);
    assert_eq!(raw.send(&exchange_request()).unwrap().status, 409);
    assert_eq!(raw.send(&proof_request(0)).unwrap().status, 403);
    assert_eq!(raw.send(&proof_request(0)).unwrap().status, 400);
    assert_eq!(raw.send(&exchange_request()).unwrap().status, 409);
}

#[test]
fn without_an_open_code_there_is_no_exchange() {
    let computer = TestShopComputer::start();
    assert_eq!(guess(&computer, 0), 410);
    let typed = format!("{} 123 456 789", computer.address());
    let error = TestNotebook::new().pair(&typed).unwrap_err();
    assert!(matches!(error, PairingError::CodeExpired), "{error}");
}

#[test]
fn many_good_pairings_in_a_row_are_not_wrong_codes() {
    let computer = TestShopComputer::start_with(TestNotebook::new(), Limits::default());
    for at in 0..30 {
        let offer = computer.offer();
        let code = match at % 2 {
            0 => offer.link().to_owned(),
            _ => computer.typed(&offer),
        };
        TestNotebook::new().pair(&code).unwrap();
    }
    assert_eq!(computer.store.devices().unwrap().len(), 30);
}

#[test]
fn each_wrong_code_doubles_the_delay() {
    let limits = Limits {
        wrong_code_delay: Duration::from_millis(100),
        ..Limits::default()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let _offer = computer.offer();
    let since = Instant::now();
    for number in 0..4 {
        assert_eq!(guess(&computer, number), 403);
    }
    assert!(
        since.elapsed() >= Duration::from_millis(1500),
        "100, 200, 400 and 800 ms"
    );
}
