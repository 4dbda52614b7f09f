//! Full disks: one sentence, nothing lost, and the next sync succeeds when there is space.

use super::test_device::{Code, TestDevice, assert_equal};
use crate::common::{error_sentence, stdout};
use holebook_test_support::namespaces::{isolated, run};
use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::PathBuf;

/// The size of an empty notebook, and some hundred kilobytes.
const SMALL: &str = "size=1500k";
const LARGE: &str = "remount,size=100m";

/// Mounts a small disk for the notebook. Only this test sees it.
fn mount_small_disk(device: &TestDevice) {
    mount(device, &["-t", "tmpfs", "-o", SMALL, "none"]);
}

fn enlarge_disk(device: &TestDevice) {
    mount(device, &["-o", LARGE]);
}

fn mount(device: &TestDevice, options: &[&str]) {
    let folder = device.folder().to_str().unwrap();
    run("mount", &[options, &[folder]].concat());
}

/// More photos than fit a small disk.
fn many_photos(device: &TestDevice) {
    device.add_photos(30);
}

/// More entries than fit a small disk.
fn many_entries(device: &TestDevice) {
    device.add_long_notes(300);
}

/// The device's disk is small, and the shop computer has more than fits.
fn device_is_full(fill: fn(&TestDevice), error: &str) {
    let (shop, barn) = (TestDevice::new(), TestDevice::new());
    mount_small_disk(&barn);
    shop.add_holes(10);
    fill(&shop);
    let _open = shop.open(0);
    barn.add_holes(2);
    barn.pair(&shop);
    let own = barn.contents().0;
    for _ in 0..2 {
        let why = barn.sync_error();
        assert!(why.contains(error), "{why}");
        assert!(why.contains(barn.folder().to_str().unwrap()), "{why}");
        let there = barn.contents().0;
        assert!(own.iter().all(|head| there.contains(head)));
        barn.assert_valid();
    }
    enlarge_disk(&barn);
    barn.sync();
    assert_equal(&[&shop, &barn]);
}

/// The shop computer's disk is small, and the device has more than fits.
fn shop_is_full(fill: fn(&TestDevice)) {
    let (shop, barn) = (TestDevice::new(), TestDevice::new());
    mount_small_disk(&shop);
    barn.add_holes(10);
    fill(&barn);
    shop.add_holes(2);
    let _open = shop.open(0);
    barn.pair(&shop);
    let own = shop.contents().0;
    for _ in 0..2 {
        let why = barn.sync_error();
        assert!(
            why.contains("the shop computer Shop computer is full"),
            "{why}"
        );
        let there = shop.contents().0;
        assert!(own.iter().all(|head| there.contains(head)));
        shop.assert_valid();
    }
    enlarge_disk(&shop);
    barn.sync();
    assert_equal(&[&shop, &barn]);
}

#[test]
fn device_whose_disk_is_full_of_photos_says_so_and_continues_with_space() {
    isolated(
        device_whose_disk_is_full_of_photos_says_so_and_continues_with_space,
        || {
            device_is_full(many_photos, "there is no space left for photos");
        },
    );
}

#[test]
fn device_whose_disk_is_full_of_entries_says_so_and_continues_with_space() {
    isolated(
        device_whose_disk_is_full_of_entries_says_so_and_continues_with_space,
        || {
            device_is_full(many_entries, "is full, so nothing was recorded");
        },
    );
}

#[test]
fn shop_computer_whose_disk_is_full_of_photos_is_reported_and_continues_with_space() {
    isolated(
        shop_computer_whose_disk_is_full_of_photos_is_reported_and_continues_with_space,
        || {
            shop_is_full(many_photos);
        },
    );
}

#[test]
fn shop_computer_whose_disk_is_full_of_entries_is_reported_and_continues_with_space() {
    isolated(
        shop_computer_whose_disk_is_full_of_entries_is_reported_and_continues_with_space,
        || {
            shop_is_full(many_entries);
        },
    );
}

/// Fills a small disk to its last byte with an incomplete photo, and returns that file.
fn fill_disk(device: &TestDevice) -> PathBuf {
    let file = device.folder().join("photos/.incoming-fill");
    let full = io::copy(&mut io::repeat(0), &mut File::create(&file).unwrap());
    assert_eq!(full.unwrap_err().kind(), ErrorKind::StorageFull);
    file
}

#[test]
fn device_with_a_completely_full_disk_says_so() {
    isolated(device_with_a_completely_full_disk_says_so, || {
        let (shop, barn) = (TestDevice::new(), TestDevice::new());
        mount_small_disk(&barn);
        shop.add_holes(10);
        let _open = shop.open(0);
        barn.add_holes(2);
        barn.pair(&shop);
        let fill = fill_disk(&barn);
        let why = barn.sync_error();
        assert!(why.contains("is full, so nothing was recorded"), "{why}");
        fs::remove_file(fill).unwrap();
        barn.sync();
        assert_equal(&[&shop, &barn]);
    });
}

#[test]
fn pairing_with_a_shop_computer_whose_disk_is_full_says_so_and_the_code_stays_valid() {
    isolated(
        pairing_with_a_shop_computer_whose_disk_is_full_says_so_and_the_code_stays_valid,
        || {
            let (shop, barn) = (TestDevice::new(), TestDevice::new());
            mount_small_disk(&shop);
            shop.add_holes(2);
            let _open = shop.open(0);
            let code = Code::of(&shop);
            let fill = fill_disk(&shop);
            let why = error_sentence(&barn.run(&["pair", "--code", &code.link]));
            assert!(why.contains("its disk may be full"), "{why}");
            fs::remove_file(fill).unwrap();
            stdout(&barn.run(&["pair", "--code", &code.link]));
            barn.sync();
            assert_equal(&[&shop, &barn]);
        },
    );
}
