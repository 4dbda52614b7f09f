//! Photos of any origin: their metadata and their pixels.

use super::{FuzzEntryPoint, temp_notebook};
use holebook_core::photo::{Metadata, PhotoError, PhotoStore};
use std::fs;
use std::path::Path;

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "photo",
    run,
    examples,
};

/// Pictures that declare more pixels are left to `tests/tests/integration/photos.rs`: decoding one
/// takes longer than a thousand others.
const MAX_PIXELS: u64 = 1 << 18;

/// A photo is imported completely, upright and without a position, and importing the result changes
/// nothing; or it is rejected and nothing is kept.
fn run(bytes: &[u8]) {
    if claims_more_pixels(bytes) {
        return;
    }
    let folder = temp_notebook::folder();
    let source = folder.path().join("source");
    fs::write(&source, bytes).expect("a file in a new folder");
    let photos = PhotoStore::open(folder.path().join("photos")).expect("a folder of photos");
    let incoming = match photos.import(&source, Metadata::Strip) {
        Ok(incoming) => incoming,
        Err(error) => {
            let ours = matches!(
                error,
                PhotoError::Storage { .. } | PhotoError::StorageFull { .. }
            );
            assert!(!ours && !error.to_string().contains('\n'), "{error:?}");
            assert!(photos.hashes().expect("a folder of photos").is_empty());
            return;
        }
    };
    assert_eq!(
        fs::read(&source).expect("the source"),
        bytes,
        "the source is only read"
    );
    photos
        .verify(&incoming.hash)
        .expect("what is stored matches its name");
    assert!(incoming.width > 0 && incoming.height > 0);
    assert_eq!(
        photos.format(&incoming.hash).expect("a stored photo"),
        incoming.format
    );
    let stored = photos.original(&incoming.hash);
    let again = photos
        .import(&stored, Metadata::Strip)
        .expect("a stored photo is one");
    assert_eq!(again.hash, incoming.hash, "nothing is left to be removed");
    assert!(again.already_there && !again.metadata_removed, "{again:?}");
    assert_eq!(
        (again.width, again.height, &again.taken_at),
        (incoming.width, incoming.height, &incoming.taken_at)
    );
    for file in [
        photos.view(&incoming.hash),
        photos.thumbnail(&incoming.hash),
    ] {
        let file = fs::read(file.expect("a stored photo has both")).expect("a view");
        assert!(file.starts_with(&[0xff, 0xd8]) && file.ends_with(&[0xff, 0xd9]));
    }
}

/// Whether a header in these bytes declares more pixels than are decoded here.
fn claims_more_pixels(bytes: &[u8]) -> bool {
    let two = |at: usize| u64::from(bytes[at]) << 8 | u64::from(bytes[at + 1]);
    let jpeg = bytes.windows(9).enumerate().any(|(at, window)| {
        let frame = window[0] == 0xff
            && matches!(window[1], 0xc0..=0xcf)
            && !matches!(window[1], 0xc4 | 0xc8 | 0xcc);
        frame && two(at + 5) * two(at + 7) > MAX_PIXELS
    });
    let png = bytes.windows(12).enumerate().any(|(at, window)| {
        let four = |at: usize| two(at) << 16 | two(at + 2);
        window.starts_with(b"IHDR") && four(at + 4).saturating_mul(four(at + 8)) > MAX_PIXELS
    });
    jpeg || png
}

/// A small photo that is imported unchanged.
pub const SMALL_PHOTO: &[u8] = include_bytes!("../../photos/half-color.jpg");

fn examples() -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("photos");
    let mut files: Vec<_> = fs::read_dir(folder)
        .expect("the photos of the tests")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| {
            path.extension()
                .is_some_and(|kind| kind == "jpg" || kind == "png")
        })
        .collect();
    files.sort();
    let photos = files.iter().filter_map(|file| fs::read(file).ok());
    photos
        .filter(|photo| photo.len() < 24 << 10 && !claims_more_pixels(photo))
        .collect()
}
