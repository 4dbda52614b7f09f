//! Photos: in place before the entry that names them, and verified with the notebook.

use super::*;
use crate::notebook::{Finding, NotebookError};
use crate::photo::PhotoError;
use std::fs;
use std::path::PathBuf;

/// A small photo, by an encoder that is not the notebook's.
pub(crate) fn photo_file(dir: &TempDir, shade: u8) -> PathBuf {
    let file = dir.path().join(format!("photo{shade}.jpg"));
    let pixels = [shade, 90, 20].repeat(64 * 48);
    let encoder = jpeg_encoder::Encoder::new_file(&file, 90).unwrap();
    encoder
        .encode(&pixels, 64, 48, jpeg_encoder::ColorType::Rgb)
        .unwrap();
    file
}

#[test]
fn a_photo_is_imported_marked_and_found_again() {
    let (bench, face, holes) = Bench::with_holes(2);
    let source = TempDir::new().unwrap();
    let file = photo_file(&source, 7);
    let (photo, incoming) = bench
        .notebook
        .add_photo(face, &file, Some("DSC_1.png"))
        .unwrap();
    let first = bench
        .notebook
        .mark(holes[1], photo, 10.0, 20.5, &[])
        .unwrap();
    bench
        .notebook
        .mark(holes[1], photo, 11.0, 20.5, &[first])
        .unwrap();
    let outside = bench.notebook.mark(holes[0], photo, 64.5, 3.0, &[]);
    let outside = outside.unwrap_err();
    assert!(matches!(outside, NotebookError::Invalid(_)), "{outside}");
    let not_a_number = bench.notebook.mark(holes[0], photo, f64::NAN, 3.0, &[]);
    assert!(not_a_number.is_err());

    let view = bench.notebook.photo(photo).unwrap();
    assert_eq!(
        (view.width_px, view.height_px, view.hash),
        (64, 48, incoming.hash)
    );
    assert_eq!(view.marks.len(), 1);
    let mark = view.marks[0].entries.agreed().unwrap();
    assert_eq!((view.marks[0].number, mark.x_px), (2, 11.0));
    assert_eq!(bench.notebook.face(face).unwrap().photos, [view]);
    let marks = bench.notebook.hole(holes[1]).unwrap().marks;
    assert_eq!(marks[0].photo, photo);
    assert!(bench.notebook.verify().unwrap().is_ok());
}

#[test]
fn a_file_that_is_not_a_photo_leaves_no_entry() {
    let (bench, face, _) = Bench::with_holes(0);
    let before = lines(&bench.notebook);
    let text = bench.dir.path().join("words.jpg");
    fs::write(&text, "no picture").unwrap();
    let refused = bench.notebook.add_photo(face, &text, None).unwrap_err();
    assert!(
        matches!(
            refused,
            NotebookError::Photo(PhotoError::NotAPicture { .. })
        ),
        "{refused}"
    );
    assert_eq!(lines(&bench.notebook), before);
    assert!(bench.notebook.photos().hashes().unwrap().is_empty());
}

#[test]
fn verification_finds_a_missing_and_a_changed_photo() {
    let (bench, face, _) = Bench::with_holes(0);
    let source = TempDir::new().unwrap();
    let (_, first) = bench
        .notebook
        .add_photo(face, &photo_file(&source, 1), None)
        .unwrap();
    let (_, second) = bench
        .notebook
        .add_photo(face, &photo_file(&source, 2), None)
        .unwrap();
    fs::remove_file(bench.notebook.photos().original(&first.hash)).unwrap();
    fs::write(bench.notebook.photos().original(&second.hash), "x").unwrap();
    let findings = bench.notebook.verify().unwrap().findings;
    assert!(findings.contains(&Finding::PhotoMissing { photo: first.hash }));
    let damaged = |finding: &Finding| matches!(finding, Finding::PhotoDamaged { photo, .. } if *photo == second.hash);
    assert!(findings.iter().any(damaged));
    assert_eq!(findings.len(), 2);
}

#[test]
fn a_mark_replaces_only_what_its_page_showed() {
    let (bench, face, holes) = Bench::with_holes(1);
    let source = TempDir::new().unwrap();
    let (photo, _) = bench
        .notebook
        .add_photo(face, &photo_file(&source, 9), None)
        .unwrap();
    let mark = |x, over: &[_]| bench.notebook.mark(holes[0], photo, x, 5.0, over).unwrap();
    let first = mark(10.0, &[]);
    mark(20.0, &[first]);
    mark(30.0, &[first]);
    let view = bench.notebook.photo(photo).unwrap();
    assert_eq!(view.marks[0].entries.0.len(), 2);
    assert!(view.marks[0].conflict);
}
