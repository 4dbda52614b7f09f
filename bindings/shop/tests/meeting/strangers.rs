//! Whoever is not let in, and what each is told. `bindings/link/tests` has what a stranger's bytes come to, and ten thousand guesses at
//! the same server; `pairing` has the device that is revoked and the code that is used twice, by the commands.

use super::apart::apart;
use super::common::sentence;
use super::desk::{Code, Desk, are_equal};
use holebook_tests::lan::quiet_port;

#[test]
fn another_computer_at_the_shop_computers_address_is_told_nothing() {
    apart(
        another_computer_at_the_shop_computers_address_is_told_nothing,
        || {
            let (shop, other, barn) = (Desk::new(), Desk::new(), Desk::new());
            let port = quiet_port();
            let open = shop.open(port);
            barn.pair(&shop);
            barn.note(3);
            let code = Code::of(&shop);
            let (link, words) = (code.link.clone(), code.words());
            drop((code, open));
            let open = other.open(port);
            let (before, late) = (other.ends(), Desk::new());
            let why = barn.is_refused();
            assert!(
                why.contains("another computer answers at its address, and it was told nothing"),
                "{why}"
            );
            for code in [link, words] {
                let why = sentence(&late.run(&["pair", "--code", &code]));
                assert!(why.contains("so it was told nothing"), "{why}");
            }
            assert_eq!(other.ends(), before);
            drop(open);
            let _open = shop.open(port);
            barn.exchange_well();
            are_equal(&[&shop, &barn]);
        },
    );
}

#[test]
fn a_device_with_a_wrong_token_is_not_known() {
    apart(a_device_with_a_wrong_token_is_not_known, || {
        let (shop, barn) = (Desk::new(), Desk::new());
        let _open = shop.open(0);
        barn.pair(&shop);
        barn.note(3);
        let before = shop.ends();
        let pairings = rusqlite::Connection::open(barn.folder().join("link.sqlite")).unwrap();
        let changed = pairings.execute("UPDATE shop SET token = randomblob(32)", []);
        assert_eq!(changed.unwrap(), 1);
        let why = barn.is_refused();
        assert!(
            why.contains("does not know this device; pair it again"),
            "{why}"
        );
        assert_eq!(shop.ends(), before);
        barn.pair(&shop);
        barn.exchange_well();
        are_equal(&[&shop, &barn]);
    });
}
