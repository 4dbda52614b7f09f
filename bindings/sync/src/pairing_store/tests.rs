#![allow(clippy::unwrap_used)]
use super::*;
use crate::secret::{Digest, Token};
use crate::{Fingerprint, PairingCode, PairingError, create_offer};
use chrono::{DateTime, TimeDelta, Utc};
use std::sync::atomic::{AtomicI64, Ordering};

/// A pairing store in a temporary folder, with a clock that the test controls.
struct Fixture {
    dir: tempfile::TempDir,
    store: PairingStore,
    seconds: Arc<AtomicI64>,
}

impl Fixture {
    fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let seconds = Arc::new(AtomicI64::new(0));
        let store = PairingStore::open_with(dir.path(), clock(&seconds)).unwrap();
        Self {
            dir,
            store,
            seconds,
        }
    }

    /// Opens the same file again, like another program.
    fn reopen(&self) -> PairingStore {
        PairingStore::open_with(self.dir.path(), clock(&self.seconds)).unwrap()
    }

    fn advance(&self, seconds: i64) {
        self.seconds.fetch_add(seconds, Ordering::SeqCst);
    }

    /// Creates a code. Returns its number and the digest of the link's secret.
    fn offer(&self) -> (i64, Digest) {
        let offer = create_offer(&self.store, &["192.168.1.5:29376".parse().unwrap()]).unwrap();
        (offer.id(), secret(offer.link()))
    }

    /// Pairs by digits that were proved to be known.
    fn redeem_digits(&self, open: &OpenDigits) -> Redeemed {
        let token = Token::generate().unwrap();
        let redeemed = self.store.redeem_digits(open, "Phone", &token.digest());
        redeemed.unwrap()
    }

    fn redeem(&self, secret: &Digest) -> Redeemed {
        let token = Token::generate().unwrap();
        self.store.redeem(secret, "Phone", &token.digest()).unwrap()
    }
}

fn clock(seconds: &Arc<AtomicI64>) -> Clock {
    let start = DateTime::<Utc>::from_timestamp_millis(1_800_000_000_000).unwrap();
    let seconds = seconds.clone();
    Clock::new(move || start + TimeDelta::seconds(seconds.load(Ordering::SeqCst)))
}

fn secret(code: &str) -> Digest {
    match code.parse().unwrap() {
        PairingCode::Link(link) => link.secret.digest(),
        PairingCode::Typed { .. } => panic!("{code} is no link"),
    }
}

fn unknown_secret() -> Digest {
    Token::generate().unwrap().digest()
}

#[cfg(unix)]
#[test]
fn only_the_owner_can_read_the_file() {
    use std::os::unix::fs::PermissionsExt as _;
    let fixture = Fixture::new();
    fixture.store.fingerprint().unwrap();
    let modes = || {
        let files = std::fs::read_dir(fixture.dir.path()).unwrap();
        let files = files.map(|file| file.unwrap().metadata().unwrap().permissions().mode());
        files.map(|mode| mode & 0o777).collect::<Vec<_>>()
    };
    assert_eq!(modes(), vec![0o600; 3], "the file, its log, and its index");
    let open = std::fs::Permissions::from_mode(0o644);
    std::fs::set_permissions(fixture.store.file(), open).unwrap();
    fixture.reopen();
    assert_eq!(modes(), vec![0o600; 3], "lost permissions are restored");
}

#[test]
fn the_server_key_is_created_once() {
    let fixture = Fixture::new();
    let other = fixture.reopen();
    let threads = [fixture.store.clone(), other, fixture.reopen()]
        .map(|store| std::thread::spawn(move || store.fingerprint().unwrap()));
    let prints = threads.map(|thread| thread.join().unwrap());
    assert!(prints.iter().all(|print| *print == prints[0]));
    assert_ne!(Fixture::new().store.fingerprint().unwrap(), prints[0]);
}

#[test]
fn a_file_of_a_newer_version_is_not_opened() {
    let fixture = Fixture::new();
    let set = |conn: &Connection| conn.pragma_update(None, "user_version", 3);
    fixture.store.read(set).unwrap();
    let found = PairingStore::open(fixture.dir.path());
    assert!(
        matches!(
            found,
            Err(PairingError::NewerSchema {
                file_version: 3,
                supported_version: 2,
                ..
            })
        ),
        "{found:?}"
    );
}

#[test]
fn a_code_pairs_one_device() {
    let fixture = Fixture::new();
    let (id, link) = fixture.offer();
    let digits = fixture.store.open_digits().unwrap().unwrap();
    let Redeemed::Paired(device) = fixture.redeem(&link) else {
        panic!("the code is valid");
    };
    assert_eq!(fixture.redeem(&link), Redeemed::Used);
    assert_eq!(fixture.redeem_digits(&digits), Redeemed::Used);
    assert!(fixture.store.open_digits().unwrap().is_none());
    assert_eq!(
        fixture.store.offer_state(id).unwrap(),
        OfferState::Used { device }
    );
    let (_, link) = fixture.offer();
    let digits = fixture.store.open_digits().unwrap().unwrap();
    assert!(matches!(
        fixture.redeem_digits(&digits),
        Redeemed::Paired(_)
    ));
    assert_eq!(fixture.redeem(&link), Redeemed::Used);
    assert_eq!(fixture.store.devices().unwrap().len(), 2);
}

#[test]
fn a_code_expires_after_ten_minutes() {
    let fixture = Fixture::new();
    let (id, link) = fixture.offer();
    fixture.advance(599);
    assert!(matches!(
        fixture.store.offer_state(id).unwrap(),
        OfferState::Open { renewed: 0, .. }
    ));
    let digits = fixture.store.open_digits().unwrap().unwrap();
    fixture.advance(1);
    assert_eq!(fixture.redeem(&link), Redeemed::Expired);
    assert_eq!(fixture.redeem_digits(&digits), Redeemed::Expired);
    assert!(fixture.store.open_digits().unwrap().is_none());
    assert_eq!(fixture.store.offer_state(id).unwrap(), OfferState::Expired);
    let (_, link) = fixture.offer();
    fixture.advance(-1);
    assert_eq!(
        fixture.redeem(&link),
        Redeemed::Expired,
        "setting the clock back does not extend it"
    );
    fixture.advance(1 + 2 * 24 * 60 * 60);
    fixture.offer();
    assert_eq!(
        fixture.redeem(&link),
        Redeemed::Unknown,
        "it is deleted after a day"
    );
}

#[test]
fn wrong_digits_are_replaced_and_the_link_keeps_working() {
    let fixture = Fixture::new();
    let (id, link) = fixture.offer();
    let first = fixture.store.open_digits().unwrap().unwrap();
    for _ in 0..19 {
        // Counted across restarts and programs.
        fixture.reopen().count_wrong_guess(&first).unwrap();
    }
    let still = fixture.store.open_digits().unwrap().unwrap();
    assert_eq!(still.digits, first.digits);
    fixture.store.count_wrong_guess(&first).unwrap();
    let second = fixture.store.open_digits().unwrap().unwrap();
    assert_ne!(second.digits, first.digits);
    let state = fixture.store.offer_state(id).unwrap();
    assert!(
        matches!(state, OfferState::Open { renewed: 1, .. }),
        "{state:?}"
    );
    assert_eq!(fixture.redeem_digits(&first), Redeemed::Expired);
    // Guesses of the old digits do not count against the new ones.
    for _ in 0..100 {
        fixture.store.count_wrong_guess(&first).unwrap();
    }
    let still = fixture.store.open_digits().unwrap().unwrap();
    assert_eq!(still.digits, second.digits);
    assert!(matches!(fixture.redeem(&link), Redeemed::Paired(_)));
}

#[test]
fn wrong_secrets_of_links_change_nothing() {
    let fixture = Fixture::new();
    let (_, link) = fixture.offer();
    for _ in 0..100 {
        assert_eq!(fixture.redeem(&unknown_secret()), Redeemed::Unknown);
    }
    assert!(matches!(fixture.redeem(&link), Redeemed::Paired(_)));
}

#[test]
fn a_new_code_replaces_the_one_before() {
    let fixture = Fixture::new();
    let (id, link) = fixture.offer();
    let digits = fixture.store.open_digits().unwrap().unwrap();
    let (_, newer) = fixture.offer();
    assert_eq!(fixture.store.offer_state(id).unwrap(), OfferState::Expired);
    assert_eq!(fixture.redeem(&link), Redeemed::Expired);
    assert_eq!(fixture.redeem_digits(&digits), Redeemed::Expired);
    assert!(matches!(fixture.redeem(&newer), Redeemed::Paired(_)));
}

#[test]
fn a_file_of_the_version_before_keeps_its_devices() {
    let dir = tempfile::tempdir().unwrap();
    let store = PairingStore::open(dir.path()).unwrap();
    let offer = create_offer(&store, &["192.168.1.5:29376".parse().unwrap()]).unwrap();
    let token = Token::generate().unwrap();
    let secret = secret(offer.link());
    store.redeem(&secret, "Phone", &token.digest()).unwrap();
    let fingerprint = store.fingerprint().unwrap();
    let old = "DROP TABLE offer; CREATE TABLE offer (id INTEGER PRIMARY KEY AUTOINCREMENT,
        link BLOB NOT NULL, words BLOB, made_at INTEGER NOT NULL, until INTEGER NOT NULL,
        wrong INTEGER NOT NULL DEFAULT 0, taken_back INTEGER NOT NULL DEFAULT 0,
        device INTEGER REFERENCES device); PRAGMA user_version = 1;";
    store.read(|conn| conn.execute_batch(old)).unwrap();
    drop(store);
    let store = PairingStore::open(dir.path()).unwrap();
    assert_eq!(store.fingerprint().unwrap(), fingerprint);
    assert!(matches!(
        store.caller(&token.digest()).unwrap(),
        Caller::Device(_)
    ));
    create_offer(&store, &["192.168.1.5:29376".parse().unwrap()]).unwrap();
    assert!(store.open_digits().unwrap().is_some());
}

#[test]
fn a_canceled_code_no_longer_works() {
    let fixture = Fixture::new();
    let (id, link) = fixture.offer();
    fixture.reopen().cancel_offer(id).unwrap();
    assert_eq!(fixture.redeem(&link), Redeemed::Expired);
}

#[test]
fn a_device_is_identified_by_its_token_until_it_is_revoked() {
    let fixture = Fixture::new();
    let (_, link) = fixture.offer();
    let token = Token::generate().unwrap();
    fixture
        .store
        .redeem(&link, " Ada's\nphone ", &token.digest())
        .unwrap();
    let device = fixture.store.devices().unwrap().remove(0);
    assert_eq!(
        (device.name.as_str(), device.revoked_at),
        ("Ada's phone", None)
    );
    let caller = || fixture.store.caller(&token.digest()).unwrap();
    assert_eq!(caller(), Caller::Device(device.id));
    assert_eq!(
        fixture.store.caller(&unknown_secret()).unwrap(),
        Caller::Unknown
    );

    let counts = DeviceCounts {
        entries_pushed: 3,
        photos_pulled: 1,
        ..DeviceCounts::default()
    };
    fixture.advance(60);
    fixture.store.record_device_sync(device.id, counts).unwrap();
    let other = fixture.reopen();
    assert_eq!(
        other.devices().unwrap()[0].last_sync.unwrap().counts,
        counts
    );
    other.rename_device(device.id, "Bench phone").unwrap();
    other.revoke(device.id).unwrap();
    assert_eq!(
        caller(),
        Caller::Revoked,
        "even if another program revoked it"
    );
    let revoked = fixture.store.devices().unwrap().remove(0);
    assert!(revoked.revoked_at.is_some() && revoked.name == "Bench phone");
    fixture.advance(60);
    other.revoke(device.id).unwrap();
    assert_eq!(
        fixture.store.devices().unwrap()[0],
        revoked,
        "the first date stays"
    );
    assert!(matches!(
        other.revoke(device.id + 1),
        Err(PairingError::NoSuchDevice)
    ));
}

#[test]
fn the_server_does_not_store_tokens() {
    let fixture = Fixture::new();
    let (_, link) = fixture.offer();
    let token = Token::generate().unwrap();
    fixture
        .store
        .redeem(&link, "Phone", &token.digest())
        .unwrap();
    drop(fixture.store);
    for file in std::fs::read_dir(fixture.dir.path()).unwrap() {
        let bytes = std::fs::read(file.unwrap().path()).unwrap();
        assert!(!bytes.windows(32).any(|window| window == token.bytes()));
    }
}

#[test]
fn the_last_address_of_a_shop_computer_is_saved_first() {
    let fixture = Fixture::new();
    let fingerprint = Fingerprint::of_key(b"shop");
    let addresses = ["10.0.0.1:1", "[fd00::1]:1"].map(|text| text.parse().unwrap());
    let token = Token::generate().unwrap();
    fixture
        .store
        .save_shop(fingerprint, "Bench", &addresses, &token)
        .unwrap();
    fixture
        .store
        .record_address(&fingerprint, addresses[1])
        .unwrap();
    for at in 2..20 {
        let address = format!("10.0.0.{at}:1").parse().unwrap();
        fixture.store.record_address(&fingerprint, address).unwrap();
    }
    fixture.store.record_sync(&fingerprint).unwrap();
    let shop = fixture.reopen().shops().unwrap().remove(0);
    assert_eq!(shop.addresses[0].to_string(), "10.0.0.19:1");
    assert_eq!(shop.addresses.len(), 8);
    assert!(shop.last_sync_at.is_some());
    let saved = fixture.store.shop_with_token(&fingerprint).unwrap();
    assert_eq!(saved.token.bytes(), token.bytes());
    fixture.store.forget_shop(&fingerprint).unwrap();
    assert!(matches!(
        fixture.store.shop_with_token(&fingerprint),
        Err(PairingError::NotPaired)
    ));
}
