#![allow(clippy::unwrap_used)]
use super::*;
use crate::code::CodeSecret;
use crate::secret::{Digest, Token};
use crate::{Fingerprint, LinkError, PairCode, offer};
use chrono::{DateTime, TimeDelta, Utc};
use std::sync::atomic::{AtomicI64, Ordering};

/// Pairings in a folder of their own, with a clock that the test turns.
struct Desk {
    dir: tempfile::TempDir,
    store: Store,
    seconds: Arc<AtomicI64>,
}

impl Desk {
    fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let seconds = Arc::new(AtomicI64::new(0));
        let store = Store::open_with(dir.path(), clock(&seconds)).unwrap();
        Self {
            dir,
            store,
            seconds,
        }
    }

    fn again(&self) -> Store {
        Store::open_with(self.dir.path(), clock(&self.seconds)).unwrap()
    }

    fn pass(&self, seconds: i64) {
        self.seconds.fetch_add(seconds, Ordering::SeqCst);
    }

    /// A new code's number, and the digests of the link's secret and of the words'.
    fn offer(&self) -> (i64, Digest, Digest) {
        let offer = offer(&self.store, &["192.168.1.5:29376".parse().unwrap()]).unwrap();
        let words = offer.words().unwrap().to_string();
        (offer.id(), secret(offer.link()), secret(&words))
    }

    fn redeem(&self, secret: &Digest) -> Redeemed {
        let token = Token::fresh().unwrap();
        self.store.redeem(secret, "Phone", &token.digest()).unwrap()
    }
}

fn clock(seconds: &Arc<AtomicI64>) -> Clock {
    let start = DateTime::<Utc>::from_timestamp_millis(1_800_000_000_000).unwrap();
    let seconds = seconds.clone();
    Clock::new(move || start + TimeDelta::seconds(seconds.load(Ordering::SeqCst)))
}

fn secret(code: &str) -> Digest {
    match code.parse::<PairCode>().unwrap().secret {
        CodeSecret::Link(secret) => secret.digest(),
        CodeSecret::Words(secret) => secret.digest(),
    }
}

fn wrong() -> Digest {
    Token::fresh().unwrap().digest()
}

#[cfg(unix)]
#[test]
fn nobody_else_may_read_the_file() {
    use std::os::unix::fs::PermissionsExt as _;
    let desk = Desk::new();
    desk.store.fingerprint().unwrap();
    let modes = || {
        let files = std::fs::read_dir(desk.dir.path()).unwrap();
        let files = files.map(|file| file.unwrap().metadata().unwrap().permissions().mode());
        files.map(|mode| mode & 0o777).collect::<Vec<_>>()
    };
    assert_eq!(modes(), vec![0o600; 3], "the file, its log and its index");
    let open = std::fs::Permissions::from_mode(0o644);
    std::fs::set_permissions(desk.store.file(), open).unwrap();
    desk.again();
    assert_eq!(modes(), vec![0o600; 3], "also where its rights were lost");
}

#[test]
fn the_own_key_is_made_once() {
    let desk = Desk::new();
    let other = desk.again();
    let threads = [desk.store.clone(), other, desk.again()]
        .map(|store| std::thread::spawn(move || store.fingerprint().unwrap()));
    let prints = threads.map(|thread| thread.join().unwrap());
    assert!(prints.iter().all(|print| *print == prints[0]));
    assert_ne!(Desk::new().store.fingerprint().unwrap(), prints[0]);
}

#[test]
fn a_file_of_a_newer_version_is_left_as_it_is() {
    let desk = Desk::new();
    let set = |conn: &Connection| conn.pragma_update(None, "user_version", 2);
    desk.store.read(set).unwrap();
    let found = Store::open(desk.dir.path());
    assert!(
        matches!(
            found,
            Err(LinkError::Newer {
                theirs: 2,
                ours: 1,
                ..
            })
        ),
        "{found:?}"
    );
}

#[test]
fn a_code_is_for_one_device() {
    let desk = Desk::new();
    let (id, link, words) = desk.offer();
    let Redeemed::Paired(device) = desk.redeem(&link) else {
        panic!("the code is good");
    };
    assert_eq!(desk.redeem(&link), Redeemed::Used);
    assert_eq!(desk.redeem(&words), Redeemed::Used);
    assert_eq!(
        desk.store.offer_state(id).unwrap(),
        OfferState::Used { device }
    );
    let (_, _, words) = desk.offer();
    assert!(matches!(desk.redeem(&words), Redeemed::Paired(_)));
    assert_eq!(desk.store.devices().unwrap().len(), 2);
}

#[test]
fn a_code_is_good_for_ten_minutes() {
    let desk = Desk::new();
    let (id, link, _) = desk.offer();
    desk.pass(599);
    assert!(matches!(
        desk.store.offer_state(id).unwrap(),
        OfferState::Open { wrong: 0, .. }
    ));
    desk.pass(1);
    assert_eq!(desk.redeem(&link), Redeemed::Over);
    assert_eq!(desk.store.offer_state(id).unwrap(), OfferState::Over);
    let (_, link, _) = desk.offer();
    desk.pass(-1);
    assert_eq!(
        desk.redeem(&link),
        Redeemed::Over,
        "a clock that was set back helps nobody"
    );
    desk.pass(1 + 2 * 24 * 60 * 60);
    desk.offer();
    assert_eq!(
        desk.redeem(&link),
        Redeemed::Unknown,
        "in the end it is forgotten"
    );
}

#[test]
fn five_wrong_codes_end_all_that_are_open() {
    let desk = Desk::new();
    let (id, link, _) = desk.offer();
    for tries in 0..5 {
        let state = desk.store.offer_state(id).unwrap();
        assert!(matches!(state, OfferState::Open { wrong, .. } if wrong == tries));
        assert_eq!(desk.redeem(&wrong()), Redeemed::Unknown);
    }
    assert_eq!(
        desk.store.offer_state(id).unwrap(),
        OfferState::TriedTooOften
    );
    assert_eq!(desk.redeem(&link), Redeemed::Over);
    let (_, link, _) = desk.offer();
    assert!(
        matches!(desk.redeem(&link), Redeemed::Paired(_)),
        "a new one is good"
    );
}

#[test]
fn wrong_codes_are_counted_over_a_restart_and_over_several_programs() {
    let desk = Desk::new();
    let (id, link, _) = desk.offer();
    for tries in 1..=5 {
        let token = Token::fresh().unwrap();
        let again = desk.again();
        let redeemed = again.redeem(&wrong(), "Phone", &token.digest());
        assert_eq!(redeemed.unwrap(), Redeemed::Unknown);
        let state = desk.store.offer_state(id).unwrap();
        let open = matches!(state, OfferState::Open { wrong, .. } if wrong == tries);
        assert_eq!(open, tries < 5, "{state:?}");
    }
    assert_eq!(desk.redeem(&link), Redeemed::Over);
}

#[test]
fn a_code_that_was_taken_back_is_over() {
    let desk = Desk::new();
    let (id, link, _) = desk.offer();
    desk.again().take_back_offer(id).unwrap();
    assert_eq!(desk.redeem(&link), Redeemed::Over);
}

#[test]
fn a_device_is_known_by_its_token_until_it_is_revoked() {
    let desk = Desk::new();
    let (_, link, _) = desk.offer();
    let token = Token::fresh().unwrap();
    desk.store
        .redeem(&link, " Ada's\nphone ", &token.digest())
        .unwrap();
    let device = desk.store.devices().unwrap().remove(0);
    assert_eq!(
        (device.name.as_str(), device.revoked_at),
        ("Ada's phone", None)
    );
    let caller = || desk.store.caller(&token.digest()).unwrap();
    assert_eq!(caller(), Caller::Device(device.id));
    assert_eq!(desk.store.caller(&wrong()).unwrap(), Caller::Stranger);

    let passed = Passed {
        entries_brought: 3,
        photos_taken: 1,
        ..Passed::default()
    };
    desk.pass(60);
    desk.store.note_passed(device.id, passed).unwrap();
    let other = desk.again();
    assert_eq!(
        other.devices().unwrap()[0].last_exchange.unwrap().passed,
        passed
    );
    other.rename_device(device.id, "Bench phone").unwrap();
    other.revoke(device.id).unwrap();
    assert_eq!(
        caller(),
        Caller::Revoked,
        "also where another program revoked it"
    );
    let revoked = desk.store.devices().unwrap().remove(0);
    assert!(revoked.revoked_at.is_some() && revoked.name == "Bench phone");
    desk.pass(60);
    other.revoke(device.id).unwrap();
    assert_eq!(desk.store.devices().unwrap()[0], revoked, "once is enough");
    assert!(matches!(
        other.revoke(device.id + 1),
        Err(LinkError::NoSuchDevice)
    ));
}

#[test]
fn nothing_that_opens_the_shelf_is_kept_by_it() {
    let desk = Desk::new();
    let (_, link, _) = desk.offer();
    let token = Token::fresh().unwrap();
    desk.store.redeem(&link, "Phone", &token.digest()).unwrap();
    drop(desk.store);
    for file in std::fs::read_dir(desk.dir.path()).unwrap() {
        let bytes = std::fs::read(file.unwrap().path()).unwrap();
        assert!(!bytes.windows(32).any(|window| window == token.bytes()));
    }
}

#[test]
fn a_shop_computer_is_remembered_where_it_last_was() {
    let desk = Desk::new();
    let fingerprint = Fingerprint::of_key(b"shop");
    let addresses = ["10.0.0.1:1", "[fd00::1]:1"].map(|text| text.parse().unwrap());
    let token = Token::fresh().unwrap();
    desk.store
        .keep_shop(fingerprint, "Bench", &addresses, &token)
        .unwrap();
    desk.store.note_address(&fingerprint, addresses[1]).unwrap();
    for at in 2..20 {
        let address = format!("10.0.0.{at}:1").parse().unwrap();
        desk.store.note_address(&fingerprint, address).unwrap();
    }
    desk.store.note_exchange(&fingerprint).unwrap();
    let shop = desk.again().shops().unwrap().remove(0);
    assert_eq!(shop.addresses[0].to_string(), "10.0.0.19:1");
    assert_eq!(shop.addresses.len(), 8);
    assert!(shop.last_exchange_at.is_some());
    let kept = desk.store.paired(&fingerprint).unwrap();
    assert_eq!(kept.token.bytes(), token.bytes());
    desk.store.forget_shop(&fingerprint).unwrap();
    assert!(matches!(
        desk.store.paired(&fingerprint),
        Err(LinkError::NotPaired)
    ));
}
