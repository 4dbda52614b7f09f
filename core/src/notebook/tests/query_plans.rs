//! The work per tap does not grow with the notebook: every statement that a page or a change runs
//! finds its rows by index.

use super::*;
use crate::length::Unit;
use crate::notebook::{EntryId, recording};
use rusqlite::trace::{TraceEvent, TraceEventCodes};
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex};

/// Every statement that runs while `with` does.
fn statements(notebook: &Notebook, with: impl FnOnce()) -> BTreeSet<String> {
    let seen = Arc::new(Mutex::new(BTreeSet::new()));
    let note = Arc::clone(&seen);
    let trace = move |event: TraceEvent<'_>| {
        if let TraceEvent::Stmt(statement, _) = event {
            note.lock().unwrap().insert(statement.sql().into_owned());
        }
    };
    notebook
        .connection()
        .trace_v2(TraceEventCodes::SQLITE_TRACE_STMT, Some(trace))
        .unwrap();
    with();
    notebook
        .connection()
        .trace_v2(
            TraceEventCodes::SQLITE_TRACE_STMT,
            None::<fn(TraceEvent<'_>)>,
        )
        .unwrap();
    let seen = seen.lock().unwrap();
    seen.iter()
        .filter(|sql| !is_transaction(sql))
        .cloned()
        .collect()
}

fn is_transaction(sql: &str) -> bool {
    ["BEGIN", "COMMIT", "ROLLBACK", "PRAGMA", "--"]
        .iter()
        .any(|word| sql.starts_with(word))
}

/// SQLite's plan for a statement.
fn plan(notebook: &Notebook, sql: &str) -> Vec<String> {
    let conn = notebook.connection();
    let mut statement = conn.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).unwrap();
    let unbound = vec![rusqlite::types::Null; statement.parameter_count()];
    let steps = statement
        .query_map(rusqlite::params_from_iter(unbound), |row| row.get(3))
        .unwrap();
    steps.map(Result::unwrap).collect()
}

fn scans(notebook: &Notebook, statements: &BTreeSet<String>) -> Vec<String> {
    let steps = statements
        .iter()
        .flat_map(|sql| plan(notebook, sql).into_iter().map(move |step| (sql, step)));
    steps
        .filter(|(_, step)| step.starts_with("SCAN ") && step != "SCAN CONSTANT ROW")
        .map(|(sql, step)| format!("{step}: {sql}"))
        .collect()
}

#[test]
fn no_tap_scans_a_table() {
    let (bench, face, holes) = Bench::with_holes(3);
    let notebook = &bench.notebook;
    let source = TempDir::new().unwrap();
    let (photo, _) = notebook
        .add_photo(face, &photos::photo_file(&source, 3), None)
        .unwrap();
    let casting = notebook.face(face).unwrap().casting;
    let seen = statements(notebook, || {
        let first = notebook.record(holes[0], wanted("3/8-16"), &[]).unwrap();
        notebook.record(holes[0], wanted("M10"), &[first]).unwrap();
        notebook.resolve(holes[0], wanted("M10")).unwrap();
        let reading = notebook.record(holes[1], depth_of(9.0), &[]).unwrap();
        notebook.strike_out(reading, "misread").unwrap();
        let mark = notebook.mark(holes[1], photo, 1.0, 2.0, &[]).unwrap();
        let moved = notebook.mark(holes[1], photo, 2.0, 2.0, &[mark]).unwrap();
        notebook.undo(moved).unwrap();
        let (added, entries) = recording(|| notebook.add_hole(face, None, None).unwrap());
        notebook.undo(entries[0].0).unwrap();
        assert!(notebook.hole(added).is_err());
        notebook.add_hole(face, None, None).unwrap();
        notebook.plan_face_cut(face, Length::ZERO, &[]).unwrap();
        notebook.hole(holes[0]).unwrap();
        notebook.face(face).unwrap();
        notebook.tool_runs(face, Unit::Inch).unwrap();
        notebook.tool_runs_of_casting(casting, Unit::Inch).unwrap();
        notebook.photo(photo).unwrap();
        notebook.casting(casting).unwrap();
        notebook
            .history(holes[0].into(), 20, Some(EntryId::fresh()))
            .unwrap();
        notebook.entry(first).unwrap();
        notebook.settings().unwrap();
    });
    assert!(
        seen.len() > 40,
        "too few statements were seen: {}",
        seen.len()
    );
    // The greatest id takes one step at the end of an index, which SQLite calls a scan too.
    let one_step = "SCAN entry USING COVERING INDEX sqlite_autoindex_entry_1: SELECT id FROM entry ORDER BY id DESC LIMIT 1";
    let found: Vec<_> = scans(notebook, &seen)
        .into_iter()
        .filter(|scan| scan != one_step)
        .collect();
    assert_eq!(found, Vec::<String>::new());
}

#[test]
fn a_scan_would_be_noticed() {
    let bench = Bench::new();
    let seen = statements(&bench.notebook, || {
        let count = |row: &rusqlite::Row<'_>| row.get::<_, i64>(0);
        bench
            .notebook
            .connection()
            .query_row(
                "SELECT count(*) FROM entry_status WHERE slot IS NULL",
                [],
                count,
            )
            .unwrap();
    });
    assert_eq!(scans(&bench.notebook, &seen).len(), 1);
}
