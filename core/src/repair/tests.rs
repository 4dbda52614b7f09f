//! Databases damaged in every way: what can be read is recovered, what is damaged is kept, and a
//! sync restores the rest.
#![allow(clippy::unwrap_used)]

mod files;
mod random;

use super::*;
use crate::hole::record::Note;
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{Bench, depth_of, derived_tables, lay_out, lines};
use crate::notebook::{Head, HoleEntry, HoleId, Line};
use crate::sync::{FolderRemote, Remote, Segment, sync_folder};
use std::collections::BTreeSet;
use tempfile::TempDir;

/// A notebook as it is on disk while it is open, with a log, and with lines of another device.
struct Sample {
    file: Vec<u8>,
    log: Vec<u8>,
    lines: Vec<Line>,
    derived_tables: Vec<(&'static str, Vec<Vec<rusqlite::types::Value>>)>,
    device: DeviceId,
    /// A remote that has all of it.
    remote: TempDir,
}

fn note(notebook: &Notebook, hole: HoleId, bytes: usize) {
    let text = format!("{bytes} ").repeat(bytes / 4 + 1);
    let note = HoleEntry::Note(Note { text });
    notebook.record(hole, note, &[]).unwrap();
}

impl Sample {
    fn new() -> Self {
        let bench = Bench::new();
        let (_, holes) = lay_out(&bench.notebook, 4);
        let phone = Bench::new();
        let remote = TempDir::new().unwrap();
        sync_folder(&bench.notebook, remote.path()).unwrap();
        sync_folder(&phone.notebook, remote.path()).unwrap();
        for turn in 0..30 {
            let hole = holes[turn % 4];
            let mm = 1.0 + turn as f64;
            phone.notebook.record(hole, depth_of(mm), &[]).unwrap();
            bench.notebook.record(hole, depth_of(mm), &[]).unwrap();
            if turn % 10 == 5 {
                note(&bench.notebook, hole, 500 * turn);
            }
        }
        sync_folder(&phone.notebook, remote.path()).unwrap();
        sync_folder(&bench.notebook, remote.path()).unwrap();
        let checkpoint = "PRAGMA wal_checkpoint(TRUNCATE); PRAGMA wal_autocheckpoint = 0";
        bench
            .notebook
            .connection()
            .execute_batch(checkpoint)
            .unwrap();
        for turn in 0..8 {
            bench
                .notebook
                .record(holes[0], depth_of(40.0), &[])
                .unwrap();
            note(&bench.notebook, holes[1], 700 * turn);
        }
        sync_folder(&bench.notebook, remote.path()).unwrap();
        let file = bench.dir.path().join(FILE);
        Self {
            log: fs::read(side_file(&file, "-wal")).unwrap(),
            file: fs::read(file).unwrap(),
            lines: lines(&bench.notebook),
            derived_tables: derived_tables(&bench.notebook),
            device: bench.notebook.device().unwrap(),
            remote,
        }
    }

    /// Writes it to a folder.
    fn in_folder(&self) -> TempDir {
        put(&self.file, &self.log)
    }
}

fn put(file: &[u8], log: &[u8]) -> TempDir {
    let dir = TempDir::new().unwrap();
    fs::create_dir(dir.path().join(PHOTOS)).unwrap();
    fs::write(dir.path().join(FILE), file).unwrap();
    fs::write(side_file(&dir.path().join(FILE), "-wal"), log).unwrap();
    dir
}

/// Every line that is in view.
fn recovered_lines(dir: &Path) -> BTreeSet<String> {
    texts(&lines(&Notebook::open(dir).unwrap()))
}

/// Whether all that can be read is in order, and only lost lines are reported.
fn only_losses(report: &VerifyReport) -> bool {
    let mut findings = report.findings.iter();
    findings.all(|finding| matches!(finding, Finding::Gap { .. } | Finding::End { .. }))
}

fn texts(lines: &[Line]) -> BTreeSet<String> {
    lines.iter().map(|line| line.text().to_owned()).collect()
}

/// Checks what is true after every repair: the notebook has no findings but lost lines, has no line
/// that was never written, can be written, and a sync with a remote that has everything restores it
/// completely.
fn check(sample: &Sample, dir: &Path, repaired: &RepairReport) -> BTreeSet<String> {
    assert!(only_losses(&repaired.now), "{:?}", repaired.now.findings);
    assert_eq!(repaired.now.unexpected_files, []);
    let recovered_lines = recovered_lines(dir);
    assert!(
        recovered_lines.is_subset(&texts(&sample.lines)),
        "a line was invented"
    );
    let notebook = Notebook::open(dir).unwrap();
    let again = Notebook::open(dir).unwrap().verify().unwrap();
    assert_eq!(again, repaired.now);
    sync_folder(&notebook, sample.remote.path()).unwrap();
    assert!(texts(&lines(&notebook)) == texts(&sample.lines));
    assert!(derived_tables(&notebook) == sample.derived_tables);
    let device = notebook.device().unwrap();
    let before = notebook.last_number(device).unwrap();
    let hole = notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    notebook.record(hole, depth_of(77.0), &[]).unwrap();
    assert_eq!(notebook.last_number(device).unwrap(), before + 1);
    let other = TempDir::new().unwrap();
    let report = sync_folder(&notebook, other.path()).unwrap();
    assert_eq!((report.problems, report.continued_as), (vec![], None));
    assert!(notebook.verify().unwrap().is_ok());
    recovered_lines
}
