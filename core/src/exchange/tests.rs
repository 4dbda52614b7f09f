//! Two notebooks and more, over a folder.
#![allow(clippy::unwrap_used)]

mod copies;
mod damage;
mod histories;
mod meeting;
mod photos;
mod shelves;

use super::{Report, exchange};
use crate::notebook::tests::{Bench, lay_out};
use crate::notebook::{HoleId, Notebook};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn shelf() -> TempDir {
    TempDir::new().unwrap()
}

/// Exchanges, and sees that nothing went wrong.
fn meet(notebook: &Notebook, shelf: &Path) -> Report {
    let report = exchange(notebook, shelf).unwrap();
    assert_eq!(report.problems, []);
    report
}

/// The shelf's files, from its folder, with their contents.
fn files(shelf: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let mut folders = vec![shelf.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(shelf).unwrap().to_owned();
                found.push((name, fs::read(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

fn segments(shelf: &Path) -> Vec<PathBuf> {
    let files = files(shelf).into_iter().map(|(name, _)| shelf.join(name));
    files
        .filter(|name| name.extension().is_some_and(|ending| ending == "jsonl"))
        .collect()
}

/// A second notebook that knows all that the first does.
fn joined(first: &Notebook, shelf: &Path) -> Bench {
    let second = Bench::new();
    meet(first, shelf);
    meet(&second.notebook, shelf);
    second
}

fn with_a_hole() -> (Bench, HoleId) {
    let bench = Bench::new();
    let (_, holes) = lay_out(&bench.notebook, 1);
    (bench, holes[0])
}

/// Copies a notebook's folder as it lies, as a backup program would.
fn copy_of(bench: &Bench) -> TempDir {
    let copy = TempDir::new().unwrap();
    copy_folder(bench.dir.path(), copy.path());
    copy
}

fn copy_folder(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy_folder(&entry.path(), &to);
        } else {
            fs::copy(entry.path(), to).unwrap();
        }
    }
}
