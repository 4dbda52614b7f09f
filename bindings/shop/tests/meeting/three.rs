//! Three devices: a phone's notebook between two shop computers, and two devices at one shop computer at once.

use super::common::said;
use super::desk::{Desk, are_equal};
use holebook_tests::apart::apart;

#[test]
fn a_phone_brings_the_notes_of_two_shop_computers_together() {
    apart(
        a_phone_brings_the_notes_of_two_shop_computers_together,
        || {
            let (bench, mill, phone) = (Desk::new(), Desk::new(), Desk::new());
            let _open = [bench.open(0), mill.open(0)];
            for desk in [&bench, &mill, &phone] {
                desk.note(30);
                desk.photograph(3);
            }
            for shop in [&bench, &mill] {
                phone.pair(shop);
            }
            // What the second one has reaches the first one at the next turn.
            for _ in 0..2 {
                said(&phone.run(&["exchange"]));
            }
            are_equal(&[&bench, &mill, &phone]);
            assert_eq!(phone.ends().1.len(), 9);
        },
    );
}

#[test]
fn two_devices_that_exchange_at_the_same_moment_with_one_shop_computer_end_equal() {
    apart(
        two_devices_that_exchange_at_the_same_moment_with_one_shop_computer_end_equal,
        || {
            let (shop, barn, phone) = (Desk::new(), Desk::new(), Desk::new());
            let _open = shop.open(0);
            for device in [&barn, &phone] {
                device.pair(&shop);
            }
            for _ in 0..3 {
                for desk in [&shop, &barn, &phone] {
                    desk.note(100);
                    desk.photograph(4);
                }
                let both = [&barn, &phone].map(Desk::begin_to_exchange);
                for exchange in both {
                    said(&exchange.wait_with_output().unwrap());
                }
            }
            for device in [&barn, &phone] {
                device.exchange_well();
            }
            barn.exchange_well();
            are_equal(&[&shop, &barn, &phone]);
        },
    );
}
