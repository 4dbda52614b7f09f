//! Bundles corrupted byte by byte: truncated, padded, and with changed bytes.

use super::*;
use crate::notebook::tests::{derived_tables, lines};
use crate::sync::bundle::{BundleError, BundleFlaw, import};
use crate::sync::{Bundle, SyncError, SyncReport};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

/// Imports a file with these bytes.
pub(super) fn import_bytes(
    dir: &TempDir,
    bytes: &[u8],
    into: &Notebook,
) -> Result<SyncReport, SyncError> {
    let path = dir.path().join("patched.zip");
    fs::write(&path, bytes).unwrap();
    import(into, &path, &ignore_progress)
}

/// What is wrong with a file with these bytes.
pub(super) fn flaw(dir: &TempDir, bytes: &[u8]) -> BundleFlaw {
    let path = dir.path().join("patched.zip");
    fs::write(&path, bytes).unwrap();
    let rejected = Bundle::open(&path).unwrap_err();
    assert!(
        rejected.to_string().ends_with("; ask for the bundle again"),
        "{rejected}"
    );
    match rejected {
        SyncError::Bundle(BundleError::Invalid { flaw: reason, .. }) => reason,
        other => panic!("{other}"),
    }
}

#[test]
fn bundle_truncated_anywhere_is_rejected() {
    let shop = BundleBench::new();
    let bytes = shop.bundle();
    for end in 0..bytes.len() {
        let flaw = flaw(&shop.dir, &bytes[..end]);
        let expected = if end < 4 {
            BundleFlaw::NotAZip
        } else {
            BundleFlaw::Truncated
        };
        assert_eq!(flaw, expected, "{end}");
    }
}

#[test]
fn data_before_or_after_the_content_is_rejected() {
    let shop = BundleBench::new();
    let bytes = shop.bundle();
    let program = [b"#!/bin/sh\nexit\n", &bytes[..]].concat();
    assert_eq!(flaw(&shop.dir, &program), BundleFlaw::NotAZip);
    let two = [&bytes[..], &bytes[..]].concat();
    let behind = [&bytes[..], b"\0"].concat();
    let mut comment = bytes.clone();
    let end = comment.len();
    comment[end - 2..].copy_from_slice(&5_u16.to_le_bytes());
    comment.extend(b"hello");
    for bytes in [two, behind, comment] {
        assert_eq!(flaw(&shop.dir, &bytes), BundleFlaw::Truncated);
    }
    assert_eq!(
        flaw(&shop.dir, b"%PDF-1.7 and so on, long enough"),
        BundleFlaw::NotAZip
    );
}

/// Whichever byte changes: no panic, no changed content is imported, and the notebook stays valid.
#[test]
fn any_changed_byte_is_handled() {
    let shop = BundleBench::new();
    let (bytes, written) = (shop.bundle(), lines(shop.notebook()));
    let mut runner = TestRunner::new(Config::with_cases(150));
    let changes = prop::collection::vec((0..bytes.len(), 1..=255_u8), 1..4);
    let law = |changes: Vec<(usize, u8)>| {
        let mut bytes = bytes.clone();
        for (at, by) in changes {
            bytes[at] ^= by;
        }
        let bench = Bench::new();
        if let Ok(report) = import_bytes(&shop.dir, &bytes, &bench.notebook) {
            let here = lines(&bench.notebook);
            prop_assert_eq!(here.len(), report.entries_pulled as usize);
            prop_assert!(here.is_empty() || here == written);
        }
        for photo in bench.notebook.photos().hashes().unwrap() {
            prop_assert!(bench.notebook.photos().verify(&photo).is_ok());
        }
        Ok(())
    };
    runner.run(&changes, law).unwrap();
}

/// As many files as the end record can count, without the zip64 one that some programs write then.
#[test]
fn a_file_of_65535_files_is_refused_for_their_number() {
    let shop = BundleBench::new();
    let mut bytes = shop.bundle();
    let end = bytes.len() - 22;
    bytes[end + 8..end + 12].fill(0xff);
    assert_eq!(flaw(&shop.dir, &bytes), BundleFlaw::TooManyFiles(65_535));
}

/// The zip64 end record, which programs write for large files.
#[test]
fn zip64_end_record_is_read_and_validated() {
    let shop = BundleBench::new();
    let large = with_zip64_end(&shop.bundle());
    let bench = Bench::new();
    let report = import_bytes(&shop.dir, &large, &bench.notebook).unwrap();
    assert_eq!((report.entries_pulled, report.problems), (4, vec![]));
    assert_eq!(
        derived_tables(&bench.notebook),
        derived_tables(shop.notebook())
    );
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
        assert_eq!(flaw(&shop.dir, &bytes), BundleFlaw::Truncated, "{what}");
    }
    let mut many = large;
    many[record + 24..record + 32].copy_from_slice(&u64::MAX.to_le_bytes());
    many[record + 32..record + 40].copy_from_slice(&u64::MAX.to_le_bytes());
    assert_eq!(flaw(&shop.dir, &many), BundleFlaw::TooManyFiles(u64::MAX));
}

fn with_zip64_end(bytes: &[u8]) -> Vec<u8> {
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
