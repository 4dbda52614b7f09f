//! Notebooks as histories begin with them, kept in memory, since making one from nothing takes longer than most steps.

use super::super::copy_folder;
use super::plan::Begin;
use super::{Done, THREADS};

use crate::notebook::tests::{lay_out, lines, stage, wanted};
use crate::notebook::{FILE, Notebook};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tempfile::TempDir;

const STORED: &str = include_str!("../../../notebook/tests/stored/v1.sql");

/// Puts a notebook into a new folder.
pub fn put(begin: Begin, dir: &Path) -> Done {
    static MADE: OnceLock<(TempDir, [PathBuf; 3])> = OnceLock::new();
    let (_, [joined, empty, older]) = MADE.get_or_init(make);
    copy_folder(
        match begin {
            Begin::Joined => joined,
            Begin::Empty => empty,
            Begin::Older => older,
        },
        dir,
    );
    Ok(())
}

fn make() -> (TempDir, [PathBuf; 3]) {
    // Whatever the history that happens to be first has set.
    let made = std::thread::spawn(|| {
        let stage = stage::set(u64::MAX);
        stage.clock(super::world::START_MS, 0);
        let all = super::folder();
        let [joined, empty, older] = ["joined", "empty", "older"].map(|name| all.path().join(name));
        let author = super::folder();
        let author = Notebook::open(author.path()).unwrap();
        let (_, holes) = lay_out(&author, 2);
        author.say(holes[0], wanted(THREADS[0]), &[]).unwrap();
        for (dir, lines) in [(&joined, lines(&author)), (&empty, Vec::new())] {
            let notebook = Notebook::open(dir).unwrap();
            notebook.take(&lines).unwrap();
            // Each copy gives itself a name when it is opened.
            let sql = "DELETE FROM setting WHERE name = 'device'";
            notebook.connection().execute_batch(sql).unwrap();
        }
        fs::create_dir(&older).unwrap();
        let conn = Connection::open(older.join(FILE)).unwrap();
        conn.execute_batch(STORED).unwrap();
        (all, [joined, empty, older])
    });
    made.join().unwrap()
}
