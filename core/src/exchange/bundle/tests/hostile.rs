//! Bundles that somebody made with ill will, or by other means.

use super::patched::{flaw, taken};
use super::*;
use crate::exchange::bundle::Flaw;
use crate::exchange::{Bundle, ExchangeError, Report, Shelf, Stretch};
use crate::notebook::tests::{lines, worked_out};
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const DEFLATED: CompressionMethod = CompressionMethod::Deflated;
const STORED: CompressionMethod = CompressionMethod::Stored;

/// A zip file of these files.
fn packed(files: &[(String, Vec<u8>, CompressionMethod)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes, method) in files {
        let options = SimpleFileOptions::default().compression_method(*method);
        zip.start_file(name, options).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The shop's lines and photo as they stand in a bundle.
fn content(shop: &Shop) -> [(String, Vec<u8>, CompressionMethod); 2] {
    let told = lines(shop.notebook());
    let last = told.last().unwrap();
    let head = crate::notebook::Head {
        device: last.entry().device,
        seq: last.entry().seq,
        hash: last.hash(),
    };
    let text: String = told.iter().flat_map(|line| [line.text(), "\n"]).collect();
    let photo = fs::read(shop.notebook().photos().original(&shop.photo)).unwrap();
    [
        (
            Stretch::to(&head, 1).to_string(),
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

/// Where the heads of a file stand that is named so: in the list, and before its content.
fn heads(bytes: &[u8], name: &str) -> [usize; 2] {
    let find = |mark: &[u8], size: usize| {
        memchr::memmem::find_iter(bytes, name.as_bytes())
            .filter_map(|at| at.checked_sub(size))
            .find(|at| bytes[*at..].starts_with(mark))
            .unwrap()
    };
    [find(b"PK\x01\x02", 46), find(b"PK\x03\x04", 30)]
}

/// What was told of a bundle of which the notebook took nothing but what is sound.
fn sound_part(shop: &Shop, bytes: &[u8], taken_of_it: (usize, usize)) -> Report {
    let bench = Bench::new();
    let report = taken(&shop.dir, bytes, &bench.notebook).unwrap();
    assert_eq!(
        (report.entries_taken, report.photos_taken),
        taken_of_it,
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

fn told(report: &Report, why: &str) {
    assert!(
        report
            .problems
            .iter()
            .any(|problem| problem.why.contains(why)),
        "{report:?}"
    );
}

#[test]
fn a_shelfs_folder_packed_by_other_means_is_a_bundle() {
    let shop = Shop::new();
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
    let report = taken(&shop.dir, &bytes, &bench.notebook).unwrap();
    assert_eq!((report.problems, report.photos_taken), (vec![], 1));
    assert_eq!(worked_out(&bench.notebook), worked_out(shop.notebook()));
}

#[test]
fn other_names_are_never_paths() {
    let shop = Shop::new();
    let bait = shop.place("bait");
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
    let report = sound_part(&shop, &bytes, (4, 1));
    assert_eq!(report.problems.len(), names.len());
    told(&report, "neither lines of a journal nor a photo");
    let said: String = report.problems.iter().map(ToString::to_string).collect();
    assert!(
        !said.contains(['\u{1b}', '\u{202e}']) && said.len() < 6000,
        "{said}"
    );
    assert!(!bait.exists() && !shop.dir.path().join("../bait").exists());
}

#[test]
fn many_strange_names_are_told_in_few_words() {
    let shop = Shop::new();
    let strange = (0..2000).map(|at| (format!("strange{at}"), vec![], STORED));
    let files: Vec<_> = strange.chain(content(&shop)).collect();
    let report = sound_part(&shop, &packed(&files), (4, 1));
    assert_eq!(report.problems.len(), 51);
    assert_eq!(report.problems[50].file, "1950 more files");
}

#[test]
fn two_files_of_one_name_or_over_each_other_are_refused_whole() {
    let shop = Shop::new();
    let [lines, photo] = content(&shop);
    let other = format!("photos/{}", PhotoHash::of(b"other"));
    let twin = (other.clone(), b"other".to_vec(), STORED);
    let bytes = packed(&[lines, photo.clone(), twin]);
    let same = replaced(&bytes, other.as_bytes(), photo.0.as_bytes());
    assert_eq!(flaw(&shop.dir, &same), Flaw::SameNames);
    let [first, _] = heads(&bytes, &photo.0);
    let [second, _] = heads(&bytes, &other);
    let mut over = bytes.clone();
    let place = bytes[first + 42..first + 46].to_vec();
    over[second + 42..second + 46].copy_from_slice(&place);
    assert_eq!(flaw(&shop.dir, &over), Flaw::Overlap);
}

#[test]
fn locked_files_links_and_other_packings_are_left_and_the_rest_is_taken() {
    let shop = Shop::new();
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
    for (bytes, why) in [
        (patched(8, Some(6), &[1, 0]), "locked with a password"),
        (
            patched(10, Some(8), &[12, 0]),
            "packed in a way that is not read here",
        ),
        (patched(38, None, &link.to_le_bytes()), "a link"),
        (patched(24, Some(22), &[9, 0, 0, 0]), "sizes contradict"),
    ] {
        told(&sound_part(&shop, &bytes, (4, 0)), why);
    }
}

#[test]
fn what_unpacks_to_more_than_it_says_or_may_is_not_unpacked() {
    let shop = Shop::new();
    let [lines, photo] = content(&shop);
    let zeros = vec![0; 8 << 20];
    let bomb = packed(&[lines.clone(), (photo.0.clone(), zeros.clone(), DEFLATED)]);
    told(
        &sound_part(&shop, &bomb, (4, 0)),
        "more than 100 times its size",
    );
    let bomb = packed(&[(lines.0.clone(), zeros, DEFLATED), photo.clone()]);
    told(&sound_part(&shop, &bomb, (0, 0)), "it is larger than");
    // It says that it is small, and is not.
    let mut text = lines.1.clone();
    text.resize(3 << 20, b' ');
    for (name, bytes) in [(&lines.0, text), (&photo.0, vec![7; 3 << 20])] {
        let mut zip = packed(&[(name.clone(), bytes, DEFLATED)]);
        let [list, local] = heads(&zip, name);
        let small = 5000_u32.to_le_bytes();
        zip[list + 24..list + 28].copy_from_slice(&small);
        zip[local + 22..local + 26].copy_from_slice(&small);
        let place = shop.place("small.zip");
        fs::write(&place, &zip).unwrap();
        let bundle = Bundle::open(&place).unwrap();
        let survey = bundle.survey(None).unwrap().unwrap();
        let mut came = Vec::new();
        let refused = match survey.stretches.first() {
            Some(stretch) => bundle.lines(stretch, 1).unwrap_err(),
            None => bundle.photo(&shop.photo, &mut came).unwrap_err(),
        };
        assert!(matches!(refused, ExchangeError::File(_)), "{refused}");
        assert!(came.len() <= 5001, "{}", came.len());
    }
}

#[test]
fn too_much_is_refused_before_it_is_looked_at() {
    let shop = Shop::new();
    let bytes = packed(&content(&shop));
    let mut many = bytes.clone();
    let end = many.len() - 22;
    for at in [8, 10] {
        many[end + at..end + at + 2].copy_from_slice(&50_001_u16.to_le_bytes());
    }
    assert_eq!(flaw(&shop.dir, &many), Flaw::TooManyFiles(50_001));
    // Six hundred pieces, each of a size that a piece may have.
    let piece = vec![b' '; 5_000_000];
    let [(name, _, _), _] = content(&shop);
    let folder = name.rsplit_once('/').unwrap().0;
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(DEFLATED)
        .compression_level(Some(1));
    let first = format!("{folder}/000000000001-000000000002-0123456789abcdef.jsonl");
    zip.start_file(&first, options).unwrap();
    zip.write_all(&piece).unwrap();
    let mut archive = zip.finish_into_readable().unwrap();
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for at in 1..=600 {
        let name = format!("{folder}/{at:012}-{:012}-0123456789abcdef.jsonl", at + 1);
        zip.raw_copy_file_rename(archive.by_index_raw(0).unwrap(), name)
            .unwrap();
    }
    let bytes = zip.finish().unwrap().into_inner();
    assert!(bytes.len() < 20 << 20);
    assert_eq!(flaw(&shop.dir, &bytes), Flaw::TooManyLines);
}

#[test]
fn damage_and_wrong_photos_cost_only_themselves() {
    let shop = Shop::new();
    let [lines, photo] = content(&shop);
    // One bit of the photo: its checksum says so.
    let mut bytes = packed(&[lines.clone(), photo.clone()]);
    let [_, local] = heads(&bytes, &photo.0);
    bytes[local + 30 + photo.0.len() + 100] ^= 1;
    told(&sound_part(&shop, &bytes, (4, 0)), "damaged");
    // Another photo, or a zip file, whose checksum is right: its name says so.
    for other in [b"another".to_vec(), bytes] {
        let swapped = packed(&[lines.clone(), (photo.0.clone(), other, STORED)]);
        told(
            &sound_part(&shop, &swapped, (4, 0)),
            "its content has changed",
        );
    }
    // Other lines under the name, and lines cut short.
    for text in [
        b"{}\n".to_vec(),
        lines.1[..lines.1.len() - 1].to_vec(),
        vec![0xff; 10],
        vec![],
    ] {
        let swapped = packed(&[(lines.0.clone(), text, DEFLATED), photo.clone()]);
        assert_eq!(sound_part(&shop, &swapped, (0, 0)).problems.len(), 1);
    }
    // The head before the content names something else.
    let mut bytes = packed(&[lines, photo.clone()]);
    let [_, local] = heads(&bytes, &photo.0);
    bytes[local + 30] = b'q';
    told(&sound_part(&shop, &bytes, (4, 0)), "damaged");
}

#[test]
fn a_photo_that_no_entry_names_is_left_where_it_is() {
    let shop = Shop::new();
    let [lines, photo] = content(&shop);
    let zip = packed(std::slice::from_ref(&lines));
    let stray = (format!("photos/{}", PhotoHash::of(&zip)), zip, STORED);
    let report = sound_part(&shop, &packed(&[lines, photo, stray]), (4, 1));
    assert_eq!(report.problems, []);
}

#[test]
fn folders_pipes_and_nothing_are_no_bundles() {
    let shop = Shop::new();
    let refused = Bundle::open(shop.dir.path()).unwrap_err().to_string();
    assert!(refused.contains("it is not a file"), "{refused}");
    let refused = Bundle::open(&shop.place("none.zip"))
        .unwrap_err()
        .to_string();
    assert!(refused.contains("none.zip cannot be read"), "{refused}");
    let empty = packed(&[]);
    assert_eq!(sound_part(&shop, &empty, (0, 0)), Report::default());
}

#[test]
fn a_bundle_is_only_read() {
    let shop = Shop::new();
    let place = shop.place("all.zip");
    fs::write(&place, shop.bundle()).unwrap();
    let bundle = Bundle::open(&place).unwrap();
    shop.say(30.0);
    let refused = crate::exchange::exchange_over(shop.notebook(), &bundle, &unwatched).unwrap_err();
    assert!(
        refused
            .to_string()
            .contains("is a bundle, which is only read"),
        "{refused}"
    );
    assert_eq!(shop.notebook().entries_to_bring_home().unwrap(), 5);
}
