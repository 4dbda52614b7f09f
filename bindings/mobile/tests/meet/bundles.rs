//! Bundles, there and back.

use crate::common::{Desk, read_hole};
use crate::phone::{castings, exchange, note, report};
use holebook_core::notebook::{self as core, DeviceId, Entry, Kind, Line};
use holebook_core::photo::PhotoHash;
use holebook_mobile::*;
use std::io::Read as _;
use std::path::Path;

fn take(file: &str) -> ExchangeWith {
    ExchangeWith::Bundle {
        path: file.to_owned(),
    }
}

/// What is wrong with a bundle.
pub fn wrong(error: NotebookError) -> BundleTrouble {
    match error {
        NotebookError::Bundle { reason, trouble } => {
            assert!(!reason.is_empty());
            trouble
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_bundle_goes_there_and_another_comes_back() {
    let (barn, bench) = (Desk::new(), Desk::new());
    read_hole(&barn.notebook);
    let file = |desk: &Desk, name: &str| {
        let path = desk.dir.path().join(name);
        path.to_string_lossy().into_owned()
    };
    let there = file(&barn, "there.zip");
    let entries = barn.notebook.entries_to_bring_home().unwrap();
    let written = barn
        .notebook
        .write_bundle(there.clone(), BundleOf::NotHome)
        .unwrap();
    assert_eq!((written.entries, written.photos), (entries, 1));
    assert_eq!(written.bytes, std::fs::metadata(&there).unwrap().len());
    // PKWARE, .ZIP File Format Specification, section 4.3.7: a local file header begins so.
    let mut begin = [0; 4];
    let mut open = std::fs::File::open(&there).unwrap();
    open.read_exact(&mut begin).unwrap();
    assert_eq!(&begin, b"PK\x03\x04");
    assert_eq!(
        barn.notebook.entries_to_bring_home().unwrap(),
        entries,
        "a file may never arrive"
    );

    let run = bench.notebook.begin_exchange(take(&there)).unwrap();
    let taken = report(run.result().unwrap());
    assert_eq!(u64::from(taken.entries_taken), entries);
    assert_eq!(taken.photos_taken, 1);
    assert_eq!(run.progress().shelf, "the bundle 'there.zip'");
    assert!(Path::new(&there).exists(), "the file stays");
    let again = report(exchange(&bench.notebook, take(&there)).unwrap());
    assert_eq!((again.entries_taken, again.photos_taken), (0, 0));

    note(&bench.notebook, "from the bench");
    let back = file(&bench, "back.zip");
    bench
        .notebook
        .write_bundle(back.clone(), BundleOf::All)
        .unwrap();
    assert_eq!(
        report(exchange(&barn.notebook, take(&back)).unwrap()).entries_taken,
        1
    );
    assert_eq!(castings(&barn.notebook), castings(&bench.notebook));
}

#[test]
fn what_is_wrong_with_a_bundle_is_told_and_nothing_changes() {
    let desk = Desk::new();
    let book = &desk.notebook;
    let at = |name: &str| desk.dir.path().join(name).to_string_lossy().into_owned();
    let write = |name: &str, what| book.write_bundle(at(name), what).map_err(wrong);
    assert_eq!(
        write("empty.zip", BundleOf::All).unwrap_err(),
        BundleTrouble::Nothing
    );
    note(book, "one");
    write("one.zip", BundleOf::All).unwrap();
    assert_eq!(
        write("one.zip", BundleOf::All).unwrap_err(),
        BundleTrouble::Exists
    );
    let nowhere = write("no/such/folder/one.zip", BundleOf::All).unwrap_err();
    assert_eq!(nowhere, BundleTrouble::NotWritten);

    std::fs::write(at("letter.zip"), "Dear").unwrap();
    let taken = |name: &str| exchange(book, take(&at(name))).map_err(wrong);
    assert_eq!(taken("letter.zip").unwrap_err(), BundleTrouble::Unsound);
    assert_eq!(taken("nothing.zip").unwrap_err(), BundleTrouble::Unreadable);
    assert_eq!(castings(book), ["one"]);
}

#[test]
fn a_file_that_says_it_holds_more_than_a_bundle_may_is_not_taken() {
    let (barn, bench) = (Desk::new(), Desk::new());
    note(&barn.notebook, "one");
    let path = barn.dir.path().join("one.zip");
    let place = path.to_string_lossy().into_owned();
    barn.notebook
        .write_bundle(place.clone(), BundleOf::All)
        .unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    // PKWARE, .ZIP File Format Specification, section 4.3.16: the file ends with 22 bytes, where the number of files stands twice.
    let end = bytes.len() - 22;
    assert_eq!(&bytes[end..end + 4], b"PK\x05\x06");
    for at in [end + 8, end + 10] {
        bytes[at..at + 2].copy_from_slice(&60_000_u16.to_le_bytes());
    }
    std::fs::write(&path, bytes).unwrap();
    let refused = exchange(&bench.notebook, take(&place)).unwrap_err();
    assert!(refused.to_string().contains("60000 files"), "{refused}");
    assert_eq!(wrong(refused), BundleTrouble::Unsound);
    assert_eq!(castings(&bench.notebook), [""; 0]);
}

/// One photo more than there may be files in a bundle, which hold nothing but their number, in a notebook of another device.
fn photographed(dir: &Path, photos: u64) -> Vec<Line> {
    let (device, face) = (DeviceId::fresh(), core::EntryId::fresh());
    let mut lines: Vec<Line> = Vec::new();
    for seq in 1..=photos {
        let content = seq.to_string();
        let hash = PhotoHash::of(content.as_bytes());
        std::fs::write(dir.join(hash.to_string()), content).unwrap();
        let body = serde_json::json!({
            "face": face, "hash": hash, "width_px": 4000, "height_px": 3000, "location_removed": true,
        });
        let entry = Entry {
            id: core::EntryId::fresh(),
            device,
            seq,
            at: chrono::Local::now().fixed_offset(),
            by: "Ada".to_owned(),
            kind: Kind::Photo.word().to_owned(),
            subject: core::EntryId::fresh().into(),
            body,
            replaces: Vec::new(),
            prev: lines.last().map(Line::hash),
        };
        lines.push(Line::write(&entry).unwrap());
    }
    lines
}

#[test]
fn a_notebook_that_holds_more_than_fits_one_bundle_says_so_and_leaves_no_file() {
    let desk = Desk::new();
    desk.notebook.shutdown();
    let folder = desk.dir.path().join("notebook");
    let core = core::Notebook::open(&folder).unwrap();
    let lines = photographed(&folder.join("photos"), 50_000);
    core.take(&lines).unwrap();
    drop(core);

    let book = Notebook::open(folder.to_string_lossy().into_owned()).unwrap();
    let place = desk.dir.path().join("all.zip");
    let path = place.to_string_lossy().into_owned();
    let refused = book.write_bundle(path, BundleOf::All).unwrap_err();
    assert!(refused.to_string().contains("50000 files"), "{refused}");
    assert_eq!(wrong(refused), BundleTrouble::TooMuch);
    let left: Vec<_> = std::fs::read_dir(desk.dir.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "{left:?}");
}
