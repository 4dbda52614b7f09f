//! Power fails, the disk is full: acknowledged changes are kept, others leave no trace.

use super::*;
use crate::hole::record::Note;
use crate::notebook::{NotebookError, paths};
use std::fs;

#[test]
fn a_change_that_fails_at_any_table_leaves_no_trace() {
    let (bench, face, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let source = TempDir::new().unwrap();
    let (photo, _) = notebook
        .add_photo(face, &photos::photo_file(&source, 3), None)
        .unwrap();
    let first = notebook.record(holes[0], wanted("M10"), &[]).unwrap();
    let before = (lines(notebook), derived_tables(notebook));
    for table in [
        "subject",
        "entry",
        "entry_status",
        "entry_link",
        "head",
        "hole",
        "mark",
        "photo",
    ] {
        let sql = format!(
            "CREATE TEMP TRIGGER power BEFORE INSERT ON main.{table} BEGIN SELECT RAISE(FAIL, 'power fails'); END"
        );
        notebook.connection().execute_batch(&sql).unwrap();
        let failed = match table {
            "mark" => notebook.mark(holes[0], photo, 1.0, 1.0, &[]).map(drop),
            "photo" => notebook
                .add_photo(face, &photos::photo_file(&source, 4), None)
                .map(drop),
            "subject" => notebook.add_hole(face, None, None).map(drop),
            _ => notebook
                .record(holes[0], wanted("3/8-16"), &[first])
                .map(drop),
        };
        let error = failed.unwrap_err();
        assert!(
            matches!(error, NotebookError::Storage { .. }),
            "{table}: {error}"
        );
        notebook
            .connection()
            .execute_batch("DROP TRIGGER temp.power")
            .unwrap();
        assert_eq!(
            (lines(notebook), derived_tables(notebook)),
            before,
            "{table}"
        );
    }
    notebook.mark(holes[0], photo, 1.0, 1.0, &[]).unwrap();
    // The photo whose entry failed is in place, and its entry can be written now.
    notebook
        .add_photo(face, &photos::photo_file(&source, 4), None)
        .unwrap();
    notebook
        .record(holes[0], wanted("3/8-16"), &[first])
        .unwrap();
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn a_log_cut_anywhere_holds_a_whole_number_of_changes() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench
        .notebook
        .connection()
        .execute_batch("PRAGMA wal_checkpoint(TRUNCATE); PRAGMA wal_autocheckpoint = 0")
        .unwrap();
    for mm in 1..=12 {
        bench
            .notebook
            .record(holes[0], depth_of(f64::from(mm)), &[])
            .unwrap();
    }
    let all = lines(&bench.notebook);
    let file = fs::read(bench.dir.path().join(paths::FILE)).unwrap();
    let log = fs::read(bench.dir.path().join("notebook.sqlite-wal")).unwrap();
    let mut most = 0;
    for part in 0..=24 {
        let after = TempDir::new().unwrap();
        fs::write(after.path().join(paths::FILE), &file).unwrap();
        let cut = log.len() * part / 24;
        fs::write(after.path().join("notebook.sqlite-wal"), &log[..cut]).unwrap();
        let notebook = Notebook::open(after.path()).unwrap();
        let kept = lines(&notebook);
        assert_eq!(kept, all[..kept.len()]);
        assert!(
            kept.len() >= most,
            "more of the log cannot hold fewer entries"
        );
        most = kept.len();
        assert!(notebook.verify().unwrap().is_ok());
        notebook.record(holes[0], depth_of(99.0), &[]).unwrap();
        assert!(notebook.verify().unwrap().is_ok());
    }
    assert_eq!(most, all.len(), "all acknowledged entries are there");
}

#[test]
fn a_full_disk_is_reported_and_no_half_change_is_kept() {
    let (bench, _, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let pages: i64 = notebook
        .connection()
        .pragma_query_value(None, "page_count", |row| row.get(0))
        .unwrap();
    let limit = |pages: i64| {
        notebook
            .connection()
            .pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))
            .unwrap();
    };
    limit(pages + 20);
    let note = || {
        HoleEntry::Note(Note {
            text: "x".repeat(9_000),
        })
    };
    let mut written = 0;
    let error = loop {
        match notebook.record(holes[0], note(), &[]) {
            Ok(_) => written += 1,
            Err(error) => break error,
        }
    };
    assert!(
        matches!(error, NotebookError::StorageFull { .. }),
        "{error}"
    );
    assert!((1..20).contains(&written), "{written}");
    assert_eq!(notebook.hole(holes[0]).unwrap().record.notes.len(), written);
    limit(pages + 1000);
    notebook.record(holes[0], note(), &[]).unwrap();
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn a_notebook_locked_by_another_program_is_reported_as_busy() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench
        .notebook
        .connection()
        .busy_timeout(std::time::Duration::from_millis(50))
        .unwrap();
    let other = rusqlite::Connection::open(bench.dir.path().join(paths::FILE)).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let error = bench
        .notebook
        .record(holes[0], depth_of(1.0), &[])
        .unwrap_err();
    assert!(matches!(error, NotebookError::Busy { .. }), "{error}");
    assert_eq!(
        bench.notebook.hole(holes[0]).unwrap().number,
        1,
        "it can be read meanwhile"
    );
    other.execute_batch("ROLLBACK").unwrap();
    bench.notebook.record(holes[0], depth_of(1.0), &[]).unwrap();
}
