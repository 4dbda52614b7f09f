//! Disks that are full: one sentence, nothing lost, and it goes on when there is room.

use super::common::{said, sentence};
use super::desk::{Code, Desk, are_equal};
use holebook_tests::apart::{apart, run};
use std::fs::{self, File};
use std::io::{self, ErrorKind};
use std::path::PathBuf;

/// What a notebook takes before there is anything in it, and some hundred kilobytes.
const SMALL: &str = "size=1500k";
const LARGE: &str = "remount,size=100m";

/// Gives the notebook a small disk of its own. Only this test sees it.
fn on_a_small_disk(desk: &Desk) {
    mount(desk, &["-t", "tmpfs", "-o", SMALL, "none"]);
}

fn make_room(desk: &Desk) {
    mount(desk, &["-o", LARGE]);
}

fn mount(desk: &Desk, words: &[&str]) {
    let folder = desk.folder().to_str().unwrap();
    run("mount", &[words, &[folder]].concat());
}

/// More photos than a small disk holds.
fn many_photos(desk: &Desk) {
    desk.photograph(30);
}

/// More entries than a small disk holds.
fn many_entries(desk: &Desk) {
    desk.write_at_length(300);
}

/// The device's disk is small, and the shop computer has more than goes onto it.
fn device_is_full(fill: fn(&Desk), said: &str) {
    let (shop, barn) = (Desk::new(), Desk::new());
    on_a_small_disk(&barn);
    shop.note(10);
    fill(&shop);
    let _open = shop.open(0);
    barn.note(2);
    barn.pair(&shop);
    let own = barn.ends().0;
    for _ in 0..2 {
        let why = barn.is_refused();
        assert!(why.contains(said), "{why}");
        assert!(why.contains(barn.folder().to_str().unwrap()), "{why}");
        let there = barn.ends().0;
        assert!(own.iter().all(|head| there.contains(head)));
        barn.is_sound();
    }
    make_room(&barn);
    barn.exchange_well();
    are_equal(&[&shop, &barn]);
}

/// The shop computer's disk is small, and the device has more than goes onto it.
fn shop_is_full(fill: fn(&Desk)) {
    let (shop, barn) = (Desk::new(), Desk::new());
    on_a_small_disk(&shop);
    barn.note(10);
    fill(&barn);
    shop.note(2);
    let _open = shop.open(0);
    barn.pair(&shop);
    let own = shop.ends().0;
    for _ in 0..2 {
        let why = barn.is_refused();
        assert!(
            why.contains("the shop computer Shop computer is full"),
            "{why}"
        );
        let there = shop.ends().0;
        assert!(own.iter().all(|head| there.contains(head)));
        shop.is_sound();
    }
    make_room(&shop);
    barn.exchange_well();
    are_equal(&[&shop, &barn]);
}

#[test]
fn a_device_whose_disk_photos_fill_says_so_and_goes_on_when_there_is_room() {
    apart(
        a_device_whose_disk_photos_fill_says_so_and_goes_on_when_there_is_room,
        || {
            device_is_full(many_photos, "there is no room left for photos");
        },
    );
}

#[test]
fn a_device_whose_disk_entries_fill_says_so_and_goes_on_when_there_is_room() {
    apart(
        a_device_whose_disk_entries_fill_says_so_and_goes_on_when_there_is_room,
        || {
            device_is_full(many_entries, "is full, so nothing was recorded");
        },
    );
}

#[test]
fn a_shop_computer_whose_disk_photos_fill_has_the_device_say_so_and_goes_on_when_there_is_room() {
    apart(
        a_shop_computer_whose_disk_photos_fill_has_the_device_say_so_and_goes_on_when_there_is_room,
        || {
            shop_is_full(many_photos);
        },
    );
}

#[test]
fn a_shop_computer_whose_disk_entries_fill_has_the_device_say_so_and_goes_on_when_there_is_room() {
    apart(a_shop_computer_whose_disk_entries_fill_has_the_device_say_so_and_goes_on_when_there_is_room, || {
        shop_is_full(many_entries);
    });
}

/// Fills a small disk to its last byte with a photo that does not come whole; gives the file.
fn fill_up(desk: &Desk) -> PathBuf {
    let file = desk.folder().join("photos/.incoming-fill");
    let full = io::copy(&mut io::repeat(0), &mut File::create(&file).unwrap());
    assert_eq!(full.unwrap_err().kind(), ErrorKind::StorageFull);
    file
}

#[test]
fn a_device_with_no_byte_of_room_says_that_its_disk_is_full() {
    apart(
        a_device_with_no_byte_of_room_says_that_its_disk_is_full,
        || {
            let (shop, barn) = (Desk::new(), Desk::new());
            on_a_small_disk(&barn);
            shop.note(10);
            let _open = shop.open(0);
            barn.note(2);
            barn.pair(&shop);
            let fill = fill_up(&barn);
            let why = barn.is_refused();
            assert!(why.contains("is full, so nothing was recorded"), "{why}");
            fs::remove_file(fill).unwrap();
            barn.exchange_well();
            are_equal(&[&shop, &barn]);
        },
    );
}

#[test]
fn a_shop_computer_with_no_byte_of_room_has_the_device_that_pairs_say_so_and_the_code_stays_good() {
    apart(a_shop_computer_with_no_byte_of_room_has_the_device_that_pairs_say_so_and_the_code_stays_good, || {
        let (shop, barn) = (Desk::new(), Desk::new());
        on_a_small_disk(&shop);
        shop.note(2);
        let _open = shop.open(0);
        let code = Code::of(&shop);
        let fill = fill_up(&shop);
        let why = sentence(&barn.run(&["pair", "--code", &code.link]));
        assert!(why.contains("as its disk is full or"), "{why}");
        fs::remove_file(fill).unwrap();
        said(&barn.run(&["pair", "--code", &code.link]));
        barn.exchange_well();
        are_equal(&[&shop, &barn]);
    });
}
