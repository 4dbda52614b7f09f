//! Pairing with a real shop computer, and each way it fails.

use super::calls::{pair, paired, problem, sync, with};
use crate::support::TestPhone;
use holebook_mobile::*;
use holebook_test_support::raw_tls::serve_with_key_of;
use holebook_test_support::{TestClock, TestNotebook, TestShopComputer, test_limits};

fn refused(phone: &TestPhone, code: &str) -> (PairingProblem, String) {
    problem(phone.notebook.pair(code.to_owned()).unwrap_err())
}

#[test]
fn phone_pairs_by_link_or_digits_under_its_own_name() {
    let computer = TestShopComputer::start();
    computer.store.set_server_name("Bench by the door").unwrap();
    for by_link in [true, false] {
        let offer = computer.offer();
        let code = match by_link {
            true => offer.link().to_owned(),
            false => computer.typed(&offer),
        };
        let phone = TestPhone::new();
        let settings = phone.notebook.settings().unwrap();
        let device_name = "Ada's phone".to_owned();
        let settings = Settings {
            device_name,
            ..settings
        };
        phone.notebook.set_settings(settings).unwrap();
        let shop = pair(&phone, &code);
        assert_eq!(shop.name, "Bench by the door");
        let fingerprint = computer.store.fingerprint().unwrap();
        assert_eq!(shop.id, format!("shop:{fingerprint}"));
        assert_eq!(shop.announced_as, fingerprint.short());
        assert_eq!(shop.addresses, [computer.address().to_string()]);
        assert_eq!(shop.last_sync_at, None);
        assert_eq!(phone.notebook.shops().unwrap(), std::slice::from_ref(&shop));
        let remote = phone.notebook.known_remotes().unwrap().remove(0);
        assert!(remote.paired && remote.last.is_none());
        assert_eq!(
            (remote.id, remote.name.as_str()),
            (shop.id, "the shop computer Bench by the door")
        );
        assert_eq!(
            computer.store.devices().unwrap().remove(0).name,
            "Ada's phone"
        );
    }
}

#[test]
fn invalid_code_says_where_it_is_wrong() {
    let (computer, phone) = (TestShopComputer::start(), TestPhone::new());
    let typed = computer.typed(&computer.offer());
    let short = typed.rsplit_once(' ').unwrap().0.to_owned();
    for (code, says) in [
        ("", "no pairing code was entered".to_owned()),
        (
            "https://example.org/pair?v=1",
            "not a pairing link".to_owned(),
        ),
        (
            &short,
            "a pairing code has 9 digits, and 6 were entered".to_owned(),
        ),
        (
            &typed.replacen(' ', " xyzzy ", 1),
            "\"xyzzy\" is not part of a pairing code".to_owned(),
        ),
    ] {
        let (problem, reason) = refused(&phone, code);
        assert_eq!(problem, PairingProblem::CodeInvalid, "{code}");
        assert!(reason.contains(&says), "{reason}");
    }
    assert_eq!(phone.notebook.shops().unwrap(), []);
}

#[test]
fn unknown_used_and_expired_codes_say_which() {
    let clock = TestClock::default();
    let notebook = TestNotebook::with_clock(clock.clock());
    let computer = TestShopComputer::start_with(notebook, test_limits());
    let phone = TestPhone::new();
    let used = computer.offer();
    // The same link with another secret: 16 bytes of base64url.
    let (place, _) = used.link().split_once("&s=").unwrap();
    let unknown = format!("{place}&s={}", "A".repeat(22));
    assert_eq!(refused(&phone, &unknown).0, PairingProblem::CodeUnknown);
    pair(&TestPhone::new(), used.link());
    assert_eq!(refused(&phone, used.link()).0, PairingProblem::CodeUsed);
    let old = computer.offer();
    clock.advance_minutes(10);
    assert_eq!(refused(&phone, old.link()).0, PairingProblem::CodeExpired);
    assert!(
        !phone
            .notebook
            .known_remotes()
            .unwrap()
            .iter()
            .any(|remote| remote.paired)
    );
}

#[test]
fn too_many_wrong_digits_are_refused_until_there_is_a_new_code() {
    let limits = holebook_sync::server::Limits {
        max_guesses_per_peer: 2,
        ..test_limits()
    };
    let computer = TestShopComputer::start_with(TestNotebook::new(), limits);
    let phone = TestPhone::new();
    let offer = computer.offer();
    let typed = computer.typed(&offer);
    let (right, last) = typed.split_at(typed.len() - 1);
    let wrong = format!("{right}{}", (last.parse::<u32>().unwrap() + 1) % 10);
    let problems = (0..5).map(|_| refused(&phone, &wrong).0);
    let problems: Vec<_> = problems.collect();
    assert_eq!(problems[0], PairingProblem::CodeUnknown);
    assert_eq!(problems[4], PairingProblem::TooManyAttempts, "{problems:?}");
    assert_eq!(refused(&phone, &typed).0, PairingProblem::TooManyAttempts);
    let fresh = computer.offer();
    pair(&phone, &computer.typed(&fresh));
}

#[test]
fn unreadable_pairings_are_an_error_and_the_notebook_still_works() {
    let phone = TestPhone::new();
    let at = phone.dir.path().join("notebook/link.sqlite");
    std::fs::write(
        at,
        "this is no database, and longer than the head of one: ".repeat(20),
    )
    .unwrap();
    let (problem, reason) = problem(phone.notebook.shops().unwrap_err());
    assert_eq!(problem, PairingProblem::Storage);
    assert!(reason.contains("link.sqlite"), "{reason}");
    assert_eq!(phone.notebook.castings().unwrap(), []);
}

#[test]
fn too_long_device_name_is_rejected_before_anything_is_sent() {
    let (computer, phone) = (TestShopComputer::start(), TestPhone::new());
    let settings = Settings {
        device_name: "a phone ".repeat(10),
        ..phone.notebook.settings().unwrap()
    };
    phone.notebook.set_settings(settings).unwrap();
    let offer = computer.offer();
    let (problem, reason) = refused(&phone, offer.link());
    assert_eq!(problem, PairingProblem::NameTooLong);
    assert!(reason.contains("must have 1 to 60 characters"), "{reason}");
    pair(&TestPhone::new(), offer.link());
}

#[test]
fn error_and_newer_version_of_a_shop_computer_have_their_own_sentences() {
    let mut computer = TestShopComputer::start();
    computer.stop();
    for (status, says) in [
        ("500 Fault", "check what Holebook reports there"),
        ("418 Later", "update Holebook on both devices"),
    ] {
        let answer = format!("HTTP/1.1 {status}\r\nContent-Length: 0\r\n\r\n");
        let address = serve_with_key_of(&computer, move |_, out| out.write_all(answer.as_bytes()));
        let (problem, reason) = refused(&TestPhone::new(), computer.offer_at(address).link());
        assert_eq!(problem, PairingProblem::Failed, "{reason}");
        assert!(reason.contains(says), "{reason}");
    }
}

#[test]
fn another_computer_at_its_address_gets_no_secret() {
    let (computer, other) = (TestShopComputer::start(), TestShopComputer::start());
    let offer = computer.offer_at(other.address());
    let problem = refused(&TestPhone::new(), offer.link()).0;
    assert_eq!(problem, PairingProblem::WrongKey);
    assert!(
        other.events.lock().unwrap().is_empty(),
        "no secret was sent"
    );
}

#[test]
fn unreachable_shop_computer_is_an_error() {
    let mut computer = TestShopComputer::start();
    let offer = computer.offer();
    computer.stop();
    let (problem, reason) = refused(&TestPhone::new(), offer.link());
    assert_eq!(problem, PairingProblem::Unreachable);
    assert!(reason.contains("same network"), "{reason}");
}

#[test]
fn revoked_phone_is_rejected_until_it_is_paired_again() {
    let computer = TestShopComputer::start();
    let (phone, shop) = paired(&computer);
    sync(&phone.notebook, with(&shop)).unwrap();
    let device = computer.store.devices().unwrap().remove(0).id;
    computer.store.revoke(device).unwrap();
    let refused = sync(&phone.notebook, with(&shop)).unwrap_err();
    let NotebookError::Remote {
        problem, reason, ..
    } = refused
    else {
        panic!("{refused:?}")
    };
    assert_eq!(problem, RemoteProblem::AccessDenied);
    assert!(reason.contains("revoked"), "{reason}");
    assert_eq!(pair(&phone, computer.offer().link()).id, shop.id);
    sync(&phone.notebook, with(&shop)).unwrap();
}

#[test]
fn forgotten_shop_computer_can_no_longer_be_synced_with() {
    let computer = TestShopComputer::start();
    let (phone, shop) = paired(&computer);
    let notebook = &phone.notebook;
    sync(notebook, with(&shop)).unwrap();
    notebook.forget_remote(shop.id.clone()).unwrap();
    assert_eq!(notebook.shops().unwrap(), []);
    assert_eq!(notebook.known_remotes().unwrap(), []);
    let not_paired = |error| assert_eq!(problem(error).0, PairingProblem::NotPaired);
    not_paired(notebook.start_sync(with(&shop)).err().unwrap());
    let again = notebook.forget_remote(shop.id).unwrap_err();
    assert!(matches!(again, NotebookError::NoSuch { what, .. } if what == "remote"));
    let shop = pair(&phone, computer.offer().link());
    notebook.forget_remote(shop.id.clone()).unwrap();
    not_paired(notebook.start_sync(with(&shop)).err().unwrap());
}

#[test]
fn digits_are_enough_if_the_phone_sees_the_shop_computer() {
    let computer = TestShopComputer::start();
    let phone = TestPhone::new();
    let typed = computer.typed(&computer.offer());
    let (address, digits) = typed.split_once(' ').unwrap();
    let (problem, reason) = refused(&phone, digits);
    assert_eq!(problem, PairingProblem::Unreachable);
    assert!(
        reason.contains("type its address before the digits"),
        "{reason}"
    );
    let seen = SeenShop {
        name: "anything".to_owned(),
        addresses: vec![address.to_owned()],
    };
    phone.notebook.set_seen_shops(vec![seen]).unwrap();
    assert_eq!(pair(&phone, digits).addresses, [address]);
}
