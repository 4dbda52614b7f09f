//! Shop computers whose program is killed in the midst of an exchange.

use super::common::sentence;
use super::desk::{Desk, are_equal};
use holebook_tests::apart::{apart, run};
use holebook_tests::lan::quiet_port;
use holebook_tests::proxy::Proxy;
use std::thread;
use std::time::{Duration, Instant};

/// Waits until so many bytes have come to it, ten seconds at most.
fn wait_for(proxy: &Proxy, bytes: u64) {
    let since = Instant::now();
    while proxy.passed() < bytes && since.elapsed().as_secs() < 10 {
        thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn an_exchange_whose_server_is_killed_is_finished_by_the_next_once_it_runs_again() {
    apart(
        an_exchange_whose_server_is_killed_is_finished_by_the_next_once_it_runs_again,
        || {
            let (shop, barn) = (Desk::new(), Desk::new());
            let port = quiet_port();
            let mut open = shop.open(port);
            let proxy = Proxy::before(shop.address());
            barn.pair_at(&shop, proxy.address);
            let mut in_the_midst = 0;
            for round in 0..5 {
                for desk in [&shop, &barn] {
                    desk.note(20);
                    desk.photograph(8);
                }
                let midst = 2_000 + 300_000 * round;
                let end = proxy.passed() + midst;
                // So that it does not go on to its end before the server is killed.
                proxy.hold_after(midst);
                let exchange = barn.begin_to_exchange();
                wait_for(&proxy, end);
                // It is killed, not told to stop.
                drop(open);
                proxy.mend();
                let broken = exchange.wait_with_output().unwrap();
                if !broken.status.success() {
                    in_the_midst += 1;
                    let why = sentence(&broken);
                    assert!(why.contains("cannot be reached"), "{why}");
                }
                let gone = barn.is_refused();
                assert!(gone.contains("then exchange again"), "{gone}");
                open = shop.open(port);
                barn.exchange_well();
                are_equal(&[&shop, &barn]);
            }
            assert!(
                in_the_midst >= 3,
                "only {in_the_midst} were killed in the midst"
            );
        },
    );
}

/// A link between two cards of this computer stands for the shop's network: names are asked for on it, as loopback does not.
#[test]
fn a_server_that_was_killed_and_runs_again_on_another_port_is_found_by_its_key() {
    apart(
        a_server_that_was_killed_and_runs_again_on_another_port_is_found_by_its_key,
        || {
            let link = [
                "link", "add", "name", "shop0", "type", "veth", "peer", "name", "barn0",
            ];
            run("ip", &link);
            run("ip", &["address", "add", "10.78.0.1/24", "dev", "shop0"]);
            for card in ["shop0", "barn0"] {
                run("ip", &["link", "set", card, "up"]);
            }
            let (shop, barn) = (Desk::new(), Desk::new());
            let open = shop.open(0);
            let before = shop.address();
            barn.pair(&shop);
            barn.note(3);
            barn.photograph(2);
            drop(open);
            let gone = barn.is_refused();
            assert!(gone.contains("nothing listens there"), "{gone}");
            // Somebody else has the old port now.
            let other = Desk::new();
            let _other = other.open(before.port());
            let _open = shop.open(0);
            assert_ne!(shop.address(), before);
            barn.exchange_well();
            are_equal(&[&shop, &barn]);
        },
    );
}
