//! Opening what is not a notebook: one sentence, and nothing is changed.

use super::*;
use crate::notebook::{NotebookError, open};
use rusqlite::Connection;
use std::fs;
use std::path::Path;
use std::time::SystemTime;

/// Everything in a folder: names, contents and timestamps.
fn snapshot(dir: &Path) -> Vec<(String, Vec<u8>, SystemTime)> {
    let files = fs::read_dir(dir)
        .unwrap()
        .map(Result::unwrap)
        .filter(|entry| entry.path().is_file());
    let mut files: Vec<_> = files
        .map(|entry| {
            let name = entry.file_name().into_string().unwrap();
            (
                name,
                fs::read(entry.path()).unwrap(),
                entry.metadata().unwrap().modified().unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

/// Opens a folder that is refused, and checks that nothing in it was touched.
fn refused(dir: &Path) -> NotebookError {
    let before = snapshot(dir);
    let time = fs::metadata(dir).unwrap().modified().unwrap();
    let error = Notebook::open(dir).map(drop).unwrap_err();
    assert_eq!(snapshot(dir), before, "{error}");
    assert_eq!(
        fs::metadata(dir).unwrap().modified().unwrap(),
        time,
        "{error}"
    );
    let sentence = error.to_string();
    assert!(
        sentence.contains("; ") && !sentence.contains('\n'),
        "{sentence}"
    );
    error
}

fn file_in(dir: &TempDir) -> std::path::PathBuf {
    dir.path().join(open::FILE)
}

#[test]
fn a_newer_notebook_is_refused_and_left_as_it_is() {
    let Bench { notebook, dir } = Bench::new();
    drop(notebook);
    Connection::open(file_in(&dir))
        .unwrap()
        .pragma_update(None, "user_version", 99)
        .unwrap();
    let error = refused(dir.path());
    assert!(
        matches!(error, NotebookError::Newer { theirs: 99, .. }),
        "{error}"
    );
}

#[test]
fn a_newer_notebook_whose_layout_is_still_in_the_log_is_refused_too() {
    let Bench { notebook, dir } = Bench::new();
    drop(notebook);
    let newer = Connection::open(file_in(&dir)).unwrap();
    newer.pragma_update(None, "wal_autocheckpoint", 0).unwrap();
    newer.pragma_update(None, "user_version", 99).unwrap();
    // As it is on disk when power fails.
    let after = TempDir::new().unwrap();
    for name in [open::FILE, "notebook.sqlite-wal"] {
        fs::copy(dir.path().join(name), after.path().join(name)).unwrap();
    }
    let error = refused(after.path());
    assert!(
        matches!(error, NotebookError::Newer { theirs: 99, .. }),
        "{error}"
    );
    let error = Notebook::open(dir.path()).map(drop).unwrap_err();
    assert!(
        matches!(error, NotebookError::Newer { .. }),
        "while the newer one runs: {error}"
    );
}

#[test]
fn what_is_not_a_notebook_is_refused_and_left_as_it_is() {
    let foreign = TempDir::new().unwrap();
    Connection::open(file_in(&foreign))
        .unwrap()
        .execute_batch("CREATE TABLE song (title TEXT);")
        .unwrap();
    let text = TempDir::new().unwrap();
    fs::write(file_in(&text), "a shopping list, and no database at all: it is long enough for a header of a hundred bytes, though").unwrap();
    let other = TempDir::new().unwrap();
    fs::write(other.path().join("letter.txt"), "Dear Sir").unwrap();
    for dir in [&foreign, &text, &other] {
        let error = refused(dir.path());
        assert!(
            matches!(error, NotebookError::NotANotebook { .. }),
            "{error}"
        );
    }
    let error = Notebook::open(&other.path().join("letter.txt"))
        .map(drop)
        .unwrap_err();
    assert!(!error.to_string().is_empty());
    assert_eq!(
        fs::read_to_string(other.path().join("letter.txt")).unwrap(),
        "Dear Sir"
    );
}

#[test]
fn a_damaged_file_is_reported_and_never_deleted() {
    let (bench, _, holes) = Bench::with_holes(5);
    for mm in 1..=300 {
        bench
            .notebook
            .record(holes[mm % 5], depth_of(mm as f64), &[])
            .unwrap();
    }
    let Bench { notebook, dir } = bench;
    drop(notebook);
    let whole = fs::read(file_in(&dir)).unwrap();
    let pages = whole.len() / 4096;
    for page in 1..pages {
        let mut damaged = whole.clone();
        damaged[page * 4096..(page + 1) * 4096].fill(0xa5);
        fs::write(file_in(&dir), &damaged).unwrap();
        let unsound = match Notebook::open(dir.path()) {
            Ok(notebook) => notebook.verify().map_or(true, |report| !report.is_ok()),
            Err(NotebookError::Damaged { .. }) => true,
            Err(error) => panic!("page {page}: {error}"),
        };
        assert!(unsound, "page {page}");
        assert_eq!(fs::read(file_in(&dir)).unwrap().len(), damaged.len());
    }
    fs::write(file_in(&dir), &whole[..whole.len() / 2]).unwrap();
    let unsound = Notebook::open(dir.path())
        .and_then(|notebook| notebook.verify())
        .map_or(true, |report| !report.is_ok());
    assert!(unsound, "cut in half");
}

#[test]
fn a_file_left_empty_by_a_power_cut_becomes_a_notebook() {
    let dir = TempDir::new().unwrap();
    fs::write(file_in(&dir), "").unwrap();
    fs::create_dir(dir.path().join(open::PHOTOS)).unwrap();
    assert!(
        Notebook::open(dir.path())
            .unwrap()
            .verify()
            .unwrap()
            .is_ok()
    );
    // And one that got as far as its header.
    let dir = TempDir::new().unwrap();
    Connection::open(file_in(&dir))
        .unwrap()
        .pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(()))
        .unwrap();
    assert!(
        Notebook::open(dir.path())
            .unwrap()
            .verify()
            .unwrap()
            .is_ok()
    );
}

#[test]
fn a_notebook_created_by_several_at_once_is_one_notebook() {
    for _ in 0..5 {
        let dir = TempDir::new().unwrap();
        let path = dir.path().join("new/notebook");
        let makers: Vec<_> = (0..4)
            .map(|_| {
                let path = path.clone();
                std::thread::spawn(move || Notebook::open(&path).unwrap().device().unwrap())
            })
            .collect();
        let devices: std::collections::BTreeSet<_> = makers
            .into_iter()
            .map(|maker| maker.join().unwrap())
            .collect();
        assert_eq!(devices.len(), 1);
    }
}
