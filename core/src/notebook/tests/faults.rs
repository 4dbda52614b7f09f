//! Power fails, the disk is full: what was acknowledged stays, what was not leaves no trace.

use super::*;
use crate::hole::record::Note;
use crate::notebook::{NotebookError, open};
use std::fs;

#[test]
fn a_change_that_fails_at_any_table_leaves_no_trace() {
    let (bench, face, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let source = TempDir::new().unwrap();
    let (photo, _) = notebook
        .add_photo(face, &photos::photo_file(&source, 3), None)
        .unwrap();
    let first = notebook.say(holes[0], wanted("M10"), &[]).unwrap();
    let before = (lines(notebook), worked_out(notebook));
    for table in [
        "thing",
        "entry",
        "said",
        "edge",
        "head",
        "hole_now",
        "mark_now",
        "photo_now",
    ] {
        let sql = format!(
            "CREATE TEMP TRIGGER power BEFORE INSERT ON main.{table} BEGIN SELECT RAISE(FAIL, 'power fails'); END"
        );
        notebook.connection().execute_batch(&sql).unwrap();
        let failed = match table {
            "mark_now" => notebook.mark(holes[0], photo, 1.0, 1.0, &[]).map(drop),
            "photo_now" => notebook
                .add_photo(face, &photos::photo_file(&source, 4), None)
                .map(drop),
            "thing" => notebook.add_hole(face, None, None).map(drop),
            _ => notebook.say(holes[0], wanted("3/8-16"), &[first]).map(drop),
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
        assert_eq!((lines(notebook), worked_out(notebook)), before, "{table}");
    }
    notebook.mark(holes[0], photo, 1.0, 1.0, &[]).unwrap();
    // The photo whose entry failed is there, and its entry can be written now.
    notebook
        .add_photo(face, &photos::photo_file(&source, 4), None)
        .unwrap();
    notebook.say(holes[0], wanted("3/8-16"), &[first]).unwrap();
    assert!(notebook.verify().unwrap().is_sound());
}

#[test]
fn wherever_in_the_log_power_fails_a_whole_number_of_changes_is_there() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench
        .notebook
        .connection()
        .execute_batch("PRAGMA wal_checkpoint(TRUNCATE); PRAGMA wal_autocheckpoint = 0")
        .unwrap();
    for mm in 1..=12 {
        bench
            .notebook
            .say(holes[0], depth_of(f64::from(mm)), &[])
            .unwrap();
    }
    let told = lines(&bench.notebook);
    let file = fs::read(bench.dir.path().join(open::FILE)).unwrap();
    let log = fs::read(bench.dir.path().join("notebook.sqlite-wal")).unwrap();
    let mut most = 0;
    for part in 0..=24 {
        let after = TempDir::new().unwrap();
        fs::write(after.path().join(open::FILE), &file).unwrap();
        let cut = log.len() * part / 24;
        fs::write(after.path().join("notebook.sqlite-wal"), &log[..cut]).unwrap();
        let notebook = Notebook::open(after.path()).unwrap();
        let kept = lines(&notebook);
        assert_eq!(kept, told[..kept.len()]);
        assert!(kept.len() >= most, "more of the log holds no less");
        most = kept.len();
        assert!(notebook.verify().unwrap().is_sound());
        notebook.say(holes[0], depth_of(99.0), &[]).unwrap();
        assert!(notebook.verify().unwrap().is_sound());
    }
    assert_eq!(most, told.len(), "what was acknowledged is there");
}

#[test]
fn a_full_disk_is_said_to_be_full_and_nothing_half_is_kept() {
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
        Saying::Note(Note {
            text: "x".repeat(9_000),
        })
    };
    let mut written = 0;
    let error = loop {
        match notebook.say(holes[0], note(), &[]) {
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
    notebook.say(holes[0], note(), &[]).unwrap();
    assert!(notebook.verify().unwrap().is_sound());
}

#[test]
fn a_notebook_kept_busy_by_another_program_says_so() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench
        .notebook
        .connection()
        .busy_timeout(std::time::Duration::from_millis(50))
        .unwrap();
    let other = rusqlite::Connection::open(bench.dir.path().join(open::FILE)).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let error = bench
        .notebook
        .say(holes[0], depth_of(1.0), &[])
        .unwrap_err();
    assert!(matches!(error, NotebookError::Busy { .. }), "{error}");
    assert_eq!(
        bench.notebook.hole(holes[0]).unwrap().number,
        1,
        "reading goes on meanwhile"
    );
    other.execute_batch("ROLLBACK").unwrap();
    bench.notebook.say(holes[0], depth_of(1.0), &[]).unwrap();
}
