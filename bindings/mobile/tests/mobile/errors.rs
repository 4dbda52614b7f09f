//! Errors of notebooks and photos, each with its real cause. Those of remotes, bundles, pairing and
//! full disks are in `sync`.

use crate::support::{TestPhone, measured_hole, photo};
use holebook_core::notebook as core;
use holebook_core::photo::{LARGEST_FILE_BYTES, LARGEST_PICTURE_PIXELS};
use holebook_mobile::*;
use std::fs;
use std::path::Path;

fn open(folder: &Path) -> Result<(), NotebookError> {
    Notebook::open(folder.to_string_lossy().into_owned()).map(drop)
}

#[test]
fn notebook_that_cannot_be_opened_says_why_and_stays_unchanged() {
    let phone = TestPhone::new();
    phone.notebook.shutdown();
    let at = |name: &str| phone.dir.path().join(name);
    let file = at("notebook/notebook.sqlite");
    let sound = fs::read(&file).unwrap();
    let conn = rusqlite::Connection::open(&file).unwrap();
    conn.pragma_update(None, "user_version", 999).unwrap();
    conn.close().unwrap();
    let newer = open(&at("notebook")).unwrap_err();
    assert!(
        matches!(newer, NotebookError::NewerVersion { theirs: 999, .. }),
        "{newer:?}"
    );

    let mut bytes = sound;
    bytes[4096..].fill(0x5a);
    fs::create_dir(at("damaged")).unwrap();
    fs::write(at("damaged/notebook.sqlite"), &bytes).unwrap();
    let damaged = open(&at("damaged")).unwrap_err();
    assert!(
        matches!(&damaged, NotebookError::Damaged { dir, .. } if dir.ends_with("damaged")),
        "{damaged:?}"
    );
    assert_eq!(fs::read(at("damaged/notebook.sqlite")).unwrap(), bytes);

    fs::write(at("letter"), "Dear").unwrap();
    let not_made = open(&at("letter/notebook")).unwrap_err();
    assert!(
        matches!(not_made, NotebookError::NotWritable { .. }),
        "{not_made:?}"
    );
    // Linux, limits.h, NAME_MAX: a name has 255 bytes at most.
    let long = open(&at(&"n".repeat(256))).unwrap_err();
    assert!(matches!(long, NotebookError::Storage { .. }), "{long:?}");
}

#[test]
fn notebook_locked_by_another_program_is_busy() {
    let phone = TestPhone::new();
    let file = phone.dir.path().join("notebook/notebook.sqlite");
    let other = rusqlite::Connection::open(file).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let body = CastingBody {
        name: "late".to_owned(),
        note: None,
        metal: None,
    };
    let busy = phone.notebook.add_casting(body.clone()).unwrap_err();
    assert!(matches!(busy, NotebookError::Busy { .. }), "{busy:?}");
    other.execute_batch("ROLLBACK").unwrap();
    phone.notebook.add_casting(body).unwrap();
}

/// No typed call imports lines alone, and a sync reports such lines as the remote's problem; so this
/// calls the core and converts its error.
#[test]
fn lines_after_a_gap_are_rejected() {
    let phone = TestPhone::new();
    phone.notebook.shutdown();
    let core = core::Notebook::open(&phone.dir.path().join("notebook")).unwrap();
    let second = core::Entry {
        id: core::EntryId::fresh(),
        device: core::DeviceId::fresh(),
        seq: 2,
        at: chrono::Local::now().fixed_offset(),
        by: "Ada".to_owned(),
        kind: core::EntryKind::Casting.name().to_owned(),
        subject: core::CastingId::fresh().into(),
        body: serde_json::json!({"name": "one"}),
        replaces: Vec::new(),
        prev: Some(core::LineHash::of("the first")),
        seen: Vec::new(),
        corrects: None,
    };
    let second = core::Line::write(&second).unwrap();
    let refused: NotebookError = core.import_lines(&[second]).unwrap_err().into();
    let NotebookError::RejectedLine { reason } = refused else {
        panic!("{refused:?}")
    };
    assert!(reason.contains("sync again"), "{reason}");
}

fn problem(error: NotebookError) -> PhotoProblem {
    match error {
        NotebookError::Photo { reason, problem } => {
            assert!(!reason.is_empty());
            problem
        }
        other => panic!("{other:?}"),
    }
}

/// The offset of a JPEG's frame header after its length: sample precision, height, width (ITU-T
/// T.81, section B.2.2).
fn frame(jpeg: &[u8]) -> usize {
    let mut at = 2;
    while !(0xc0..=0xc2).contains(&jpeg[at + 1]) {
        at += 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
    }
    at + 4
}

/// A picture in `tests/photos`.
fn fixture(name: &str) -> Vec<u8> {
    fs::read(Path::new(&photo()).with_file_name(name)).unwrap()
}

/// The phone's photo with a changed frame header.
fn with_frame(change: impl Fn(&mut Vec<u8>, usize)) -> Vec<u8> {
    let mut jpeg = fixture("phone.jpg");
    let frame = frame(&jpeg);
    change(&mut jpeg, frame);
    jpeg
}

#[test]
fn every_photo_problem_is_reported_and_nothing_is_recorded() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let face = measured_hole(notebook).face;
    let state = || format!("{:?}", notebook.face(face).unwrap());
    let before = state();
    let jpeg = fixture("phone.jpg");
    let mut png = fixture("phone.png");
    // The checksum of the pixels is the four bytes before the last chunk, which has 12 (W3C, PNG,
    // sections 5.3 and 11.2.5).
    let sum = png.len() - 16;
    png[sum] ^= 1;
    let edge = LARGEST_PICTURE_PIXELS.isqrt() as u16 + 1;
    let cases: [(PhotoProblem, Vec<u8>); 10] = [
        (PhotoProblem::Empty, Vec::new()),
        (
            PhotoProblem::Heic,
            [&[0; 4], &b"ftypheic"[..], &[0; 40]].concat(),
        ),
        (PhotoProblem::OtherFormat, b"GIF89a12345678901234".to_vec()),
        (PhotoProblem::NotAPicture, b"Dear diary".to_vec()),
        (PhotoProblem::Truncated, jpeg[..jpeg.len() / 2].to_vec()),
        (PhotoProblem::Damaged, png),
        (PhotoProblem::RareJpeg, fixture("arithmetic.jpg")),
        (
            PhotoProblem::NoPixels,
            with_frame(|jpeg, frame| jpeg[frame + 3..frame + 5].fill(0)),
        ),
        (
            PhotoProblem::TooManyPixels,
            with_frame(|jpeg, frame| {
                let edge = edge.to_be_bytes();
                jpeg[frame + 1..frame + 5].copy_from_slice(&[edge, edge].concat());
            }),
        ),
        (
            PhotoProblem::Damaged,
            with_frame(|jpeg, frame| jpeg[frame + 7] = 0),
        ),
    ];
    let file = phone.dir.path().join("photo.jpg");
    let path = file.to_string_lossy().into_owned();
    let add = |path: &str| problem(notebook.add_photo(face, path.to_owned(), None).unwrap_err());
    for (which, content) in cases {
        fs::write(&file, content).unwrap();
        assert_eq!(add(&path), which);
    }
    let large = fs::File::create(&file).unwrap();
    large.set_len(LARGEST_FILE_BYTES + 1).unwrap();
    assert_eq!(add(&path), PhotoProblem::FileTooLarge);
    assert_eq!(add(&format!("{path}.none")), PhotoProblem::Unreadable);
    assert_eq!(
        add(&phone.dir.path().to_string_lossy()),
        PhotoProblem::NotAFile
    );
    assert_eq!(state(), before);
}

#[test]
fn lost_photo_and_photo_that_cannot_be_stored_are_errors() {
    let phone = TestPhone::new();
    let notebook = &phone.notebook;
    let job = measured_hole(notebook);
    let original = notebook.photo_original(job.photo).unwrap();
    let view = || notebook.photo_view(job.photo);
    fs::remove_file(view().unwrap()).unwrap();
    fs::write(&original, "another picture").unwrap();
    assert_eq!(problem(view().unwrap_err()), PhotoProblem::NotAsNamed);
    fs::remove_file(&original).unwrap();
    assert_eq!(problem(view().unwrap_err()), PhotoProblem::Missing);
    let folder = Path::new(&original).parent().unwrap();
    fs::remove_dir_all(folder).unwrap();
    fs::write(folder, "no folder").unwrap();
    let error = notebook.add_photo(job.face, photo(), None).unwrap_err();
    assert_eq!(problem(error), PhotoProblem::Storage);
}
