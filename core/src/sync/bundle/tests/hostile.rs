//! Bundles made with bad intent, or by other programs.

use super::corrupted::{flaw, import_bytes};
use super::*;
use crate::notebook::tests::{derived_tables, lines};
use crate::sync::bundle::BundleFlaw;
use crate::sync::{Bundle, Remote, Segment, SyncError, SyncReport};
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const DEFLATED: CompressionMethod = CompressionMethod::Deflated;
const STORED: CompressionMethod = CompressionMethod::Stored;

/// A zip file with these files.
fn packed(files: &[(String, Vec<u8>, CompressionMethod)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes, method) in files {
        let options = SimpleFileOptions::default().compression_method(*method);
        zip.start_file(name, options).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The bench's lines and photo as they are in a bundle.
fn content(shop: &BundleBench) -> [(String, Vec<u8>, CompressionMethod); 2] {
    let written = lines(shop.notebook());
    let last = written.last().unwrap();
    let head = crate::notebook::Head {
        device: last.entry().device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let text: String = written
        .iter()
        .flat_map(|line| [line.text(), "\n"])
        .collect();
    let photo = fs::read(shop.notebook().photos().original(&shop.photo)).unwrap();
    [
        (
            Segment::ending_at(&head, 1).to_string(),
            text.into_bytes(),
            DEFLATED,
        ),
        (format!("photos/{}", shop.photo), photo, STORED),
    ]
}

/// Changes all of `from` to `to`, of the same length.
fn replaced(bytes: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    assert_eq!(from.len(), to.len());
    let mut bytes = bytes.to_vec();
    let mut at = 0;
    while let Some(found) = memchr::memmem::find(&bytes[at..], from) {
        bytes[at + found..at + found + from.len()].copy_from_slice(to);
        at += found + from.len();
    }
    assert!(at > 0, "it is there");
    bytes
}

/// Offsets of the headers of a file: in the central directory, and before its content.
fn heads(bytes: &[u8], name: &str) -> [usize; 2] {
    let find = |mark: &[u8], size: usize| {
        memchr::memmem::find_iter(bytes, name.as_bytes())
            .filter_map(|at| at.checked_sub(size))
            .find(|at| bytes[*at..].starts_with(mark))
            .unwrap()
    };
    [find(b"PK\x01\x02", 46), find(b"PK\x03\x04", 30)]
}

/// Imports a bundle of which only the valid part may be imported; returns the report.
fn import_valid_part(shop: &BundleBench, bytes: &[u8], expected: (u32, u32)) -> SyncReport {
    let bench = Bench::new();
    let report = import_bytes(&shop.dir, bytes, &bench.notebook).unwrap();
    assert_eq!(
        (report.entries_pulled, report.photos_pulled),
        expected,
        "{report:?}"
    );
    assert!(
        bench
            .notebook
            .verify()
            .unwrap()
            .findings
            .iter()
            .all(|finding| { matches!(finding, crate::notebook::Finding::PhotoMissing { .. }) })
    );
    report
}

fn assert_reported(report: &SyncReport, reason: &str) {
    assert!(
        report
            .problems
            .iter()
            .any(|problem| problem.reason.contains(reason)),
        "{report:?}"
    );
}

#[test]
fn folder_remote_zipped_by_another_program_is_a_bundle() {
    let shop = BundleBench::new();
    let [(name, text, _), (photo_name, photo, _)] = content(&shop);
    let folder = format!("{}/", name.rsplit_once('/').unwrap().0);
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for folder in ["journal/", &folder, "photos/"] {
        zip.add_directory(folder, SimpleFileOptions::default())
            .unwrap();
    }
    for (name, bytes) in [(name, text), (photo_name, photo)] {
        let options = zip::write::FullFileOptions::default().with_file_comment("by other means");
        zip.start_file(name, options.compression_method(DEFLATED))
            .unwrap();
        zip.write_all(&bytes).unwrap();
    }
    let bench = Bench::new();
    let bytes = zip.finish().unwrap().into_inner();
    let report = import_bytes(&shop.dir, &bytes, &bench.notebook).unwrap();
    assert_eq!((report.problems, report.photos_pulled), (vec![], 1));
    assert_eq!(
        derived_tables(&bench.notebook),
        derived_tables(shop.notebook())
    );
}

#[test]
fn unknown_names_never_become_paths() {
    let shop = BundleBench::new();
    let bait = shop.path("bait");
    let photo = shop.photo;
    let names = [
        "../bait".to_owned(),
        format!("photos/../../{photo}"),
        format!("/photos/{photo}"),
        format!("photos\\{photo}"),
        format!("./photos/{photo}"),
        format!("photos/{}", photo.to_string().to_uppercase()),
        format!("photos/{photo}/"),
        format!("{}", bait.display()),
        "C:\\bait".to_owned(),
        "journal/../bait".to_owned(),
        "journal/nobody/000000000001-000000000004-0123456789abcdef.jsonl".to_owned(),
        "\u{1b}[2J\u{202e}gpj.bait".to_owned(),
        "x".repeat(4_000),
        String::new(),
    ];
    let bad = names.clone().map(|name| (name, b"bait".to_vec(), STORED));
    let bytes = packed(&[&bad[..], &content(&shop)].concat());
    let report = import_valid_part(&shop, &bytes, (4, 1));
    assert_eq!(report.problems.len(), names.len());
    assert_reported(&report, "neither a journal segment nor a photo");
    let said: String = report.problems.iter().map(ToString::to_string).collect();
    assert!(
        !said.contains(['\u{1b}', '\u{202e}']) && said.len() < 6000,
        "{said}"
    );
    assert!(!bait.exists() && !shop.dir.path().join("../bait").exists());
}

#[test]
fn many_unknown_names_are_summarized() {
    let shop = BundleBench::new();
    let strange = (0..2000).map(|at| (format!("strange{at}"), vec![], STORED));
    let files: Vec<_> = strange.chain(content(&shop)).collect();
    let report = import_valid_part(&shop, &packed(&files), (4, 1));
    assert_eq!(report.problems.len(), 51);
    assert_eq!(report.problems[50].file, "1950 more files");
}

#[test]
fn duplicate_names_and_overlapping_files_are_rejected() {
    let shop = BundleBench::new();
    let [lines, photo] = content(&shop);
    let other = format!("photos/{}", PhotoHash::of(b"other"));
    let twin = (other.clone(), b"other".to_vec(), STORED);
    let bytes = packed(&[lines, photo.clone(), twin]);
    let same = replaced(&bytes, other.as_bytes(), photo.0.as_bytes());
    assert_eq!(flaw(&shop.dir, &same), BundleFlaw::DuplicateNames);
    let [first, _] = heads(&bytes, &photo.0);
    let [second, _] = heads(&bytes, &other);
    let mut over = bytes.clone();
    let path = bytes[first + 42..first + 46].to_vec();
    over[second + 42..second + 46].copy_from_slice(&path);
    assert_eq!(flaw(&shop.dir, &over), BundleFlaw::Overlap);
}

#[test]
fn encrypted_linked_and_unsupported_files_are_skipped() {
    let shop = BundleBench::new();
    let bytes = packed(&content(&shop));
    let name = format!("photos/{}", shop.photo);
    let [list, local] = heads(&bytes, &name);
    let patched = |list_at: usize, local_at: Option<usize>, to: &[u8]| {
        let mut bytes = bytes.clone();
        bytes[list + list_at..list + list_at + to.len()].copy_from_slice(to);
        if let Some(at) = local_at {
            bytes[local + at..local + at + to.len()].copy_from_slice(to);
        }
        bytes
    };
    let link = 0o120_777_u32 << 16;
    for (bytes, reason) in [
        (patched(8, Some(6), &[1, 0]), "password-protected"),
        (
            patched(10, Some(8), &[12, 0]),
            "compression method is not supported",
        ),
        (patched(38, None, &link.to_le_bytes()), "a link"),
        (patched(24, Some(22), &[9, 0, 0, 0]), "sizes differ"),
    ] {
        assert_reported(&import_valid_part(&shop, &bytes, (4, 0)), reason);
    }
}

#[test]
fn files_that_unpack_to_more_than_declared_or_allowed_are_rejected() {
    let shop = BundleBench::new();
    let [lines, photo] = content(&shop);
    let zeros = vec![0; 8 << 20];
    let bomb = packed(&[lines.clone(), (photo.0.clone(), zeros.clone(), DEFLATED)]);
    assert_reported(
        &import_valid_part(&shop, &bomb, (4, 0)),
        "more than 100 times its size",
    );
    let bomb = packed(&[(lines.0.clone(), zeros, DEFLATED), photo.clone()]);
    assert_reported(
        &import_valid_part(&shop, &bomb, (0, 0)),
        "it is larger than",
    );
    // It declares to be small, and is not.
    let mut text = lines.1.clone();
    text.resize(3 << 20, b' ');
    for (name, bytes) in [(&lines.0, text), (&photo.0, vec![7; 3 << 20])] {
        let mut zip = packed(&[(name.clone(), bytes, DEFLATED)]);
        let [list, local] = heads(&zip, name);
        let small = 5000_u32.to_le_bytes();
        zip[list + 24..list + 28].copy_from_slice(&small);
        zip[local + 22..local + 26].copy_from_slice(&small);
        let path = shop.path("small.zip");
        fs::write(&path, &zip).unwrap();
        let bundle = Bundle::open(&path).unwrap();
        let listing = bundle.list(None).unwrap().unwrap();
        let mut came = Vec::new();
        let rejected = match listing.segments.first() {
            Some(segment) => bundle.pull_lines(segment, 1).unwrap_err(),
            None => bundle.pull_photo(&shop.photo, &mut came).unwrap_err(),
        };
        assert!(matches!(rejected, SyncError::File(_)), "{rejected}");
        assert!(came.len() <= 5001, "{}", came.len());
    }
}

#[test]
fn limits_are_checked_before_unpacking() {
    let shop = BundleBench::new();
    let bytes = packed(&content(&shop));
    let mut many = bytes.clone();
    let end = many.len() - 22;
    for at in [8, 10] {
        many[end + at..end + at + 2].copy_from_slice(&50_001_u16.to_le_bytes());
    }
    assert_eq!(flaw(&shop.dir, &many), BundleFlaw::TooManyFiles(50_001));
    // Six hundred segments, each of an allowed size.
    let chunk = vec![b' '; 5_000_000];
    let [(name, _, _), _] = content(&shop);
    let folder = name.rsplit_once('/').unwrap().0;
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(DEFLATED)
        .compression_level(Some(1));
    let first = format!("{folder}/000000000001-000000000002-0123456789abcdef.jsonl");
    zip.start_file(&first, options).unwrap();
    zip.write_all(&chunk).unwrap();
    let mut archive = zip.finish_into_readable().unwrap();
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for at in 1..=600 {
        let name = format!("{folder}/{at:012}-{:012}-0123456789abcdef.jsonl", at + 1);
        zip.raw_copy_file_rename(archive.by_index_raw(0).unwrap(), name)
            .unwrap();
    }
    let bytes = zip.finish().unwrap().into_inner();
    assert!(bytes.len() < 20 << 20);
    assert_eq!(flaw(&shop.dir, &bytes), BundleFlaw::TooManyLines);
}

#[test]
fn damaged_files_are_skipped_and_the_rest_is_imported() {
    let shop = BundleBench::new();
    let [lines, photo] = content(&shop);
    // One bit of the photo: the checksum fails.
    let mut bytes = packed(&[lines.clone(), photo.clone()]);
    let [_, local] = heads(&bytes, &photo.0);
    bytes[local + 30 + photo.0.len() + 100] ^= 1;
    assert_reported(&import_valid_part(&shop, &bytes, (4, 0)), "damaged");
    // Another photo, or a zip file, with a valid checksum: the name does not match.
    for other in [b"another".to_vec(), bytes] {
        let swapped = packed(&[lines.clone(), (photo.0.clone(), other, STORED)]);
        assert_reported(
            &import_valid_part(&shop, &swapped, (4, 0)),
            "its content has changed",
        );
    }
    // Other lines under the name, and truncated lines.
    for text in [
        b"{}\n".to_vec(),
        lines.1[..lines.1.len() - 1].to_vec(),
        vec![0xff; 10],
        vec![],
    ] {
        let swapped = packed(&[(lines.0.clone(), text, DEFLATED), photo.clone()]);
        assert_eq!(import_valid_part(&shop, &swapped, (0, 0)).problems.len(), 1);
    }
    // The local header names something else.
    let mut bytes = packed(&[lines, photo.clone()]);
    let [_, local] = heads(&bytes, &photo.0);
    bytes[local + 30] = b'q';
    assert_reported(&import_valid_part(&shop, &bytes, (4, 0)), "damaged");
}

#[test]
fn photo_that_no_entry_names_is_not_imported() {
    let shop = BundleBench::new();
    let [lines, photo] = content(&shop);
    let zip = packed(std::slice::from_ref(&lines));
    let stray = (format!("photos/{}", PhotoHash::of(&zip)), zip, STORED);
    let report = import_valid_part(&shop, &packed(&[lines, photo, stray]), (4, 1));
    assert_eq!(report.problems, []);
}

#[test]
fn folders_missing_files_and_empty_zips() {
    let shop = BundleBench::new();
    let rejected = Bundle::open(shop.dir.path()).unwrap_err().to_string();
    assert!(rejected.contains("it is not a file"), "{rejected}");
    let rejected = Bundle::open(&shop.path("none.zip"))
        .unwrap_err()
        .to_string();
    assert!(rejected.contains("none.zip ("), "{rejected}");
    let empty = packed(&[]);
    assert_eq!(
        import_valid_part(&shop, &empty, (0, 0)),
        SyncReport::default()
    );
}

#[test]
fn bundle_is_read_only() {
    let shop = BundleBench::new();
    let path = shop.path("all.zip");
    fs::write(&path, shop.bundle()).unwrap();
    let bundle = Bundle::open(&path).unwrap();
    shop.record_depth(30.0);
    let rejected = crate::sync::sync_with(shop.notebook(), &bundle, &ignore_progress).unwrap_err();
    assert!(
        rejected
            .to_string()
            .contains("is a bundle, which is read-only"),
        "{rejected}"
    );
    assert_eq!(shop.notebook().entries_not_synced().unwrap(), 5);
}
