//! The place where a photo was taken goes, and nothing else does: proved by ExifTool, which knows every kind of tag.
//!
//! Needs `exiftool`, `djpeg` and `convert` (Debian: libimage-exiftool-perl, libjpeg-turbo-progs, imagemagick), and for
//! real cameras' photos `tests/photos/fetch`. Where they are missing the tests say so and pass, but not when `CI` is set.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use holebook_core::photo::{Location, PhotoStore};
use holebook_tests::need::have;
use serde_json::Value;

type Tags = BTreeMap<String, Value>;

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("photos")
        .join(name)
}

fn have_tools() -> bool {
    [
        ("exiftool", "-ver"),
        ("djpeg", "-version"),
        ("convert", "-version"),
    ]
    .iter()
    .all(|(tool, ask)| have(Command::new(tool).arg(ask).output().is_ok(), tool))
}

/// All that ExifTool finds, duplicates and embedded pictures too, less what it says of the file itself.
fn tags(file: &Path) -> Tags {
    let output = Command::new("exiftool")
        .args(["-j", "-a", "-G1", "-n", "-ee", "-u"])
        .arg(file)
        .output()
        .unwrap();
    let all: Vec<Tags> = serde_json::from_slice(&output.stdout).unwrap();
    let of_the_file = ["SourceFile", "System:", "ExifTool:", "Composite:"];
    all.into_iter()
        .next()
        .unwrap()
        .into_iter()
        .filter(|(name, _)| !of_the_file.iter().any(|start| name.starts_with(start)))
        .collect()
}

/// By the tag's group and name. Groups of makers' notes are not judged: there, a city is what the owner once set the
/// clock to, and the store says in its docs that such notes stay.
fn tells_place(tag: &str) -> bool {
    let standard = [
        "GPS",
        "IFD",
        "ExifIFD",
        "XMP",
        "IPTC",
        "File",
        "PNG",
        "JFIF",
        "Photoshop",
        "Main",
        "Doc",
    ];
    let words = [
        "gps",
        "location",
        "city",
        "country",
        "state",
        "latitude",
        "longitude",
    ];
    let lower = tag.to_ascii_lowercase();
    standard.iter().any(|group| tag.starts_with(group))
        && words.iter().any(|word| lower.contains(word))
}

/// Brings in a file, and gives its tags before and after, with the stored file.
fn brought_in(source: &Path) -> (tempfile::TempDir, PathBuf, Tags, Tags) {
    let dir = tempfile::tempdir().unwrap();
    let store = PhotoStore::open(dir.path()).unwrap();
    let photo = store.bring_in(source, Location::Remove).unwrap();
    assert!(photo.location_removed, "{}", source.display());
    let stored = store.original(&photo.hash);
    let (before, after) = (tags(source), tags(&stored));
    assert!(
        before.keys().any(|tag| tells_place(tag)),
        "there was a place in {}",
        source.display()
    );
    let places: Vec<_> = after.keys().filter(|tag| tells_place(tag)).collect();
    assert!(places.is_empty(), "{}: {places:?}", source.display());
    (dir, stored, before, after)
}

/// Packed pixels of a JPEG: all from the last start of scan on, up to the end of the image.
fn scan(bytes: &[u8]) -> &[u8] {
    let end = bytes
        .windows(2)
        .rposition(|pair| pair == [0xFF, 0xD9])
        .unwrap()
        + 2;
    let start = bytes[..end]
        .windows(2)
        .rposition(|pair| pair == [0xFF, 0xDA])
        .unwrap();
    &bytes[start..end]
}

fn decoded(file: &Path) -> Vec<u8> {
    let is_png = fs::read(file).unwrap().starts_with(b"\x89PNG");
    let output = match is_png {
        true => Command::new("convert")
            .arg(format!("png:{}", file.display()))
            .arg("rgba:-")
            .output(),
        false => Command::new("djpeg").arg(file).output(),
    };
    let output = output.unwrap();
    assert!(
        output.status.success() && !output.stdout.is_empty(),
        "{}",
        file.display()
    );
    output.stdout
}

#[test]
fn a_phones_position_goes_and_all_else_stays_as_it_was() {
    if !have_tools() {
        return;
    }
    let source = fixture("phone.jpg");
    let (_dir, stored, mut before, after) = brought_in(&source);
    before.retain(|tag, _| !tells_place(tag));
    assert_eq!(
        before, after,
        "time, camera, orientation and the small picture stay"
    );
    let (old, new) = (fs::read(&source).unwrap(), fs::read(&stored).unwrap());
    assert_eq!(old.len(), new.len(), "overwritten in place");
    assert_eq!(scan(&old), scan(&new));
    assert_eq!(decoded(&source), decoded(&stored));
    // 48 degrees as a fraction of two little-endian numbers: the value itself is gone, not only the way to it.
    let degrees = [48, 0, 0, 0, 1, 0, 0, 0];
    let holds = |bytes: &[u8]| bytes.windows(8).any(|window| window == degrees);
    assert!(holds(&old) && !holds(&new));
}

#[test]
fn places_in_other_metadata_go_too() {
    if !have_tools() {
        return;
    }
    let source = fixture("phone-everywhere.jpg");
    let (_dir, stored, mut before, after) = brought_in(&source);
    assert_eq!(
        after["IPTC:Caption-Abstract"], "Pump end, joint face",
        "what names no place stays"
    );
    before.retain(|tag, _| {
        !tells_place(tag)
            && !tag.starts_with("XMP")
            && tag != "File:Comment"
            && tag != "File:CurrentIPTCDigest"
    });
    let mut rest = after;
    rest.remove("File:CurrentIPTCDigest");
    assert_eq!(before, rest);
    assert_eq!(
        scan(&fs::read(&source).unwrap()),
        scan(&fs::read(&stored).unwrap())
    );
    assert_eq!(decoded(&source), decoded(&stored));
    let bytes = fs::read(&stored).unwrap();
    for word in [&b"Nowhere"[..], b"Noland", b"latitude", b"GPS"] {
        assert!(
            !bytes.windows(word.len()).any(|window| window == word),
            "{}",
            String::from_utf8_lossy(word)
        );
    }
}

#[test]
fn what_follows_the_picture_goes_with_its_position() {
    if !have_tools() {
        return;
    }
    let (_dir, stored, ..) = brought_in(&fixture("phone-trailer.jpg"));
    let (_dir, alone, ..) = brought_in(&fixture("phone.jpg"));
    assert_eq!(fs::read(stored).unwrap(), fs::read(alone).unwrap());
}

#[test]
fn a_png_loses_its_place_and_keeps_its_time() {
    if !have_tools() {
        return;
    }
    let source = fixture("phone.png");
    let (_dir, stored, before, after) = brought_in(&source);
    for tag in [
        "IFD0:Orientation",
        "IFD0:Make",
        "ExifIFD:DateTimeOriginal",
        "PNG:ImageWidth",
    ] {
        assert_eq!(before[tag], after[tag], "{tag}");
    }
    assert!(!after.contains_key("ExifTool:Warning"));
    assert_eq!(decoded(&source), decoded(&stored));
}

#[test]
fn the_owner_may_keep_the_place() {
    let dir = tempfile::tempdir().unwrap();
    let store = PhotoStore::open(dir.path()).unwrap();
    for name in [
        "phone.jpg",
        "phone-everywhere.jpg",
        "phone-trailer.jpg",
        "phone.png",
    ] {
        let photo = store.bring_in(&fixture(name), Location::Keep).unwrap();
        assert!(!photo.location_removed && !photo.trailer_removed);
        assert_eq!(
            fs::read(store.original(&photo.hash)).unwrap(),
            fs::read(fixture(name)).unwrap()
        );
    }
}

#[test]
fn a_photo_without_a_place_is_stored_as_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let store = PhotoStore::open(dir.path()).unwrap();
    for name in [
        "phone-no-place.jpg",
        "progressive.jpg",
        "print-luma.jpg",
        "deep.png",
    ] {
        let photo = store.bring_in(&fixture(name), Location::Remove).unwrap();
        assert!(!photo.location_removed, "{name}");
        assert_eq!(
            fs::read(store.original(&photo.hash)).unwrap(),
            fs::read(fixture(name)).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn views_carry_no_metadata() {
    if !have_tools() {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let store = PhotoStore::open(dir.path()).unwrap();
    let photo = store
        .bring_in(&fixture("phone-everywhere.jpg"), Location::Keep)
        .unwrap();
    for picture in [
        store.view(&photo.hash).unwrap(),
        store.thumbnail(&photo.hash).unwrap(),
    ] {
        let left: Vec<_> = tags(&picture)
            .into_keys()
            .filter(|tag| !tag.starts_with("File:") && !tag.starts_with("JFIF:"))
            .collect();
        assert!(left.is_empty(), "{left:?}");
    }
}

/// Real cameras' notes hold offsets of their own; they must read as before.
#[test]
fn real_cameras_notes_read_as_before() {
    let images = target().join("photos/piexif-1.1.3/tests/images");
    let cameras = "what tests/photos/fetch brings, the photos of real cameras,";
    if !have_tools() || !have(images.is_dir(), cameras) {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let mut checked = 0;
    for entry in fs::read_dir(images).unwrap() {
        let image = entry.unwrap().path();
        let name = image.file_name().unwrap().to_str().unwrap();
        if !name.starts_with("r_") && !name.starts_with('L') && !name.starts_with("large") {
            continue;
        }
        let source = dir.path().join(name);
        let position = [
            "-q",
            "-m",
            "-n",
            "-GPSLatitude=48.876543",
            "-GPSLatitudeRef=S",
            "-GPSLongitude=123.39",
            "-GPSLongitudeRef=W",
        ];
        Command::new("exiftool")
            .args(position)
            .arg("-o")
            .args([&source, &image])
            .output()
            .unwrap();
        let (_dir, stored, mut before, after) = brought_in(&source);
        before.retain(|tag, _| !tells_place(tag));
        assert!(
            before.keys().any(|tag| tag.starts_with("ExifIFD:")),
            "{name}"
        );
        assert_eq!(before, after, "{name}");
        assert_eq!(decoded(&source), decoded(&stored), "{name}");
        checked += 1;
    }
    assert!(checked >= 8, "only {checked} photos");
}

fn target() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap()
        .join("target");
    std::env::var_os("CARGO_TARGET_DIR").map_or(here, PathBuf::from)
}
