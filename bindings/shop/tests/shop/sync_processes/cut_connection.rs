//! Connections cut at any byte.

use super::test_device::{Code, TestDevice, assert_equal};
use crate::common::error_sentence;
use holebook_test_support::namespaces::isolated;
use holebook_test_support::{Proxy, SeededRng, env_number};

/// A little more than the bytes of a round, both ways.
const ROUND: u64 = 300_000;

/// A little more than the bytes of pairing.
const PAIRING: u64 = 3_000;
/// A shop computer checks at most twenty codes in a minute, and each cut may take two.
const CUTS_EACH: u64 = 8;

#[test]
fn sync_cut_at_any_byte_is_finished_by_the_next() {
    isolated(sync_cut_at_any_byte_is_finished_by_the_next, || {
        let mut rng = SeededRng::new("cut");
        let (shop, barn) = (TestDevice::new(), TestDevice::new());
        let _open = shop.open(0);
        let proxy = Proxy::to(shop.address());
        barn.pair_at(&shop, proxy.address);
        let cuts = env_number("HOLEBOOK_CUTS").unwrap_or(25);
        let mut interrupted = 0;
        for _ in 0..cuts {
            for device in [&shop, &barn] {
                device.add_holes(5);
                device.add_photos(1);
            }
            proxy.cut_after(rng.below(ROUND));
            let cut = barn.try_sync();
            proxy.restore();
            if !cut.status.success() {
                interrupted += 1;
                let why = error_sentence(&cut);
                assert!(why.contains("cannot be reached"), "{why}");
                assert!(why.contains("then sync again"), "{why}");
            }
            barn.sync();
            assert_eq!(shop.contents(), barn.contents());
        }
        assert!(
            interrupted > cuts / 3,
            "only {interrupted} were cut during it"
        );
        assert_equal(&[&shop, &barn]);
    });
}

#[test]
fn pairing_cut_at_any_byte_is_an_error_and_a_new_code_pairs() {
    isolated(
        pairing_cut_at_any_byte_is_an_error_and_a_new_code_pairs,
        || {
            let mut rng = SeededRng::new("cut");
            let mut interrupted = 0;
            let shops = env_number("HOLEBOOK_CUTS")
                .unwrap_or(25)
                .div_ceil(3 * CUTS_EACH);
            for _ in 0..shops {
                let shop = TestDevice::new();
                let _open = shop.open(0);
                let proxy = Proxy::to(shop.address());
                for _ in 0..CUTS_EACH {
                    interrupted += u64::from(is_cut_while_pairing(&shop, &proxy, &mut rng));
                }
            }
            assert!(interrupted > shops, "only {interrupted} were cut during it");
        },
    );
}

/// Whether pairing was cut; then it pairs by a new code.
fn is_cut_while_pairing(shop: &TestDevice, proxy: &Proxy, rng: &mut SeededRng) -> bool {
    let barn = TestDevice::new();
    let code = Code::of(shop);
    proxy.cut_after(rng.below(PAIRING));
    let cut = barn.run(&["pair", "--code", &code.at(proxy.address)]);
    proxy.restore();
    if !cut.status.success() {
        let why = error_sentence(&cut);
        assert!(why.contains("cannot be reached"), "{why}");
        barn.pair(shop);
    }
    barn.sync();
    !cut.status.success()
}
