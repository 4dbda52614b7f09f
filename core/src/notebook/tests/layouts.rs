//! From every earlier layout to this one.

use super::*;
use crate::notebook::{open, schema};
use rusqlite::Connection;

/// Notebooks as earlier versions left them.
const STORED: &[&str] = &[include_str!("stored/v1.sql")];

/// A folder with a stored notebook.
fn stored(sql: &str) -> TempDir {
    let dir = TempDir::new().unwrap();
    let conn = Connection::open(dir.path().join(open::FILE)).unwrap();
    conn.execute_batch(sql).unwrap();
    dir
}

/// Tables, indexes and triggers.
fn layout_of(conn: &Connection) -> Vec<(String, String, Option<String>)> {
    let sql = "SELECT type, name, sql FROM sqlite_schema ORDER BY type, name";
    let mut statement = conn.prepare(sql).unwrap();
    let parts = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
        .unwrap();
    parts.map(Result::unwrap).collect()
}

fn layout_in(dir: &TempDir) -> Vec<(String, String, Option<String>)> {
    layout_of(&Connection::open(dir.path().join(open::FILE)).unwrap())
}

#[test]
fn there_is_a_stored_notebook_of_every_earlier_layout() {
    let message = "a new layout needs a notebook of the one before it in tests/stored";
    assert_eq!(STORED.len() as i64, schema::LAYOUT - 1, "{message}");
    for (at, sql) in STORED.iter().enumerate() {
        let fresh = Connection::open_in_memory().unwrap();
        schema::lay_out_as(&fresh, at + 1);
        let old = stored(sql);
        assert_eq!(
            layout_in(&old),
            layout_of(&fresh),
            "a released layout was edited"
        );
    }
}

#[test]
fn an_earlier_notebook_opens_with_all_it_holds_and_has_the_layout_of_a_new_one() {
    for sql in STORED {
        let dir = stored(sql);
        let notebook = Notebook::open(dir.path()).unwrap();
        let list = notebook.list().unwrap();
        let holes = &list.castings[0].faces[0].holes;
        assert_eq!(list.castings[0].name, "pump end");
        let told: Vec<_> = holes
            .iter()
            .map(|hole| (hole.number, hole.state.word(), hole.in_question))
            .collect();
        assert_eq!(
            told,
            [
                (1, "unread", true),
                (2, "read", false),
                (3, "unread", false)
            ]
        );
        assert_eq!(
            notebook.face(list.castings[0].faces[0].id).unwrap().photos[0]
                .marks
                .len(),
            3
        );
        assert_eq!(notebook.settings().unwrap().person, "Ada");
        assert_eq!(notebook.heads().unwrap().len(), 1);
        assert_eq!(notebook.heads().unwrap()[0].seq, 18);
        // The photo's file is not stored with the test.
        assert_eq!(notebook.verify().unwrap().findings.len(), 1);
        assert_eq!(notebook.repair().unwrap(), []);

        notebook.say(holes[2].id, depth_of(12.0), &[]).unwrap();
        assert_eq!(notebook.heads().unwrap()[0].seq, 19);
        drop(notebook);
        let fresh = Bench::new();
        assert_eq!(layout_in(&dir), layout_in(&fresh.dir));
    }
}

#[test]
fn where_the_tables_are_worked_out_in_another_way_they_are_built_anew() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench.notebook.say(holes[0], depth_of(3.0), &[]).unwrap();
    let tables = worked_out(&bench.notebook);
    let Bench { notebook, dir } = bench;
    notebook.connection().execute_batch("UPDATE hole_now SET state = 'cut'; UPDATE setting SET value = '0' WHERE name = 'worked-out';").unwrap();
    drop(notebook);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(worked_out(&notebook), tables);
}

#[test]
fn verification_finds_a_wrong_table_and_repair_builds_it_anew() {
    let (bench, _, holes) = Bench::with_holes(2);
    bench.notebook.say(holes[0], wanted("M10"), &[]).unwrap();
    let tables = worked_out(&bench.notebook);
    bench
        .notebook
        .connection()
        .execute_batch("UPDATE hole_now SET number = 9; DELETE FROM head;")
        .unwrap();
    let findings = bench.notebook.verify().unwrap().findings;
    let told: Vec<_> = findings.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(
        told[0].contains("head") && told[1].contains("hole_now"),
        "{told:?}"
    );
    assert_ne!(
        worked_out(&bench.notebook),
        tables,
        "verification leaves it as it is"
    );
    assert_eq!(bench.notebook.repair().unwrap(), findings);
    assert_eq!(worked_out(&bench.notebook), tables);
    assert!(bench.notebook.verify().unwrap().is_sound());
}

#[test]
fn an_entry_cannot_be_changed_or_deleted_and_verification_finds_one_that_was() {
    let (bench, _, _) = Bench::with_holes(1);
    let conn = bench.notebook.connection();
    for sql in ["UPDATE entry SET kind = 'x'", "DELETE FROM entry"] {
        let refused = conn.execute(sql, []).unwrap_err().to_string();
        assert!(refused.contains("never"), "{refused}");
    }
    conn.execute_batch("DROP TRIGGER entry_is_never_changed; UPDATE entry SET line = replace(line, 'pump', 'lump') WHERE kind = 'casting';").unwrap();
    drop(conn);
    let findings = bench.notebook.verify().unwrap().findings;
    assert!(
        findings[0].to_string().contains("does not match its hash"),
        "{findings:?}"
    );
}
