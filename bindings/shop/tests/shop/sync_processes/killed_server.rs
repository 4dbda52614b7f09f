//! Shop computers whose program is killed during a sync.

use super::test_device::{TestDevice, assert_equal};
use crate::common::error_sentence;
use holebook_test_support::Proxy;
use holebook_test_support::lan::unused_port;
use holebook_test_support::namespaces::{isolated, run};
use std::thread;
use std::time::{Duration, Instant};

/// Waits until it has received that many bytes, ten seconds at most.
fn wait_for(proxy: &Proxy, bytes: u64) {
    let since = Instant::now();
    while proxy.bytes() < bytes && since.elapsed().as_secs() < 10 {
        thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn sync_whose_server_is_killed_is_finished_by_the_next() {
    isolated(sync_whose_server_is_killed_is_finished_by_the_next, || {
        let (shop, barn) = (TestDevice::new(), TestDevice::new());
        let port = unused_port();
        let mut open = shop.open(port);
        let proxy = Proxy::to(shop.address());
        barn.pair_at(&shop, proxy.address);
        let mut interrupted = 0;
        for round in 0..5 {
            for device in [&shop, &barn] {
                device.add_holes(20);
                device.add_photos(8);
            }
            let bytes = 2_000 + 300_000 * round;
            let end = proxy.bytes() + bytes;
            // So that the sync does not end before the server is killed.
            proxy.hold_after(bytes);
            let sync = barn.start_sync();
            wait_for(&proxy, end);
            // Dropping it kills it.
            drop(open);
            proxy.restore();
            let broken = sync.wait_with_output().unwrap();
            if !broken.status.success() {
                interrupted += 1;
                let why = error_sentence(&broken);
                assert!(why.contains("cannot be reached"), "{why}");
            }
            let gone = barn.sync_error();
            assert!(gone.contains("then sync again"), "{gone}");
            open = shop.open(port);
            barn.sync();
            assert_equal(&[&shop, &barn]);
        }
        assert!(interrupted >= 3, "only {interrupted} were killed during it");
    });
}

/// Two network cards with a link between them stand for the shop's network, since multicast DNS
/// does not run on loopback.
#[test]
fn restarted_server_on_another_port_is_found_by_its_key() {
    isolated(restarted_server_on_another_port_is_found_by_its_key, || {
        let link = [
            "link", "add", "name", "shop0", "type", "veth", "peer", "name", "barn0",
        ];
        run("ip", &link);
        run("ip", &["address", "add", "10.78.0.1/24", "dev", "shop0"]);
        for card in ["shop0", "barn0"] {
            run("ip", &["link", "set", card, "up"]);
        }
        let (shop, barn) = (TestDevice::new(), TestDevice::new());
        let open = shop.open(0);
        let before = shop.address();
        barn.pair(&shop);
        barn.add_holes(3);
        barn.add_photos(2);
        drop(open);
        let gone = barn.sync_error();
        assert!(gone.contains("nothing is listening there"), "{gone}");
        // Another computer has the old port now.
        let other = TestDevice::new();
        let _other = other.open(before.port());
        let _open = shop.open(0);
        assert_ne!(shop.address(), before);
        barn.sync();
        assert_equal(&[&shop, &barn]);
    });
}
