//! Bundles, there and back.

use crate::common::{Desk, read_hole};
use crate::phone::{castings, exchange, note, report};
use holebook_mobile::*;
use std::io::Read as _;
use std::path::Path;

fn take(file: &str) -> ExchangeWith {
    ExchangeWith::Bundle {
        path: file.to_owned(),
    }
}

fn wrong(error: NotebookError) -> BundleTrouble {
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
