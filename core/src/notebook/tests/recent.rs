//! What was opened last on this device.

use super::*;
use crate::notebook::{Finding, Opened};

fn opened(notebook: &Notebook) -> Vec<Opened> {
    let recent = notebook.recently_opened().unwrap();
    recent.iter().map(|recent| recent.opened).collect()
}

#[test]
fn the_last_ones_are_kept_each_once_and_after_reopening() {
    let (bench, face, holes) = Bench::with_holes(9);
    let notebook = &bench.notebook;
    assert_eq!(opened(notebook), []);
    let before = notebook.heads().unwrap();
    for hole in &holes {
        notebook.remember_opened(Opened::Hole(*hole)).unwrap();
    }
    notebook.remember_opened(Opened::Face(face)).unwrap();
    notebook.remember_opened(Opened::Hole(holes[6])).unwrap();
    notebook.remember_opened(Opened::Hole(holes[6])).unwrap();
    let hole = |at: usize| Opened::Hole(holes[at]);
    let expected = [
        hole(6),
        Opened::Face(face),
        hole(8),
        hole(7),
        hole(5),
        hole(4),
    ];
    assert_eq!(opened(notebook), expected);
    assert_eq!(notebook.heads().unwrap(), before, "it is no journal entry");
    drop(bench.notebook);
    let notebook = Notebook::open(bench.dir.path()).unwrap();
    assert_eq!(opened(&notebook), expected);
    assert!(notebook.verify().unwrap().is_ok());
    let recent = notebook.recently_opened().unwrap();
    assert_eq!(recent[0].holes.len(), 1);
    assert_eq!(recent[0].holes[0].number, 7);
    assert_eq!(recent[1].holes.len(), 9);
    assert_eq!(recent[1].face_name.as_deref(), Some("cover joint"));
}

#[test]
fn what_is_gone_is_left_out() {
    let (bench, _, holes) = Bench::with_holes(2);
    let notebook = &bench.notebook;
    for hole in &holes {
        notebook.remember_opened(Opened::Hole(*hole)).unwrap();
    }
    let placed = notebook.hole(holes[1]).unwrap().placement.0[0].entry;
    notebook.strike_out(placed, "counted twice").unwrap();
    assert_eq!(opened(notebook), [Opened::Hole(holes[0])]);
}

#[test]
fn a_value_that_cannot_be_read_counts_as_nothing_and_is_reported() {
    let (bench, face, _) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let sql = "INSERT OR REPLACE INTO setting VALUES ('recent', '[{\"planet\": 3}]')";
    notebook.connection().execute(sql, []).unwrap();
    assert_eq!(opened(notebook), []);
    let findings = notebook.verify().unwrap().findings;
    assert!(matches!(&findings[..], [Finding::Setting { name, .. }] if name == "recent"));
    notebook.remember_opened(Opened::Face(face)).unwrap();
    assert_eq!(opened(notebook), [Opened::Face(face)]);
}
