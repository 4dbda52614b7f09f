//! The notebooks that histories begin with. They are prepared once, since creating one takes longer
//! than most steps.

use super::super::copy_folder;
use super::plan::InitialState;
use super::{CheckResult, THREADS};

use crate::notebook::tests::{lay_out, lines, test_clock, wanted};
use crate::notebook::{FILE, Notebook};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tempfile::TempDir;

const STORED: &str = include_str!("../../../notebook/tests/stored/v1.sql");

/// Copies an initial notebook to a new folder.
pub fn copy_to(begin: InitialState, dir: &Path) -> CheckResult {
    static MADE: OnceLock<(TempDir, [PathBuf; 3])> = OnceLock::new();
    let (_, [joined, empty, older]) = MADE.get_or_init(make);
    copy_folder(
        match begin {
            InitialState::SharedCasting => joined,
            InitialState::Empty => empty,
            InitialState::OlderVersion => older,
        },
        dir,
    );
    Ok(())
}

fn make() -> (TempDir, [PathBuf; 3]) {
    // In a thread of its own, so that the test clock of the history that happens to be first has no
    // influence.
    let thread = std::thread::spawn(|| {
        let clock = test_clock::set(u64::MAX);
        clock.set(super::world::START_MS, 0);
        let all = super::folder();
        let [joined, empty, older] = ["joined", "empty", "older"].map(|name| all.path().join(name));
        let author = super::folder();
        let author = Notebook::open(author.path()).unwrap();
        let (_, holes) = lay_out(&author, 2);
        author.record(holes[0], wanted(THREADS[0]), &[]).unwrap();
        for (dir, lines) in [(&joined, lines(&author)), (&empty, Vec::new())] {
            let notebook = Notebook::open(dir).unwrap();
            notebook.import_lines(&lines).unwrap();
            // Each copy gets a device id of its own when it is opened.
            let sql = "DELETE FROM setting WHERE name = 'device'";
            notebook.connection().execute_batch(sql).unwrap();
        }
        fs::create_dir(&older).unwrap();
        let conn = Connection::open(older.join(FILE)).unwrap();
        conn.execute_batch(STORED).unwrap();
        (all, [joined, empty, older])
    });
    thread.join().unwrap()
}
