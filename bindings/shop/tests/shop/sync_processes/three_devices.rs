//! Three devices: a phone between two shop computers, and two devices that sync with one at once.

use super::test_device::{TestDevice, assert_equal};
use crate::common::stdout;
use holebook_test_support::namespaces::isolated;

#[test]
fn phone_syncs_two_shop_computers_with_each_other() {
    isolated(phone_syncs_two_shop_computers_with_each_other, || {
        let (bench, mill, phone) = (TestDevice::new(), TestDevice::new(), TestDevice::new());
        let _open = [bench.open(0), mill.open(0)];
        for device in [&bench, &mill, &phone] {
            device.add_holes(30);
            device.add_photos(3);
        }
        for shop in [&bench, &mill] {
            phone.pair(shop);
        }
        // The second one's entries reach the first one by the next sync.
        for _ in 0..2 {
            stdout(&phone.run(&["sync"]));
        }
        assert_equal(&[&bench, &mill, &phone]);
        assert_eq!(phone.contents().1.len(), 9);
    });
}

#[test]
fn two_devices_that_sync_with_a_shop_computer_at_once_end_equal() {
    isolated(
        two_devices_that_sync_with_a_shop_computer_at_once_end_equal,
        || {
            let (shop, barn, phone) = (TestDevice::new(), TestDevice::new(), TestDevice::new());
            let _open = shop.open(0);
            for device in [&barn, &phone] {
                device.pair(&shop);
            }
            for _ in 0..3 {
                for device in [&shop, &barn, &phone] {
                    device.add_holes(100);
                    device.add_photos(4);
                }
                let both = [&barn, &phone].map(TestDevice::start_sync);
                for sync in both {
                    stdout(&sync.wait_with_output().unwrap());
                }
            }
            for device in [&barn, &phone] {
                device.sync();
            }
            barn.sync();
            assert_equal(&[&shop, &barn, &phone]);
        },
    );
}
