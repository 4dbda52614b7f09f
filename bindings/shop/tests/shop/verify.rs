//! `holebook verify`, and the first look at a damaged notebook.

use crate::common::served_screens::ServedScreens;
use crate::common::{error_sentence, json, one_line, run, stdout};
use holebook_core::notebook::{HoleEntry, HoleId, Notebook};
use holebook_test_support::notebooks::add_face;
use std::fs;
use std::path::Path;
use std::process::Output;

/// Makes a notebook with a hole and that many notes.
fn notebook(dir: &Path, notes: usize) -> HoleId {
    let notebook = Notebook::open(dir).unwrap();
    let face = add_face(&notebook);
    let hole = notebook.add_hole(face, None, None).unwrap();
    add_notes(&notebook, hole, notes);
    hole
}

fn add_notes(notebook: &Notebook, hole: HoleId, notes: usize) {
    for number in 0..notes {
        let text = format!("note {number}");
        let note = HoleEntry::Note(holebook_core::hole::record::Note { text });
        notebook.record(hole, note, &[]).unwrap();
    }
}

fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A program was killed and left a log, in which then a bit flipped. Whatever is run first, it says
/// so, and every entry is there for a repair.
#[test]
fn a_cut_log_loses_nothing_whatever_is_run_first() {
    for first in ["list", "open", "verify", "bundle"] {
        let home = tempfile::tempdir().unwrap();
        let home = home.path();
        let (made, killed) = (home.join("made"), home.join("killed"));
        let hole = notebook(&made, 0);
        let open = Notebook::open(&made).unwrap();
        add_notes(&open, hole, 60);
        fs::create_dir(&killed).unwrap();
        for file in ["notebook.sqlite", "notebook.sqlite-wal"] {
            fs::copy(made.join(file), killed.join(file)).unwrap();
        }
        drop(open);
        let log = killed.join("notebook.sqlite-wal");
        let mut bytes = fs::read(&log).unwrap();
        let middle = bytes.len() / 4;
        bytes[middle] ^= 4;
        fs::write(&log, bytes).unwrap();
        let dir = killed.to_str().unwrap();
        match first {
            "open" => {
                let args = ["open", "--no-open", "--no-network", "--notebook", dir];
                drop(ServedScreens::start(home, &args));
            }
            "bundle" => {
                let out = home.join("all.zip");
                run(
                    home,
                    &["bundle", "--out", out.to_str().unwrap(), "--notebook", dir],
                );
            }
            command => {
                let looked = run(home, &[command, "--notebook", dir]);
                let said = stderr(&looked);
                assert!(
                    said.contains("holebook verify --repair"),
                    "{command}: {said}"
                );
                // A command that only looks succeeds; one that checks does not.
                assert_eq!(looked.status.success(), command == "list");
            }
        }
        let repaired = json(&run(
            home,
            &["verify", "--repair", "--json", "--notebook", dir],
        ));
        assert_eq!(repaired["findings"], serde_json::json!([]), "{first}");
        // The casting, the face, the hole, and the notes.
        assert_eq!(repaired["entries"], 63, "{first}");
        let said = stdout(&run(home, &["verify", "--notebook", dir]));
        assert!(said.contains("No problems found"), "{said}");
    }
}

/// An entry in the middle is lost: those after it stay in view, and every look says what is wrong
/// until a person accepts the loss.
#[test]
fn what_comes_after_a_lost_entry_stays_in_view_until_the_loss_is_accepted() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let path = home.join("notebook");
    let hole = notebook(&path, 45);
    let conn = rusqlite::Connection::open(path.join("notebook.sqlite")).unwrap();
    conn.execute_batch(
        "DROP TRIGGER entry_is_never_changed;
        UPDATE entry SET line = replace(line, 'note 2\"', 'note 3\"') WHERE seq = 6",
    )
    .unwrap();
    conn.execute_batch("VACUUM; PRAGMA wal_checkpoint(TRUNCATE)")
        .unwrap();
    drop(conn);
    let dir = path.to_str().unwrap();
    let verify = |args: &[&str]| run(home, &[&["verify", "--notebook", dir], args].concat());
    assert!(!verify(&[]).status.success());
    let repaired = verify(&["--repair"]);
    assert!(!repaired.status.success());
    let text = one_line(&String::from_utf8_lossy(&repaired.stdout));
    assert!(text.contains("42 entries come after a lost one"), "{text}");
    assert!(text.contains("Entry 6 of device"), "{text}");
    let view = Notebook::open(&path).unwrap().hole(hole).unwrap();
    assert_eq!(view.record.notes.len(), 44);
    for _ in 0..2 {
        assert!(!verify(&[]).status.success());
        let listed = run(home, &["list", "--notebook", dir]);
        assert!(listed.status.success());
        assert!(stderr(&listed).contains("42 entries come after a lost one"));
    }
    let accepted = verify(&["--accept"]);
    let text = one_line(&String::from_utf8_lossy(&accepted.stdout));
    assert!(accepted.status.success(), "{text}");
    assert!(
        text.contains("42 entries after them recorded again"),
        "{text}"
    );
    stdout(&run(home, &["list", "--notebook", dir]));
    let view = Notebook::open(&path).unwrap().hole(hole).unwrap();
    assert_eq!(view.record.notes.len(), 44);
}

#[test]
fn an_emptied_database_beside_photos_is_not_listed_as_an_empty_notebook() {
    let home = tempfile::tempdir().unwrap();
    let home = home.path();
    let sample = home.join("sample");
    let dir = sample.to_str().unwrap();
    stdout(&run(home, &["demo", "--no-open", "--notebook", dir]));
    fs::write(sample.join("notebook.sqlite"), "").unwrap();
    let refused = error_sentence(&run(home, &["list", "--notebook", dir]));
    assert!(refused.contains("its photos are here"), "{refused}");
    let repaired = run(home, &["verify", "--repair", "--notebook", dir]);
    let text = one_line(&String::from_utf8_lossy(&repaired.stdout));
    assert!(text.contains("its photos are here"), "{text}");
    let listed = run(home, &["list", "--notebook", dir]);
    assert!(
        stderr(&listed).contains("there are photos"),
        "{}",
        stderr(&listed)
    );
}
