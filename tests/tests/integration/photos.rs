//! Photos are imported upright and whole, or not at all.
//!
//! The photos in `tests/photos` are made by encoders that are not ours (libjpeg-turbo, ImageMagick;
//! see `make` there).

use std::fs;
use std::path::{Path, PathBuf};

use holebook_core::notebook::{FaceBody, Notebook};
use holebook_core::photo::{Format, ImportedPhoto, Metadata, PhotoError, PhotoHash, PhotoStore};
use holebook_core::sync::sync_folder;
use holebook_screens::{Body, Request, answer};
use holebook_test_support::notebooks;
use proptest::prelude::*;
use tempfile::TempDir;

const RED: [u8; 3] = [0xD0, 0x20, 0x20];
const GREEN: [u8; 3] = [0x20, 0xB0, 0x20];
const BLUE: [u8; 3] = [0x20, 0x20, 0xD0];
const YELLOW: [u8; 3] = [0xD0, 0xD0, 0x20];
/// What the four fields of every photo are: above left and right, below left and right.
const FIELDS: [[u8; 3]; 4] = [RED, GREEN, BLUE, YELLOW];

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("photos")
        .join(name)
}

fn store() -> (TempDir, PhotoStore) {
    let dir = tempfile::tempdir().unwrap();
    let store = PhotoStore::open(dir.path().join("photos")).unwrap();
    (dir, store)
}

/// All files below a folder.
fn files(dir: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(dir)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    entries
        .flat_map(|path| {
            if path.is_dir() {
                files(&path)
            } else {
                vec![path]
            }
        })
        .collect()
}

/// Pixels of a JPEG file as red, green and blue, by a decoder for the test alone.
fn pixels(path: &Path) -> (usize, usize, Vec<[u8; 3]>) {
    let mut decoder = jpeg_decoder::Decoder::new(fs::File::open(path).unwrap());
    let samples = decoder.decode().unwrap();
    let info = decoder.info().unwrap();
    let pixels = match info.pixel_format {
        jpeg_decoder::PixelFormat::L8 => samples.iter().map(|gray| [*gray; 3]).collect(),
        _ => samples.as_chunks::<3>().0.to_vec(),
    };
    (info.width.into(), info.height.into(), pixels)
}

/// The colors in the middle of each of the four fields.
fn fields(path: &Path) -> [[u8; 3]; 4] {
    let (width, height, pixels) = pixels(path);
    [(1, 1), (3, 1), (1, 3), (3, 3)].map(|(x, y)| pixels[height * y / 4 * width + width * x / 4])
}

fn assert_like(found: [[u8; 3]; 4], wanted: [[u8; 3]; 4], what: &str) {
    let far = found
        .as_flattened()
        .iter()
        .zip(wanted.as_flattened())
        .map(|(a, b)| a.abs_diff(*b))
        .max();
    assert!(far < Some(12), "{what}: {found:?} is not {wanted:?}");
}

fn import(store: &PhotoStore, name: &str) -> ImportedPhoto {
    store
        .import(&fixture(name), Metadata::Strip)
        .unwrap_or_else(|error| panic!("{name}: {error}"))
}

#[test]
fn all_eight_orientations_come_out_upright() {
    let (_dir, store) = store();
    for turn in 1..=8 {
        for kind in ["jpg", "png"] {
            let name = format!("turned-{turn}.{kind}");
            let photo = import(&store, &name);
            assert_eq!((photo.width, photo.height), (96, 64), "{name}");
            for picture in [store.view(&photo.hash), store.thumbnail(&photo.hash)] {
                let picture = picture.unwrap();
                assert_eq!(pixels(&picture).0, 96, "{name}");
                assert_like(fields(&picture), FIELDS, &name);
            }
        }
    }
}

#[test]
fn every_coding_shows_its_colors() {
    let (_dir, store) = store();
    let names = [
        "progressive.jpg",
        "full-color-restarts.jpg",
        "half-color.jpg",
        "rgb.jpg",
        "print.jpg",
        "print-luma.jpg",
        "print-luma-progressive.jpg",
        "deep.png",
        "palette.png",
        "interlaced.png",
        "phone.jpg",
        "phone.png",
    ];
    for name in names {
        let photo = import(&store, name);
        assert_eq!((photo.width, photo.height), (96, 64), "{name}");
        assert_eq!(
            photo.format,
            if name.ends_with("png") {
                Format::Png
            } else {
                Format::Jpeg
            }
        );
        assert_like(fields(&store.view(&photo.hash).unwrap()), FIELDS, name);
    }
}

#[test]
fn gray_stays_gray_and_transparent_parts_are_white() {
    let (_dir, store) = store();
    let shown = |name| fields(&store.view(&import(&store, name).hash).unwrap());
    // Luma of the four colors: ITU-R BT.601 as JFIF 1.02 takes it for JPEG, BT.709 as ImageMagick
    // does for PNG.
    let gray = |values: [u8; 4]| values.map(|value| [value; 3]);
    assert_like(shown("gray.jpg"), gray([85, 117, 52, 188]), "gray.jpg");
    assert_like(shown("gray.png"), gray([69, 135, 45, 195]), "gray.png");
    assert_like(
        shown("clear.png"),
        [[0xE7, 0x8F, 0x8F], GREEN, BLUE, YELLOW],
        "clear.png",
    );
    assert_like(shown("clear-gray.png"), gray([255; 4]), "clear-gray.png");
}

#[test]
fn the_time_a_photo_was_taken_is_read() {
    let (_dir, store) = store();
    let taken = |name| import(&store, name).taken_at.map(|time| time.to_string());
    assert_eq!(
        taken("phone.jpg").as_deref(),
        Some("2026-05-06T07:08:09-09:00")
    );
    assert_eq!(
        taken("phone-no-gps.jpg").as_deref(),
        Some("2026-05-06T07:08:09-09:00")
    );
    assert_eq!(taken("phone.png").as_deref(), Some("2026-05-06T07:08:09"));
    assert_eq!(taken("progressive.jpg"), None);
}

#[test]
fn a_photo_is_stored_by_its_contents_name() {
    let (_dir, store) = store();
    let photo = import(&store, "phone.jpg");
    let bytes = fs::read(store.original(&photo.hash)).unwrap();
    assert_eq!(PhotoHash::of(&bytes), photo.hash);
    assert_eq!(bytes.len() as u64, photo.bytes);
    assert!(!photo.already_there && import(&store, "phone.jpg").already_there);
    assert_eq!(store.hashes().unwrap(), [photo.hash]);
    store.verify(&photo.hash).unwrap();
    let names: Vec<_> = files(store.original(&photo.hash).parent().unwrap());
    assert_eq!(
        names.len(),
        3,
        "the photo, its view and its thumbnail, and nothing unfinished: {names:?}"
    );
}

#[test]
fn a_damaged_photo_is_detected_and_repaired_by_importing_it_again() {
    let (_dir, store) = store();
    let photo = import(&store, "phone.jpg");
    let file = store.original(&photo.hash);
    let mut bytes = fs::read(&file).unwrap();
    *bytes.last_mut().unwrap() ^= 1;
    fs::write(&file, &bytes).unwrap();
    assert!(matches!(
        store.verify(&photo.hash),
        Err(PhotoError::NotAsNamed { .. })
    ));
    assert!(!import(&store, "phone.jpg").already_there);
    store.verify(&photo.hash).unwrap();
}

#[test]
fn previews_are_rebuilt_when_they_are_gone_or_damaged() {
    let (_dir, store) = store();
    let photo = import(&store, "turned-6.jpg");
    let first = fs::read(store.view(&photo.hash).unwrap()).unwrap();
    fs::remove_dir_all(store.view(&photo.hash).unwrap().parent().unwrap()).unwrap();
    assert_eq!(fs::read(store.view(&photo.hash).unwrap()).unwrap(), first);
    for damaged in [&b""[..], &[0; 500], &first[..first.len() / 2]] {
        fs::write(store.thumbnail(&photo.hash).unwrap(), damaged).unwrap();
        assert_like(
            fields(&store.thumbnail(&photo.hash).unwrap()),
            FIELDS,
            "rebuilt",
        );
    }
    fs::remove_file(store.original(&photo.hash)).unwrap();
    assert!(matches!(
        store.view(&photo.hash),
        Err(PhotoError::Missing { .. })
    ));
    assert!(matches!(
        store.verify(&photo.hash),
        Err(PhotoError::Missing { .. })
    ));
}

#[test]
fn a_received_photo_must_match_its_name() {
    let (_dir, here) = store();
    let (_other, there) = store();
    let photo = import(&here, "phone.jpg");
    there
        .receive(&photo.hash, &here.original(&photo.hash))
        .unwrap();
    there
        .receive(&photo.hash, &here.original(&photo.hash))
        .unwrap();
    there.verify(&photo.hash).unwrap();
    assert_like(
        fields(&there.view(&photo.hash).unwrap()),
        FIELDS,
        "made from the received photo",
    );

    let wrong = PhotoHash::of(b"something else");
    let rejected = there.receive(&wrong, &here.original(&photo.hash));
    assert!(matches!(rejected, Err(PhotoError::NotAsNamed { .. })));
    assert!(!there.contains(&wrong));
    assert_eq!(there.hashes().unwrap(), [photo.hash]);
}

/// Checks that a file is rejected in one sentence with some words in it, and that nothing is
/// stored.
fn assert_rejected(bytes: &[u8], words: &str) {
    let (dir, store) = store();
    let source = dir.path().join("barn.jpg");
    fs::write(&source, bytes).unwrap();
    let error = store
        .import(&source, Metadata::Strip)
        .expect_err(words)
        .to_string();
    assert!(
        error.contains(words) && error.contains("barn.jpg"),
        "{error:?} does not say {words:?}"
    );
    assert!(
        !error.contains(['\n']) && !error.contains(". "),
        "{error:?} is not one sentence"
    );
    assert_eq!(
        files(&dir.path().join("photos")),
        Vec::<PathBuf>::new(),
        "nothing is stored"
    );
    assert_eq!(
        fs::read(&source).unwrap(),
        bytes,
        "the source is not changed"
    );
}

/// A PNG file of some size with hardly any pixel data in it.
fn png_without_pixels(width: u32, height: u32) -> Vec<u8> {
    let mut header = [&width.to_be_bytes()[..], &height.to_be_bytes()].concat();
    header.extend([8, 2, 0, 0, 0]);
    let mut bytes = b"\x89PNG\r\n\x1A\n".to_vec();
    for (kind, data) in [
        (b"IHDR", &header[..]),
        (b"IDAT", &[0x78, 0x9C, 3, 0, 0, 0, 0, 1]),
        (b"IEND", &[]),
    ] {
        bytes.extend((data.len() as u32).to_be_bytes());
        let start = bytes.len();
        bytes.extend(kind);
        bytes.extend(data);
        let mut crc = flate2::Crc::new();
        crc.update(&bytes[start..]);
        bytes.extend(crc.sum().to_be_bytes());
    }
    bytes
}

/// A small JPEG that claims another size.
fn oversold_jpeg(width: u16, height: u16) -> Vec<u8> {
    let mut bytes = fs::read(fixture("progressive.jpg")).unwrap();
    let frame = bytes
        .windows(2)
        .position(|pair| pair == [0xFF, 0xC2])
        .unwrap();
    bytes[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    bytes[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    bytes
}

#[test]
fn what_is_not_a_photo_is_rejected_in_one_sentence() {
    assert_rejected(b"", "is empty");
    assert_rejected(
        b"just some text, and a name that ends in .jpg",
        "is not a picture",
    );
    assert_rejected(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "'most compatible'");
    assert_rejected(b"RIFF\x24\0\0\0WEBPVP8 \x18\0\0\0", "is a WebP picture");
    assert_rejected(b"II*\0\x08\0\0\0\0\0\0\0", "is a TIFF picture");
    assert_rejected(&fs::read(fixture("arithmetic.jpg")).unwrap(), "a rare kind");
    assert_rejected(
        &png_without_pixels(60_000, 60_000),
        "108 megapixels is the most",
    );
    assert_rejected(&png_without_pixels(0, 10), "0 by 10 pixels");
    assert_rejected(&png_without_pixels(12_000, 9_000), "is damaged");
    assert_rejected(&oversold_jpeg(65_535, 65_535), "108 megapixels is the most");
    assert_rejected(&oversold_jpeg(12_000, 9_000), "too little data");
    assert_rejected(&oversold_jpeg(96, 0), "96 by 0 pixels");
}

/// A JPEG file with further segments right behind its first marker.
fn with_segments(name: &str, segments: &[(u8, &[u8])]) -> Vec<u8> {
    let bytes = fs::read(fixture(name)).unwrap();
    let mut with = bytes[..2].to_vec();
    for (marker, body) in segments {
        with.extend([0xFF, *marker]);
        with.extend((body.len() as u16 + 2).to_be_bytes());
        with.extend(*body);
    }
    with.extend(&bytes[2..]);
    with
}

fn import_bytes(store: &PhotoStore, dir: &Path, bytes: &[u8]) -> ImportedPhoto {
    let source = dir.join("barn.jpg");
    fs::write(&source, bytes).unwrap();
    store.import(&source, Metadata::Strip).unwrap()
}

/// A color profile with one tag (ICC.1:2022, 7.2 and 7.3): its size, its color space at byte 16,
/// its signature at 36, and the tag's signature, offset and size behind 128 bytes.
fn profile(description: &[u8]) -> Vec<u8> {
    let (offset, length) = (144, description.len() as u32);
    let mut profile = vec![0; 128];
    profile[..4].copy_from_slice(&(offset + length).to_be_bytes());
    profile[16..20].copy_from_slice(b"RGB ");
    profile[36..40].copy_from_slice(b"acsp");
    for field in [1, u32::from_be_bytes(*b"desc"), offset, length] {
        profile.extend(field.to_be_bytes());
    }
    profile.extend(description);
    profile
}

#[test]
fn a_wide_color_profile_is_carried_by_the_previews() {
    let (dir, store) = store();
    for (description, carried) in [(&b"a wide one"[..], true), (b"sRGB IEC61966-2.1", false)] {
        let profile = profile(description);
        let body = [&b"ICC_PROFILE\0\x01\x01"[..], &profile].concat();
        let photo = import_bytes(
            &store,
            dir.path(),
            &with_segments("half-color.jpg", &[(0xE2, &body)]),
        );
        for picture in [store.view(&photo.hash), store.thumbnail(&photo.hash)] {
            let mut decoder = jpeg_decoder::Decoder::new(fs::File::open(picture.unwrap()).unwrap());
            decoder.decode().unwrap();
            assert_eq!(decoder.icc_profile(), carried.then(|| profile.clone()));
        }
    }
}

#[test]
fn segments_that_are_not_the_picture_are_removed() {
    let (dir, store) = store();
    // XMP in several parts: a label, 40 bytes of its own, and here a word that only both parts
    // together spell.
    let more = |text: &[u8]| {
        [
            &b"http://ns.adobe.com/xmp/extension/\0"[..],
            &[b'0'; 40],
            text,
        ]
        .concat()
    };
    let cases: [&[(u8, &[u8])]; 5] = [
        &[(0xE1, &more(b"exif:GPSLati")), (0xE1, &more(b"tude=48"))],
        &[(0xE6, b"camera\0 GPS5 48.8 -123.3")],
        &[(0xEB, b"JP box exif:GPSLongitude")],
        &[(0xFE, b"Longitude 123 W")],
        &[(0xE5, b"focus 12"), (0xFE, b"face 2, hole 7")],
    ];
    for segments in cases {
        let photo = import_bytes(
            &store,
            dir.path(),
            &with_segments("half-color.jpg", segments),
        );
        assert!(photo.metadata_removed);
        assert_eq!(
            fs::read(store.original(&photo.hash)).unwrap(),
            fs::read(fixture("half-color.jpg")).unwrap()
        );
    }
}

#[test]
fn stray_bytes_between_segments_are_removed() {
    let (dir, store) = store();
    let mut bytes = with_segments("half-color.jpg", &[(0xE5, b"focus 12")]);
    bytes.splice(14..14, [0, 0, 0, 0, 0]);
    let photo = import_bytes(&store, dir.path(), &bytes);
    assert_like(
        fields(&store.view(&photo.hash).unwrap()),
        FIELDS,
        "with stray bytes",
    );
    assert_eq!(
        fs::read(store.original(&photo.hash)).unwrap(),
        fs::read(fixture("half-color.jpg")).unwrap()
    );
}

#[test]
fn the_same_photo_imported_by_many_threads_is_stored_once() {
    let (dir, store) = store();
    std::thread::scope(|scope| {
        let all: Vec<_> = (0..8)
            .map(|_| scope.spawn(|| import(&store, "phone.jpg").hash))
            .collect();
        let hashes: Vec<_> = all.into_iter().map(|one| one.join().unwrap()).collect();
        assert!(hashes.iter().all(|hash| *hash == hashes[0]));
    });
    assert_eq!(files(&dir.path().join("photos")).len(), 3);
}

#[test]
fn what_is_not_a_file_is_rejected_in_one_sentence() {
    let (dir, store) = store();
    let folder = store
        .import(dir.path(), Metadata::Strip)
        .unwrap_err()
        .to_string();
    assert!(folder.contains("is not a file"), "{folder}");
    let nothing = store
        .import(&dir.path().join("gone.jpg"), Metadata::Strip)
        .unwrap_err()
        .to_string();
    assert!(nothing.contains("gone.jpg cannot be read"), "{nothing}");
    let large = dir.path().join("large.jpg");
    fs::File::create(&large)
        .unwrap()
        .set_len(200_000_001)
        .unwrap();
    let large = store
        .import(&large, Metadata::Strip)
        .unwrap_err()
        .to_string();
    assert!(large.contains("200 MB at most"), "{large}");
    assert!(store.hashes().unwrap().is_empty());
}

#[test]
fn a_folder_that_cannot_be_used_is_reported() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("photos");
    fs::write(&file, "in the way").unwrap();
    let error = PhotoStore::open(&file).unwrap_err();
    assert!(matches!(error, PhotoError::Storage { .. }), "{error}");
}

#[test]
fn a_photo_cut_short_anywhere_is_rejected() {
    let (dir, store) = store();
    let cut = dir.path().join("cut");
    for name in [
        "phone.jpg",
        "progressive.jpg",
        "full-color-restarts.jpg",
        "print.jpg",
        "phone.png",
        "interlaced.png",
    ] {
        let bytes = fs::read(fixture(name)).unwrap();
        for length in 0..bytes.len() {
            fs::write(&cut, &bytes[..length]).unwrap();
            assert!(
                store.import(&cut, Metadata::Keep).is_err(),
                "{name} cut to {length} bytes"
            );
        }
    }
    assert_eq!(files(&dir.path().join("photos")), Vec::<PathBuf>::new());
}

/// The scans that are left of a progressive photo make a whole picture in less detail, so only
/// baseline ones are tested.
#[test]
fn a_cut_photo_with_an_end_marker_is_rejected() {
    let (dir, store) = store();
    let cut = dir.path().join("cut.jpg");
    for name in ["full-color-restarts.jpg", "half-color.jpg"] {
        let bytes = fs::read(fixture(name)).unwrap();
        let kept = bytes.len() * 3 / 4;
        fs::write(&cut, [&bytes[..kept], &[0xFF, 0xD9]].concat()).unwrap();
        assert!(store.import(&cut, Metadata::Keep).is_err(), "{name}");
    }
    assert_eq!(files(&dir.path().join("photos")), Vec::<PathBuf>::new());
}

/// A progressive photo that was cut and then ended shows the whole picture in less detail.
#[test]
fn a_cut_progressive_photo_is_marked_incomplete() {
    let (dir, store) = store();
    assert!(!import(&store, "progressive.jpg").incomplete);
    let bytes = fs::read(fixture("progressive.jpg")).unwrap();
    // From the last start of a scan on.
    let scan = bytes
        .windows(2)
        .rposition(|two| two == [0xFF, 0xDA])
        .unwrap();
    let cut = [&bytes[..scan], &[0xFF, 0xD9]].concat();
    let photo = import_bytes(&store, dir.path(), &cut);
    assert!(photo.incomplete, "{photo:?}");
}

/// The entry says it, so every device does.
#[test]
fn the_mark_of_an_incomplete_photo_reaches_other_devices() {
    let (dir, remote) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let bytes = fs::read(fixture("progressive.jpg")).unwrap();
    let scan = bytes
        .windows(2)
        .rposition(|two| two == [0xFF, 0xDA])
        .unwrap();
    let cut = dir.path().join("cut.jpg");
    fs::write(&cut, [&bytes[..scan], &[0xFF, 0xD9]].concat()).unwrap();
    let [first, second] = ["first", "second"].map(|name| dir.path().join(name));
    let (first, second) = (
        Notebook::open(&first).unwrap(),
        Notebook::open(&second).unwrap(),
    );
    let casting = notebooks::add_casting(&first, "with a cut photo");
    let face = FaceBody {
        casting,
        name: "top".into(),
        note: None,
    };
    let face = first.add_face(&face).unwrap();
    let (photo, _) = first.add_photo(face, &cut, None).unwrap();
    let (whole, _) = first
        .add_photo(face, &fixture("progressive.jpg"), None)
        .unwrap();
    for notebook in [&first, &second] {
        sync_folder(notebook, remote.path()).unwrap();
        let is_marked = |photo| notebook.photo(photo).unwrap().incomplete;
        assert!(is_marked(photo) && !is_marked(whole));
        let photos = notebook.face(face).unwrap().photos;
        assert_eq!(photos.iter().filter(|photo| photo.incomplete).count(), 1);
        let page = |path: String| match answer(notebook, &Request::get(&path)).body {
            Body::Text(text) => text,
            Body::File(_) | Body::Bytes(_) | Body::Empty => panic!("{path} is a page"),
        };
        let says = |path: String| page(path).contains("file was cut short");
        assert!(says(format!("/photo/{photo}")) && says(format!("/face/{face}")));
        assert!(!says(format!("/photo/{whole}")));
    }
}

const ANY: [&str; 12] = [
    "phone.jpg",
    "phone-everywhere.jpg",
    "phone-trailer.jpg",
    "phone.png",
    "progressive.jpg",
    "full-color-restarts.jpg",
    "print-luma.jpg",
    "gray.jpg",
    "interlaced.png",
    "palette.png",
    "deep.png",
    "clear.png",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Whatever bytes change: the photo is rejected and nothing is stored, or it is stored as any
    /// other.
    #[test]
    fn changed_bytes_never_damage_the_store(
        name in prop::sample::select(&ANY[..]),
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8),
        keep: bool,
    ) {
        let (dir, store) = store();
        let mut bytes = fs::read(fixture(name)).unwrap();
        changes.iter().for_each(|(at, byte)| *at.get_mut(&mut bytes) = *byte);
        let source = dir.path().join("changed");
        fs::write(&source, &bytes).unwrap();
        let metadata = if keep { Metadata::Keep } else { Metadata::Strip };
        match store.import(&source, metadata) {
            Ok(photo) => {
                store.verify(&photo.hash).unwrap();
                prop_assert_eq!(files(&dir.path().join("photos")).len(), 3);
            }
            Err(_) => prop_assert_eq!(files(&dir.path().join("photos")).len(), 0),
        }
    }
}
