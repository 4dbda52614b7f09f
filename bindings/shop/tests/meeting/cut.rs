//! Connections cut at any byte.

use super::common::sentence;
use super::desk::{Code, Desk, are_equal};
use holebook_tests::apart::apart;
use holebook_tests::dice::{Dice, asked};
use holebook_tests::proxy::Proxy;

/// Somewhat more than a round moves, both ways, in bytes.
const ROUND: u64 = 300_000;

/// Somewhat more than pairing moves.
const PAIRING: u64 = 3_000;
/// A shop computer looks at no more than twenty codes in a minute, and each cut may take two.
const CUTS_EACH: u64 = 8;

#[test]
fn an_exchange_whose_connection_is_cut_at_any_byte_is_finished_by_the_next() {
    apart(
        an_exchange_whose_connection_is_cut_at_any_byte_is_finished_by_the_next,
        || {
            let mut dice = Dice::thrown("cut");
            let (shop, barn) = (Desk::new(), Desk::new());
            let _open = shop.open(0);
            let proxy = Proxy::before(shop.address());
            barn.pair_at(&shop, proxy.address);
            let cuts = asked("HOLEBOOK_CUTS").unwrap_or(25);
            let mut in_the_midst = 0;
            for _ in 0..cuts {
                for desk in [&shop, &barn] {
                    desk.note(5);
                    desk.photograph(1);
                }
                proxy.cut_after(dice.below(ROUND));
                let cut = barn.exchange();
                proxy.mend();
                if !cut.status.success() {
                    in_the_midst += 1;
                    let why = sentence(&cut);
                    assert!(why.contains("cannot be reached"), "{why}");
                    assert!(why.contains("then exchange again"), "{why}");
                }
                barn.exchange_well();
                assert_eq!(shop.ends(), barn.ends());
            }
            assert!(
                in_the_midst > cuts / 3,
                "only {in_the_midst} were cut in the midst"
            );
            are_equal(&[&shop, &barn]);
        },
    );
}

#[test]
fn pairing_whose_connection_is_cut_at_any_byte_says_so_and_a_new_code_pairs() {
    apart(
        pairing_whose_connection_is_cut_at_any_byte_says_so_and_a_new_code_pairs,
        || {
            let mut dice = Dice::thrown("cut");
            let mut in_the_midst = 0;
            let shops = asked("HOLEBOOK_CUTS").unwrap_or(25).div_ceil(3 * CUTS_EACH);
            for _ in 0..shops {
                let shop = Desk::new();
                let _open = shop.open(0);
                let proxy = Proxy::before(shop.address());
                for _ in 0..CUTS_EACH {
                    in_the_midst += u64::from(is_cut_while_pairing(&shop, &proxy, &mut dice));
                }
            }
            assert!(
                in_the_midst > shops,
                "only {in_the_midst} were cut in the midst"
            );
        },
    );
}

/// Whether pairing was cut; then a new code was asked for.
fn is_cut_while_pairing(shop: &Desk, proxy: &Proxy, dice: &mut Dice) -> bool {
    let barn = Desk::new();
    let code = Code::of(shop);
    proxy.cut_after(dice.below(PAIRING));
    let cut = barn.run(&["pair", "--code", &code.at(proxy.address)]);
    proxy.mend();
    if !cut.status.success() {
        let why = sentence(&cut);
        assert!(why.contains("cannot be reached"), "{why}");
        barn.pair(shop);
    }
    barn.exchange_well();
    !cut.status.success()
}
