//! Syncing two and more notebooks over a folder.
#![allow(clippy::unwrap_used)]

mod canceled;
mod copies;
mod damage;
mod histories;
#[cfg(target_os = "linux")]
mod hostile_folder;
mod photos;
mod remotes;
mod two_notebooks;

use super::{SyncReport, sync_folder};
use crate::notebook::tests::{Bench, lay_out};
use crate::notebook::{HoleId, Notebook};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

fn remote() -> TempDir {
    TempDir::new().unwrap()
}

/// Syncs, and expects no problems.
fn sync_cleanly(notebook: &Notebook, remote: &Path) -> SyncReport {
    let report = sync_folder(notebook, remote).unwrap();
    assert_eq!(report.problems, []);
    report
}

/// The remote's files with their contents, by path.
fn files(remote: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let mut folders = vec![remote.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(remote).unwrap().to_owned();
                found.push((name, fs::read(&path).unwrap()));
            }
        }
    }
    found.sort();
    found
}

fn segments(remote: &Path) -> Vec<PathBuf> {
    let files = files(remote).into_iter().map(|(name, _)| remote.join(name));
    files
        .filter(|name| name.extension().is_some_and(|ending| ending == "jsonl"))
        .collect()
}

/// A second notebook that knows everything the first knows.
fn joined(first: &Notebook, remote: &Path) -> Bench {
    let second = Bench::new();
    sync_cleanly(first, remote);
    sync_cleanly(&second.notebook, remote);
    second
}

fn bench_with_hole() -> (Bench, HoleId) {
    let bench = Bench::new();
    let (_, holes) = lay_out(&bench.notebook, 1);
    (bench, holes[0])
}

/// Copies a notebook's folder as it is, as a backup program would.
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
