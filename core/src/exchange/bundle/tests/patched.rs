//! Bundles changed byte by byte: cut short, padded, and with any byte another one.

use super::*;
use crate::exchange::bundle::{BundleError, Flaw, take_in};
use crate::exchange::{Bundle, ExchangeError, Report};
use crate::notebook::tests::{lines, worked_out};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

/// Takes in a file of these bytes.
pub(super) fn taken(dir: &TempDir, bytes: &[u8], into: &Notebook) -> Result<Report, ExchangeError> {
    let place = dir.path().join("patched.zip");
    fs::write(&place, bytes).unwrap();
    take_in(into, &place, &unwatched)
}

/// What is wrong with a file of these bytes.
pub(super) fn flaw(dir: &TempDir, bytes: &[u8]) -> Flaw {
    let place = dir.path().join("patched.zip");
    fs::write(&place, bytes).unwrap();
    let refused = Bundle::open(&place).unwrap_err();
    assert!(
        refused
            .to_string()
            .ends_with("; have the bundle sent again"),
        "{refused}"
    );
    match refused {
        ExchangeError::Bundle(BundleError::Unsound { why, .. }) => why,
        other => panic!("{other}"),
    }
}

#[test]
fn a_bundle_cut_short_anywhere_is_refused_whole() {
    let shop = Shop::new();
    let bytes = shop.bundle();
    for end in 0..bytes.len() {
        let flaw = flaw(&shop.dir, &bytes[..end]);
        let expected = if end < 4 {
            Flaw::NotAZip
        } else {
            Flaw::NotWhole
        };
        assert_eq!(flaw, expected, "{end}");
    }
}

#[test]
fn nothing_stands_before_or_behind_or_beside_the_content() {
    let shop = Shop::new();
    let bytes = shop.bundle();
    let program = [b"#!/bin/sh\nexit\n", &bytes[..]].concat();
    assert_eq!(flaw(&shop.dir, &program), Flaw::NotAZip);
    let two = [&bytes[..], &bytes[..]].concat();
    let behind = [&bytes[..], b"\0"].concat();
    let mut comment = bytes.clone();
    let end = comment.len();
    comment[end - 2..].copy_from_slice(&5_u16.to_le_bytes());
    comment.extend(b"hello");
    for bytes in [two, behind, comment] {
        assert_eq!(flaw(&shop.dir, &bytes), Flaw::NotWhole);
    }
    assert_eq!(
        flaw(&shop.dir, b"%PDF-1.7 and so on, long enough"),
        Flaw::NotAZip
    );
}

/// Whatever byte is another one: no panic, nothing of it is taken that was not written so, and the notebook stays sound.
#[test]
fn any_byte_may_be_another_one() {
    let shop = Shop::new();
    let (bytes, told) = (shop.bundle(), lines(shop.notebook()));
    let mut runner = TestRunner::new(Config::with_cases(150));
    let changes = prop::collection::vec((0..bytes.len(), 1..=255_u8), 1..4);
    let law = |changes: Vec<(usize, u8)>| {
        let mut bytes = bytes.clone();
        for (at, by) in changes {
            bytes[at] ^= by;
        }
        let bench = Bench::new();
        if let Ok(report) = taken(&shop.dir, &bytes, &bench.notebook) {
            let here = lines(&bench.notebook);
            prop_assert_eq!(here.len(), report.entries_taken);
            prop_assert!(here.is_empty() || here == told);
        }
        for photo in bench.notebook.photos().hashes().unwrap() {
            prop_assert!(bench.notebook.photos().verify(&photo).is_ok());
        }
        Ok(())
    };
    runner.run(&changes, law).unwrap();
}

/// The larger form of the end, as programs write it where there is much.
#[test]
fn the_larger_form_is_read_and_guarded_alike() {
    let shop = Shop::new();
    let large = with_large_end(&shop.bundle());
    let bench = Bench::new();
    let report = taken(&shop.dir, &large, &bench.notebook).unwrap();
    assert_eq!((report.entries_taken, report.problems), (4, vec![]));
    assert_eq!(worked_out(&bench.notebook), worked_out(shop.notebook()));
    let record = large.len() - 98;
    for (at, what) in [
        (0, "its mark"),
        (4, "its size"),
        (16, "volumes"),
        (24, "files here"),
        (40, "the list's size"),
        (48, "the list"),
        (56, "the locator's mark"),
        (64, "the record's place"),
    ] {
        let mut bytes = large.clone();
        bytes[record + at] ^= 1;
        assert_eq!(flaw(&shop.dir, &bytes), Flaw::NotWhole, "{what}");
    }
    let mut many = large;
    many[record + 24..record + 32].copy_from_slice(&u64::MAX.to_le_bytes());
    many[record + 32..record + 40].copy_from_slice(&u64::MAX.to_le_bytes());
    assert_eq!(flaw(&shop.dir, &many), Flaw::TooManyFiles(u64::MAX));
}

fn with_large_end(bytes: &[u8]) -> Vec<u8> {
    let (content, end) = bytes.split_at(bytes.len() - 22);
    let files = u64::from(u16::from_le_bytes(end[10..12].try_into().unwrap()));
    let four = |at: usize| u64::from(u32::from_le_bytes(end[at..at + 4].try_into().unwrap()));
    let (list_bytes, list) = (four(12), four(16));
    let mut large = content.to_vec();
    large.extend(b"PK\x06\x06");
    large.extend(44_u64.to_le_bytes());
    large.extend([45, 0, 45, 0]);
    large.extend([0; 8]);
    for number in [files, files, list_bytes, list] {
        large.extend(number.to_le_bytes());
    }
    large.extend(b"PK\x06\x07\0\0\0\0");
    large.extend((content.len() as u64).to_le_bytes());
    large.extend(1_u32.to_le_bytes());
    large.extend(b"PK\x05\x06\0\0\0\0");
    large.extend([0xff; 12]);
    large.extend([0; 2]);
    large
}
