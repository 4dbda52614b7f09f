//! Databases damaged in every way: what reads is saved, what is damaged is kept, and an exchange brings the rest.
#![allow(clippy::unwrap_used)]

mod files;
mod random;

use super::*;
use crate::exchange::exchange;
use crate::hole::record::Note;
use crate::notebook::tests::photos::photo_file;
use crate::notebook::tests::{Bench, depth_of, lay_out, lines, worked_out};
use crate::notebook::{HoleId, Saying};
use std::collections::BTreeSet;
use tempfile::TempDir;

/// A notebook as it lies on the disk while it is open, with a log, and lines of another device in it.
struct Laid {
    file: Vec<u8>,
    log: Vec<u8>,
    lines: Vec<Line>,
    worked_out: Vec<(&'static str, Vec<Vec<rusqlite::types::Value>>)>,
    device: DeviceId,
    /// A shelf that has all of it.
    shelf: TempDir,
}

fn note(notebook: &Notebook, hole: HoleId, bytes: usize) {
    let text = format!("{bytes} ").repeat(bytes / 4 + 1);
    let note = Saying::Note(Note { text });
    notebook.say(hole, note, &[]).unwrap();
}

impl Laid {
    fn out() -> Self {
        let bench = Bench::new();
        let (_, holes) = lay_out(&bench.notebook, 4);
        let guest = Bench::new();
        let shelf = TempDir::new().unwrap();
        exchange(&bench.notebook, shelf.path()).unwrap();
        exchange(&guest.notebook, shelf.path()).unwrap();
        for turn in 0..30 {
            let hole = holes[turn % 4];
            let mm = 1.0 + turn as f64;
            guest.notebook.say(hole, depth_of(mm), &[]).unwrap();
            bench.notebook.say(hole, depth_of(mm), &[]).unwrap();
            if turn % 10 == 5 {
                note(&bench.notebook, hole, 500 * turn);
            }
        }
        exchange(&guest.notebook, shelf.path()).unwrap();
        exchange(&bench.notebook, shelf.path()).unwrap();
        let checkpoint = "PRAGMA wal_checkpoint(TRUNCATE); PRAGMA wal_autocheckpoint = 0";
        bench
            .notebook
            .connection()
            .execute_batch(checkpoint)
            .unwrap();
        for turn in 0..8 {
            bench.notebook.say(holes[0], depth_of(40.0), &[]).unwrap();
            note(&bench.notebook, holes[1], 700 * turn);
        }
        exchange(&bench.notebook, shelf.path()).unwrap();
        let file = bench.dir.path().join(FILE);
        Self {
            log: fs::read(side_file(&file, "-wal")).unwrap(),
            file: fs::read(file).unwrap(),
            lines: lines(&bench.notebook),
            worked_out: worked_out(&bench.notebook),
            device: bench.notebook.device().unwrap(),
            shelf,
        }
    }

    /// Lays it out in a folder.
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

/// Every line that is in the notebook or waits on its shelf in `aside`.
fn saved(dir: &Path, mended: &Mended) -> BTreeSet<String> {
    let notebook = Notebook::open(dir).unwrap();
    let mut saved: BTreeSet<String> = texts(&lines(&notebook));
    let waiting = mended
        .saved
        .as_ref()
        .and_then(|saved| saved.waiting_on.as_ref());
    let mut folders: Vec<PathBuf> = waiting.map(|shelf| dir.join(shelf)).into_iter().collect();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let text = fs::read_to_string(path).unwrap();
                saved.extend(text.lines().map(str::to_owned));
            }
        }
    }
    saved
}

fn texts(lines: &[Line]) -> BTreeSet<String> {
    lines.iter().map(|line| line.text().to_owned()).collect()
}

/// What holds after every repair: the notebook is sound, holds nothing that was never written, can be written, and an exchange with
/// a shelf that has everything makes it what it was.
fn check(laid: &Laid, dir: &Path, mended: &Mended) -> BTreeSet<String> {
    assert!(mended.now.is_sound(), "{:?}", mended.now.findings);
    assert_eq!(mended.now.stray, []);
    let saved = saved(dir, mended);
    assert!(saved.is_subset(&texts(&laid.lines)), "a line was made up");
    let notebook = Notebook::open(dir).unwrap();
    let again = Notebook::open(dir).unwrap().verify().unwrap();
    assert_eq!(again, mended.now);
    exchange(&notebook, laid.shelf.path()).unwrap();
    assert!(texts(&lines(&notebook)) == texts(&laid.lines));
    assert!(worked_out(&notebook) == laid.worked_out);
    let device = notebook.device().unwrap();
    let before = notebook.last_number(device).unwrap();
    let hole = notebook.list().unwrap().castings[0].faces[0].holes[0].id;
    notebook.say(hole, depth_of(77.0), &[]).unwrap();
    assert_eq!(notebook.last_number(device).unwrap(), before + 1);
    let other = TempDir::new().unwrap();
    let report = exchange(&notebook, other.path()).unwrap();
    assert_eq!((report.problems, report.went_on_as), (vec![], None));
    assert!(notebook.verify().unwrap().is_sound());
    saved
}
