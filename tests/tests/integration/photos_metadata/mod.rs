//! Only the metadata of an allow-list is left in an imported photo, and its pixels stay as they
//! were: checked by ExifTool, which knows every kind of tag, and by libjpeg and ImageMagick.
//!
//! Needs `exiftool`, `djpeg` and `convert` (Debian: libimage-exiftool-perl, libjpeg-turbo-progs,
//! imagemagick), and for real cameras' photos `tests/photos/fetch`. If they are missing, the
//! tests are counted as skipped; with `CI` set they fail.

mod crafted;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crafted::{Crafted, LATITUDE, MODEL};
use holebook_core::photo::{Metadata, PhotoStore};
use holebook_test_support::requirements::{have, have_imagemagick, works};
use serde_json::Value;
use tempfile::TempDir;

type Tags = BTreeMap<String, Value>;

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("photos")
        .join(name)
}

fn have_tools() -> bool {
    have(works("exiftool", &["-ver"]), "exiftool")
        && have(works("djpeg", &["-version"]), "djpeg")
        && have(have_imagemagick(), "imagemagick")
}

/// All that ExifTool finds in a file or in each file of a folder, duplicates and embedded files
/// too, less what it says of the file itself.
fn tags(path: &Path) -> BTreeMap<String, Tags> {
    let output = Command::new("exiftool")
        .args(["-j", "-a", "-G1", "-n", "-ee", "-u", "-U"])
        .arg(path)
        .output()
        .unwrap();
    let all: Vec<Tags> = serde_json::from_slice(&output.stdout).unwrap();
    let of_the_file = ["SourceFile", "System:", "Composite:"];
    let named = |mut tags: Tags| {
        let source = PathBuf::from(tags["SourceFile"].as_str().unwrap());
        tags.retain(|name, _| !of_the_file.iter().any(|start| name.starts_with(start)));
        tags.remove("ExifTool:ExifToolVersion");
        let name = source.file_name().unwrap().to_str().unwrap();
        (name.to_owned(), tags)
    };
    all.into_iter().map(named).collect()
}

fn tags_of(file: &Path) -> Tags {
    tags(file).into_values().next().unwrap()
}

/// What may be left, by the tag's group and name. A group alone: whatever ExifTool finds in it
/// comes from bytes that are the picture's size and coding, or a color profile.
fn is_allowed(tag: &str) -> bool {
    const GROUPS: [&str; 3] = ["ICC-header", "ICC_Profile", "Adobe"];
    const TAGS: [&str; 46] = [
        "IFD0:Make",
        "IFD0:Model",
        "IFD0:Orientation",
        "IFD0:ModifyDate",
        "ExifIFD:ExifVersion",
        "ExifIFD:DateTimeOriginal",
        "ExifIFD:CreateDate",
        "ExifIFD:OffsetTime",
        "ExifIFD:OffsetTimeOriginal",
        "ExifIFD:OffsetTimeDigitized",
        "ExifIFD:SubSecTime",
        "ExifIFD:SubSecTimeOriginal",
        "ExifIFD:SubSecTimeDigitized",
        "JFIF:JFIFVersion",
        "JFIF:ResolutionUnit",
        "JFIF:XResolution",
        "JFIF:YResolution",
        // 0 by 0: there is none.
        "JFIF:ThumbnailWidth",
        "JFIF:ThumbnailHeight",
        "File:FileType",
        "File:FileTypeExtension",
        "File:MIMEType",
        "File:ExifByteOrder",
        "File:ImageWidth",
        "File:ImageHeight",
        "File:EncodingProcess",
        "File:BitsPerSample",
        "File:ColorComponents",
        "File:YCbCrSubSampling",
        "PNG:ImageWidth",
        "PNG:ImageHeight",
        "PNG:BitDepth",
        "PNG:ColorType",
        "PNG:Compression",
        "PNG:Filter",
        "PNG:Interlace",
        "PNG:Palette",
        "PNG:Transparency",
        "PNG:Gamma",
        "PNG:SRGBRendering",
        "PNG:ModifyDate",
        "PNG:SignificantBits",
        "PNG:ProfileName",
        "PNG-cHRM:WhitePointX",
        "PNG-cHRM:WhitePointY",
        "PNG-cHRM:RedX",
    ];
    let group = tag.split(':').next().unwrap_or_default();
    GROUPS.contains(&group) || group == "PNG-cHRM" || TAGS.contains(&tag)
}

fn store() -> (TempDir, PhotoStore) {
    let dir = tempfile::tempdir().unwrap();
    let store = PhotoStore::open(dir.path()).unwrap();
    (dir, store)
}

/// Imports a file twice, and returns where it is stored and whether that changed it.
fn import(store: &PhotoStore, source: &Path) -> (PathBuf, bool) {
    let photo = store
        .import(source, Metadata::Strip)
        .unwrap_or_else(|error| panic!("{error}"));
    let stored = store.original(&photo.hash);
    let again = store.import(&stored, Metadata::Strip).unwrap();
    assert!(
        again.hash == photo.hash && !again.metadata_removed,
        "{}: importing again changes it",
        source.display()
    );
    (stored, photo.metadata_removed)
}

/// The packed pixels: of a JPEG all entropy-coded data, of a PNG all `IDAT` data, walked without
/// our own reader.
fn packed(bytes: &[u8]) -> Vec<u8> {
    if bytes.starts_with(b"\x89PNG") {
        return png_data(bytes);
    }
    let (mut packed, mut at) = (Vec::new(), 2);
    loop {
        while bytes[at] != 0xFF || matches!(bytes[at + 1], 0 | 0xFF) {
            at += 1;
        }
        let marker = bytes[at + 1];
        if marker == 0xD9 {
            return packed;
        }
        let length = usize::from(u16::from_be_bytes([bytes[at + 2], bytes[at + 3]]));
        at += 2 + length;
        if marker == 0xDA {
            let ends = |pair: &[u8]| pair[0] == 0xFF && !matches!(pair[1], 0 | 0xD0..=0xD7);
            let length = bytes[at..].windows(2).position(ends).unwrap();
            packed.extend(&bytes[at..at + length]);
            at += length;
        }
    }
}

fn png_data(bytes: &[u8]) -> Vec<u8> {
    let (mut data, mut at) = (Vec::new(), 8);
    loop {
        let length = u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()) as usize;
        match &bytes[at + 4..at + 8] {
            b"IDAT" => data.extend(&bytes[at + 8..at + 8 + length]),
            b"IEND" => return data,
            _ => {}
        }
        at += 12 + length;
    }
}

/// The pixels, by libjpeg or ImageMagick.
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

/// Whether the hidden position is anywhere in a file: as text in three encodings, or as EXIF's
/// fractions in either byte order.
fn holds_position(bytes: &[u8]) -> bool {
    let utf_16 = |write: fn(u16) -> [u8; 2]| LATITUDE.encode_utf16().flat_map(write).collect();
    let needles: [Vec<u8>; 5] = [
        LATITUDE.into(),
        utf_16(u16::to_be_bytes),
        utf_16(u16::to_le_bytes),
        [48_u32, 1, 52, 1]
            .iter()
            .flat_map(|one| one.to_be_bytes())
            .collect(),
        [48_u32, 1, 52, 1]
            .iter()
            .flat_map(|one| one.to_le_bytes())
            .collect(),
    ];
    let holds = |needle: &Vec<u8>| bytes.windows(needle.len()).any(|window| window == needle);
    needles.iter().any(holds)
}

/// Imports every crafted file and checks that nothing but the allow-list is left, and that the
/// pixels are the same.
fn assert_clean(all: Vec<Crafted>, extension: &str) {
    if !have_tools() {
        return;
    }
    let (_dir, store) = store();
    let (before, after) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (mut keep_camera, mut pixels) = (Vec::new(), BTreeMap::new());
    let (mut contents, mut open) = (BTreeSet::new(), 0);
    let count = all.len();
    for file in all {
        let name = format!("{}.{extension}", file.name);
        let source = before.path().join(&name);
        fs::write(&source, &file.bytes).unwrap();
        open += usize::from(holds_position(&file.bytes));
        let (stored, metadata_removed) = import(&store, &source);
        let stored = fs::read(stored).unwrap();
        assert!(metadata_removed, "{name}");
        assert!(!holds_position(&stored), "{name} still has the position");
        assert_eq!(packed(&file.bytes), packed(&stored), "{name}");
        let copy = after.path().join(&name);
        fs::write(&copy, &stored).unwrap();
        let pixels = pixels
            .entry(file.pixels)
            .or_insert_with(|| decoded(&fixture(file.pixels)));
        // Most are the same file once they are clean.
        if contents.insert(stored) {
            assert_eq!(*pixels, decoded(&copy), "{name}");
        }
        if file.keeps_camera {
            keep_camera.push(name);
        }
    }
    let found = tags(after.path());
    assert_eq!(found.len(), count, "names are unique");
    for (name, tags) in &found {
        let left: Vec<_> = tags.keys().filter(|tag| !is_allowed(tag)).collect();
        assert!(left.is_empty(), "{name}: {left:?}");
    }
    for name in &keep_camera {
        let tags = &found[name];
        assert_eq!(tags["IFD0:Model"], MODEL, "{name}");
        assert_eq!(tags["IFD0:Orientation"], 6, "{name}");
        assert_eq!(
            tags["ExifIFD:DateTimeOriginal"], "2026:05:06 07:08:09",
            "{name}"
        );
        assert_eq!(tags["ExifIFD:OffsetTimeOriginal"], "-09:00", "{name}");
    }
    // The files do hide positions: in the open, and as far as ExifTool looks.
    assert!(
        open > count * 2 / 3,
        "only {open} of {count} hold a position in the open"
    );
    let hidden = self::tags(before.path());
    let shows = |tags: &Tags| tags.keys().any(|tag| tag.contains("GPSLatitude"));
    let shown = hidden.values().filter(|tags| shows(tags)).count();
    assert!(shown >= 20, "only {shown} of {count} show a position");
}

#[test]
fn positions_hidden_in_jpeg_files_are_removed() {
    assert_clean(crafted::jpegs(), "jpg");
}

#[test]
fn positions_hidden_in_png_files_are_removed() {
    assert_clean(crafted::pngs(), "png");
}

#[test]
fn tables_with_surplus_bytes_are_rejected() {
    let (dir, store) = store();
    for file in crafted::rejected_jpegs() {
        let source = dir.path().join("barn.jpg");
        fs::write(&source, &file.bytes).unwrap();
        let error = store
            .import(&source, Metadata::Strip)
            .expect_err(&file.name);
        assert!(
            error.to_string().contains("a wrong length"),
            "{}: {error}",
            file.name
        );
        let libjpeg = Command::new("djpeg").arg(&source).output();
        assert!(
            libjpeg.is_ok_and(|output| !output.status.success()),
            "{}",
            file.name
        );
    }
}

#[test]
fn every_fixture_is_clean_and_keeps_its_pixels() {
    if !have_tools() {
        return;
    }
    let (_dir, store) = store();
    let after = tempfile::tempdir().unwrap();
    let mut checked = 0;
    for entry in fs::read_dir(fixture("")).unwrap() {
        let source = entry.unwrap().path();
        let name = source.file_name().unwrap().to_str().unwrap().to_owned();
        let is_photo = name.ends_with(".jpg") || name.ends_with(".png");
        // Its coding is not read here.
        if !is_photo || name == "arithmetic.jpg" {
            continue;
        }
        let (path, _) = import(&store, &source);
        let stored = fs::read(&path).unwrap();
        assert_eq!(
            packed(&fs::read(&source).unwrap()),
            packed(&stored),
            "{name}"
        );
        assert_eq!(decoded(&source), decoded(&path), "{name}");
        for word in [&b"Nowhere"[..], b"Noland", b"latitude", b"GPS"] {
            let holds = stored.windows(word.len()).any(|window| window == word);
            assert!(!holds, "{name}: {}", String::from_utf8_lossy(word));
        }
        fs::write(after.path().join(&name), stored).unwrap();
        checked += 1;
    }
    assert!(checked > 30, "only {checked} photos");
    for (name, tags) in tags(after.path()) {
        let left: Vec<_> = tags.keys().filter(|tag| !is_allowed(tag)).collect();
        assert!(left.is_empty(), "{name}: {left:?}");
    }
}

/// The tags of what is kept.
const KEPT: [&str; 12] = [
    "IFD0:Make",
    "IFD0:Model",
    "IFD0:Orientation",
    "IFD0:ModifyDate",
    "ExifIFD:DateTimeOriginal",
    "ExifIFD:CreateDate",
    "ExifIFD:OffsetTime",
    "ExifIFD:OffsetTimeOriginal",
    "ExifIFD:OffsetTimeDigitized",
    "ExifIFD:SubSecTime",
    "ExifIFD:SubSecTimeOriginal",
    "ExifIFD:SubSecTimeDigitized",
];

fn kept(tags: &Tags) -> Tags {
    let kept = tags.iter().filter(|(tag, _)| KEPT.contains(&tag.as_str()));
    kept.map(|(tag, value)| (tag.clone(), value.clone()))
        .collect()
}

#[test]
fn a_phones_camera_times_and_orientation_are_kept() {
    if !have_tools() {
        return;
    }
    let (_dir, store) = store();
    for (name, count) in [
        ("phone.jpg", 7),
        ("phone-no-gps.jpg", 7),
        ("phone-everywhere.jpg", 7),
        ("phone.png", 3),
    ] {
        let source = fixture(name);
        let (before, after) = (tags_of(&source), tags_of(&import(&store, &source).0));
        assert_eq!(kept(&before).len(), count, "{name}: {before:?}");
        assert_eq!(kept(&before), kept(&after), "{name}");
        assert!(!after.contains_key("ExifTool:Warning"), "{name}: {after:?}");
    }
}

#[test]
fn what_follows_the_picture_is_removed() {
    let (_dir, store) = store();
    let with_trailer = import(&store, &fixture("phone-trailer.jpg"));
    assert_eq!(with_trailer, import(&store, &fixture("phone.jpg")));
}

#[test]
fn the_owner_may_keep_a_file_as_it_is() {
    let (_dir, store) = store();
    for name in [
        "phone.jpg",
        "phone-everywhere.jpg",
        "phone-trailer.jpg",
        "phone.png",
    ] {
        let photo = store.import(&fixture(name), Metadata::Keep).unwrap();
        assert!(!photo.metadata_removed);
        assert_eq!(
            fs::read(store.original(&photo.hash)).unwrap(),
            fs::read(fixture(name)).unwrap()
        );
    }
}

#[test]
fn a_photo_without_metadata_is_stored_as_it_is() {
    let (_dir, store) = store();
    for name in [
        "progressive.jpg",
        "print-luma.jpg",
        "rgb.jpg",
        "gray.jpg",
        "deep.png",
        "palette.png",
    ] {
        let (stored, metadata_removed) = import(&store, &fixture(name));
        assert!(!metadata_removed, "{name}");
        assert_eq!(
            fs::read(stored).unwrap(),
            fs::read(fixture(name)).unwrap(),
            "{name}"
        );
    }
}

#[test]
fn previews_carry_no_metadata() {
    if !have_tools() {
        return;
    }
    let (dir, store) = store();
    let mut sources = vec![fixture("phone-everywhere.jpg")];
    for file in crafted::jpegs() {
        if file.name.ends_with("private-profile-tag") {
            let source = dir.path().join(file.name);
            fs::write(&source, file.bytes).unwrap();
            sources.push(source);
        }
    }
    for source in sources {
        let photo = store.import(&source, Metadata::Keep).unwrap();
        for picture in [
            store.view(&photo.hash).unwrap(),
            store.thumbnail(&photo.hash).unwrap(),
        ] {
            assert!(!holds_position(&fs::read(&picture).unwrap()));
            let groups = ["File:", "JFIF:", "ICC-header:", "ICC_Profile:"];
            let left: Vec<_> = tags_of(&picture)
                .into_keys()
                .filter(|tag| !groups.iter().any(|group| tag.starts_with(group)))
                .collect();
            assert!(left.is_empty(), "{}: {left:?}", source.display());
        }
    }
}

#[test]
fn real_cameras_photos_keep_only_camera_times_and_orientation() {
    let images = target().join("photos/piexif-1.1.3/tests/images");
    let cameras = "the photos of real cameras from tests/photos/fetch";
    if !have_tools() || !have(images.is_dir(), cameras) {
        return;
    }
    let (dir, store) = store();
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
        let (stored, _) = import(&store, &source);
        let (before, after) = (tags_of(&source), tags_of(&stored));
        assert!(before.contains_key("GPS:GPSLatitude"), "{name}");
        let left: Vec<_> = after.keys().filter(|tag| !is_allowed(tag)).collect();
        assert!(left.is_empty(), "{name}: {left:?}");
        assert!(!kept(&before).is_empty(), "{name}");
        assert_eq!(kept(&before), kept(&after), "{name}");
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
