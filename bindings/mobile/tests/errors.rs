//! What can go wrong with a notebook and with photos, each case made by what makes it in life. The shelves', the bundles', the pairings'
//! and the full disks' are in `meet`.
#![allow(clippy::unwrap_used)]

mod common;

use common::{Desk, photo, read_hole};
use holebook_core::notebook as core;
use holebook_core::photo::{LARGEST_FILE_BYTES, LARGEST_PICTURE_PIXELS};
use holebook_mobile::*;
use std::fs;
use std::path::Path;

fn open(folder: &Path) -> Result<(), NotebookError> {
    Notebook::open(folder.to_string_lossy().into_owned()).map(drop)
}

#[test]
fn a_notebook_that_cannot_be_opened_says_why_and_stays_as_it_is() {
    let desk = Desk::new();
    desk.notebook.shutdown();
    let at = |name: &str| desk.dir.path().join(name);
    let file = at("notebook/notebook.sqlite");
    let sound = fs::read(&file).unwrap();
    let conn = rusqlite::Connection::open(&file).unwrap();
    conn.pragma_update(None, "user_version", 9_999).unwrap();
    conn.close().unwrap();
    let newer = open(&at("notebook")).unwrap_err();
    assert!(
        matches!(newer, NotebookError::Newer { theirs: 9_999, .. }),
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
fn a_notebook_that_another_program_keeps_is_busy() {
    let desk = Desk::new();
    let file = desk.dir.path().join("notebook/notebook.sqlite");
    let other = rusqlite::Connection::open(file).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let body = CastingBody {
        name: "late".to_owned(),
        note: None,
        metal: None,
    };
    let busy = desk.notebook.add_casting(body.clone()).unwrap_err();
    assert!(matches!(busy, NotebookError::Busy { .. }), "{busy:?}");
    other.execute_batch("ROLLBACK").unwrap();
    desk.notebook.add_casting(body).unwrap();
}

/// No call of the face takes lines by themselves, and an exchange says such a thing of the shelf; so the core is asked, and what it
/// says crosses as any of its errors does.
#[test]
fn lines_without_those_before_them_are_not_taken() {
    let desk = Desk::new();
    desk.notebook.shutdown();
    let core = core::Notebook::open(&desk.dir.path().join("notebook")).unwrap();
    let second = core::Entry {
        id: core::EntryId::fresh(),
        device: core::DeviceId::fresh(),
        seq: 2,
        at: chrono::Local::now().fixed_offset(),
        by: "Ada".to_owned(),
        kind: core::Kind::Casting.word().to_owned(),
        subject: core::CastingId::fresh().into(),
        body: serde_json::json!({"name": "one"}),
        replaces: Vec::new(),
        prev: Some(core::LineHash::of("the first")),
    };
    let second = core::Line::write(&second).unwrap();
    let refused: NotebookError = core.take(&[second]).unwrap_err().into();
    let NotebookError::NotTaken { reason } = refused else {
        panic!("{refused:?}")
    };
    assert!(reason.contains("exchange again"), "{reason}");
}

fn flaw(error: NotebookError) -> PhotoFlaw {
    match error {
        NotebookError::Photo { reason, flaw } => {
            assert!(!reason.is_empty());
            flaw
        }
        other => panic!("{other:?}"),
    }
}

/// Where the frame of a JPEG begins, behind its length: sample precision, height, width (ITU-T T.81, section B.2.2).
fn frame(jpeg: &[u8]) -> usize {
    let mut at = 2;
    while !(0xc0..=0xc2).contains(&jpeg[at + 1]) {
        at += 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
    }
    at + 4
}

/// A picture from the tests' own folder.
fn fixture(name: &str) -> Vec<u8> {
    fs::read(Path::new(&photo()).with_file_name(name)).unwrap()
}

/// The tests' photo with other bytes in its frame.
fn with(change: impl Fn(&mut Vec<u8>, usize)) -> Vec<u8> {
    let mut jpeg = fixture("phone.jpg");
    let frame = frame(&jpeg);
    change(&mut jpeg, frame);
    jpeg
}

#[test]
fn every_flaw_that_a_photo_may_have_is_told_and_nothing_is_recorded() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let face = read_hole(book).face;
    let noted = || format!("{:?}", book.face(face.clone()).unwrap());
    let before = noted();
    let jpeg = fixture("phone.jpg");
    let mut png = fixture("phone.png");
    // Before the last chunk, which has 12 bytes, stand four of the sum over the pixels (W3C, PNG, sections 5.3 and 11.2.5).
    let sum = png.len() - 16;
    png[sum] ^= 1;
    let edge = LARGEST_PICTURE_PIXELS.isqrt() as u16 + 1;
    let cases: [(PhotoFlaw, Vec<u8>); 10] = [
        (PhotoFlaw::Empty, Vec::new()),
        (
            PhotoFlaw::Heic,
            [&[0; 4], &b"ftypheic"[..], &[0; 40]].concat(),
        ),
        (PhotoFlaw::OtherFormat, b"GIF89a12345678901234".to_vec()),
        (PhotoFlaw::NotAPicture, b"Dear diary".to_vec()),
        (PhotoFlaw::CutShort, jpeg[..jpeg.len() / 2].to_vec()),
        (PhotoFlaw::Damaged, png),
        (PhotoFlaw::RareJpeg, fixture("arithmetic.jpg")),
        (
            PhotoFlaw::NoPixels,
            with(|jpeg, frame| jpeg[frame + 3..frame + 5].fill(0)),
        ),
        (
            PhotoFlaw::TooManyPixels,
            with(|jpeg, frame| {
                let edge = edge.to_be_bytes();
                jpeg[frame + 1..frame + 5].copy_from_slice(&[edge, edge].concat());
            }),
        ),
        (PhotoFlaw::Damaged, with(|jpeg, frame| jpeg[frame + 7] = 0)),
    ];
    let file = desk.dir.path().join("photo.jpg");
    let path = file.to_string_lossy().into_owned();
    let add = |path: &str| {
        flaw(
            book.add_photo(face.clone(), path.to_owned(), None)
                .unwrap_err(),
        )
    };
    for (which, content) in cases {
        fs::write(&file, content).unwrap();
        assert_eq!(add(&path), which);
    }
    let large = fs::File::create(&file).unwrap();
    large.set_len(LARGEST_FILE_BYTES + 1).unwrap();
    assert_eq!(add(&path), PhotoFlaw::FileTooLarge);
    assert_eq!(add(&format!("{path}.none")), PhotoFlaw::Unreadable);
    assert_eq!(add(&desk.dir.path().to_string_lossy()), PhotoFlaw::NotAFile);
    assert_eq!(noted(), before);
}

#[test]
fn photos_that_the_notebook_has_lost_or_cannot_keep_say_so() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let job = read_hole(book);
    let original = book.photo_original(job.photo.clone()).unwrap();
    let view = || book.photo_view(job.photo.clone());
    fs::remove_file(view().unwrap()).unwrap();
    fs::write(&original, "another picture").unwrap();
    assert_eq!(flaw(view().unwrap_err()), PhotoFlaw::NotAsNamed);
    fs::remove_file(&original).unwrap();
    assert_eq!(flaw(view().unwrap_err()), PhotoFlaw::Missing);
    let folder = Path::new(&original).parent().unwrap();
    fs::remove_dir_all(folder).unwrap();
    fs::write(folder, "no folder").unwrap();
    let kept = book.add_photo(job.face, photo(), None).unwrap_err();
    assert_eq!(flaw(kept), PhotoFlaw::Storage);
}
