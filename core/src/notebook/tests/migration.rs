//! Migration from every earlier layout, and from the names that entries had earlier.

use super::*;
use crate::hole::stage::Stage;
use crate::notebook::{DeviceId, Entry, EntryBody, EntryId, EntryKind, Finding, paths, schema};
use crate::sync::sync_folder;
use rusqlite::Connection;
use serde_json::json;
use std::collections::BTreeSet;

/// Notebooks as earlier versions left them.
const STORED: &[&str] = &[
    include_str!("stored/v1.sql"),
    include_str!("stored/v2.sql"),
    include_str!("stored/v3.sql"),
    include_str!("stored/v4.sql"),
    include_str!("stored/v5.sql"),
];

/// A folder with a stored notebook.
fn stored(sql: &str) -> TempDir {
    let dir = TempDir::new().unwrap();
    let conn = Connection::open(dir.path().join(paths::FILE)).unwrap();
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
    layout_of(&Connection::open(dir.path().join(paths::FILE)).unwrap())
}

#[test]
fn there_is_a_stored_notebook_of_every_earlier_layout() {
    let message = "a new layout needs a notebook of the one before it in tests/stored";
    assert_eq!(STORED.len() as i64, schema::LAYOUT - 1, "{message}");
    for (at, sql) in STORED.iter().enumerate() {
        let fresh = Connection::open_in_memory().unwrap();
        schema::create_layout(&fresh, at + 1);
        let old = stored(sql);
        assert_eq!(
            layout_in(&old),
            layout_of(&fresh),
            "a released layout was edited"
        );
    }
}

#[test]
fn a_migrated_notebook_has_the_layout_of_a_new_one_and_can_be_written() {
    for sql in STORED {
        let dir = stored(sql);
        let notebook = Notebook::open(dir.path()).unwrap();
        // The photo's file is not stored with the test.
        let findings = notebook.verify().unwrap().findings;
        assert!(matches!(findings[..], [Finding::PhotoMissing { .. }]));
        assert_eq!(notebook.repair().unwrap(), []);

        let device = notebook.device().unwrap();
        let before = notebook.last_number(device).unwrap();
        let hole = notebook.list().unwrap().castings[0].faces[0].holes[2].id;
        notebook.record(hole, depth_of(12.0), &[]).unwrap();
        assert_eq!(notebook.last_number(device).unwrap(), before + 1);
        drop(notebook);
        let fresh = Bench::new();
        assert_eq!(layout_in(&dir), layout_in(&fresh.dir));
    }
}

#[test]
fn the_first_layout_is_read_with_everything_in_it() {
    let dir = stored(STORED[0]);
    let notebook = Notebook::open(dir.path()).unwrap();
    let list = notebook.list().unwrap();
    let face = &list.castings[0].faces[0];
    assert_eq!(list.castings[0].name, "pump end");
    let expected: Vec<_> = face
        .holes
        .iter()
        .map(|hole| (hole.number, hole.stage.label(), hole.conflict))
        .collect();
    assert_eq!(
        expected,
        [
            (1, "not measured", true),
            (2, "measured", false),
            (3, "not measured", false)
        ]
    );
    assert_eq!(notebook.face(face.id).unwrap().photos[0].marks.len(), 3);
    assert_eq!(notebook.settings().unwrap().person, "Ada");
    assert_eq!(notebook.heads().unwrap().len(), 1);
    assert_eq!(notebook.heads().unwrap()[0].seq, 18);
}

/// The rows of a table, with ids as UUIDs.
fn rows(conn: &Connection, sql: &str) -> Vec<Vec<Value>> {
    let mut statement = conn.prepare(sql).unwrap();
    let columns = statement.column_count();
    let rows = statement.query_map([], |row| (0..columns).map(|at| row.get(at)).collect());
    rows.unwrap().map(Result::unwrap).collect()
}

/// The stage that the second version called by this word.
fn stage_called(word: &str) -> Stage {
    match word {
        "unread" => Stage::NotMeasured,
        "read" => Stage::Measured,
        "planned" => Stage::Planned,
        "cut" => Stage::Cut,
        "dry-fitted" => Stage::TrialFitted,
        "set" => Stage::Installed,
        "proved" => Stage::Passed,
        _ => panic!("{word}"),
    }
}

/// The projection that the second version stored, under today's terms, against today's.
#[test]
fn the_projection_says_what_the_one_of_the_second_layout_said() {
    let dir = stored(STORED[1]);
    let old = Connection::open(dir.path().join(paths::FILE)).unwrap();
    let same = [
        (
            "SELECT * FROM casting_now ORDER BY id",
            "SELECT * FROM casting ORDER BY id",
        ),
        (
            "SELECT * FROM face_now ORDER BY id",
            "SELECT id, casting, name, planned_nm, conflict FROM face ORDER BY id",
        ),
        (
            "SELECT * FROM photo_now ORDER BY id",
            "SELECT * FROM photo ORDER BY id",
        ),
        (
            "SELECT * FROM device_now ORDER BY id",
            "SELECT * FROM device ORDER BY id",
        ),
        (
            "SELECT * FROM mark_now ORDER BY photo, hole",
            "SELECT * FROM mark ORDER BY photo, hole",
        ),
        (
            "SELECT * FROM head ORDER BY device",
            "SELECT * FROM head ORDER BY device",
        ),
        (
            "SELECT id, face, number, x_nm, y_nm, thread, remedy, in_question FROM hole_now ORDER BY id",
            "SELECT id, face, number, x_nm, y_nm, thread, remedy, conflict FROM hole ORDER BY id",
        ),
        (
            "SELECT n, slot, understood, struck, replaced FROM said ORDER BY n",
            "SELECT n, slot, understood, struck_out, replaced FROM entry_status ORDER BY n",
        ),
        (
            "SELECT target, act, source FROM edge ORDER BY target, act, source",
            "SELECT target, kind, source FROM entry_link ORDER BY target, kind, source",
        ),
    ];
    let expected: Vec<_> = same.iter().map(|(sql, _)| rows(&old, sql)).collect();
    let stages = rows(&old, "SELECT id, state FROM hole_now ORDER BY id");
    let lines_before = rows(
        &old,
        "SELECT n, id, device, seq, kind, hash, line FROM entry ORDER BY n",
    );
    let settings = rows(
        &old,
        "SELECT value FROM setting WHERE name <> 'worked-out' ORDER BY value",
    );
    drop(old);

    let notebook = Notebook::open(dir.path()).unwrap();
    let new = notebook.connection();
    for ((_, sql), expected) in same.iter().zip(expected) {
        assert!(!expected.is_empty(), "{sql}");
        assert_eq!(rows(&new, sql), expected, "{sql}");
    }
    let lines_after = rows(
        &new,
        "SELECT n, id, device, seq, kind, hash, line FROM entry ORDER BY n",
    );
    assert!(lines_after == lines_before, "a line was changed");
    let kept = "SELECT value FROM setting WHERE name <> 'projection-version' ORDER BY value";
    assert_eq!(rows(&new, kept), settings);
    let stages_now = rows(&new, "SELECT id, stage FROM hole ORDER BY id");
    assert_eq!(stages.len(), 14);
    for (before, now) in stages.iter().zip(&stages_now) {
        let [Value::Blob(_), Value::Text(word)] = &before[..] else {
            panic!("{before:?}");
        };
        let stage = stage_called(word);
        if stage == Stage::Passed {
            // A hole does not pass any more while its face is uncut.
            assert_ne!(now[1], Value::Text("passed".into()));
            continue;
        }
        let stage = Value::Text(stage.label().to_owned());
        assert_eq!(now[..], [before[0].clone(), stage]);
    }
    let reopened = rows(&new, "SELECT id FROM hole WHERE problems > 0");
    assert_eq!(reopened.len(), 2);
}

#[test]
fn every_entry_of_the_second_layout_is_understood_and_every_kind_of_then_is_among_them() {
    let dir = stored(STORED[1]);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(notebook.verify().unwrap().unknown_entries, 0);
    let mut kinds = BTreeSet::new();
    for line in lines(&notebook) {
        let entry = line.entry();
        let body = EntryBody::read(&entry.kind, &entry.body);
        let body = body.unwrap_or_else(|| panic!("{}", line.text()));
        kinds.insert(body.kind());
    }
    // Kinds added since that layout.
    let since = [
        EntryKind::BoltTightened,
        EntryKind::Condition,
        EntryKind::DrawerItem,
        EntryKind::FaceHeights,
        EntryKind::GoodHoles,
        EntryKind::KnownPlace,
        EntryKind::Limits,
        EntryKind::MeasuringTools,
        EntryKind::MillSetup,
        EntryKind::Reminder,
        EntryKind::TimeSpent,
        EntryKind::ToolRenewed,
        EntryKind::ToolTrouble,
        EntryKind::Try,
        EntryKind::UsualReading,
        EntryKind::UsualThread,
        EntryKind::WantedPattern,
    ];
    let then = EntryKind::ALL.iter().filter(|kind| !since.contains(kind));
    assert_eq!(kinds, then.copied().collect());
    // The casting's metal had another key.
    let casting = notebook.castings().unwrap()[0].id;
    assert!(
        notebook.casting(casting).unwrap().details.0[0]
            .body
            .metal
            .is_some()
    );
}

#[test]
fn rebuild_and_repair_leave_a_migrated_notebook_as_it_is() {
    let dir = stored(STORED[1]);
    let notebook = Notebook::open(dir.path()).unwrap();
    let (tables, text) = (derived_tables(&notebook), lines(&notebook));
    assert_eq!(notebook.repair().unwrap(), []);
    notebook.rebuild().unwrap();
    assert_eq!(derived_tables(&notebook), tables);
    drop(notebook);
    let report = crate::repair::repair(dir.path()).unwrap();
    assert_eq!((report.findings, report.recovered), (vec![], None));
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(derived_tables(&notebook), tables);
    assert_eq!(lines(&notebook), text);
}

/// A notebook of the second layout that is damaged before it is migrated.
#[test]
fn a_damaged_notebook_of_the_second_layout_is_recovered_line_by_line() {
    let dir = stored(STORED[1]);
    let file = dir.path().join(paths::FILE);
    let whole = stored(STORED[1]);
    let whole = Notebook::open(whole.path()).unwrap();
    let mut bytes = std::fs::read(&file).unwrap();
    bytes[..100].fill(0);
    std::fs::write(&file, bytes).unwrap();
    std::fs::create_dir_all(dir.path().join(paths::PHOTOS)).unwrap();
    let report = crate::repair::repair(dir.path()).unwrap();
    assert_eq!(report.recovered.unwrap().entries, 160);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(lines(&notebook), lines(&whole));
    assert_eq!(notebook.settings().unwrap(), whole.settings().unwrap());
    assert_eq!(derived_tables(&notebook), derived_tables(&whole));
    // The settings' own table was lost, and with it which device this is.
    assert_ne!(notebook.device().unwrap(), whole.device().unwrap());
}

#[test]
fn a_migrated_notebook_syncs_with_a_new_one() {
    let dir = stored(STORED[1]);
    let migrated = Notebook::open(dir.path()).unwrap();
    let new = Bench::new();
    let folder = TempDir::new().unwrap();
    for notebook in [&migrated, &new.notebook, &migrated] {
        let report = sync_folder(notebook, folder.path()).unwrap();
        assert_eq!(report.continued_as, None);
    }
    assert_eq!(lines(&new.notebook), lines(&migrated));
    assert_eq!(derived_tables(&new.notebook), derived_tables(&migrated));
    assert_eq!(migrated.entries_not_synced().unwrap(), 0);
}

/// A device that writes its entries under the names of the second version.
struct OlderDevice {
    device: DeviceId,
    last: Option<Line>,
}

impl OlderDevice {
    fn new() -> Self {
        Self {
            device: DeviceId::fresh(),
            last: None,
        }
    }

    /// Writes a line and imports it.
    fn write(
        &mut self,
        notebook: &Notebook,
        subject: HoleId,
        (kind, body): (&str, serde_json::Value),
        replaces: &[EntryId],
    ) -> EntryId {
        let newest = lines(notebook).iter().map(|line| line.entry().id).max();
        let entry = Entry {
            id: EntryId::after(newest),
            device: self.device,
            seq: self.last.as_ref().map_or(1, |line| line.entry().seq + 1),
            at: chrono::DateTime::from_timestamp_nanos(0).fixed_offset(),
            by: "Bo".into(),
            kind: kind.into(),
            subject: subject.0,
            body,
            replaces: replaces.to_vec(),
            prev: self.last.as_ref().map(Line::hash),
            seen: Vec::new(),
            corrects: None,
        };
        let line = Line::write(&entry).unwrap();
        notebook.import_lines(std::slice::from_ref(&line)).unwrap();
        self.last = Some(line);
        entry.id
    }
}

fn wants(thread: &str) -> (&'static str, serde_json::Value) {
    ("wanted", json!({"thread": thread}))
}

/// The active entries about a hole's wanted thread.
fn active(notebook: &Notebook, hole: HoleId) -> Vec<EntryId> {
    let wanted = notebook.hole(hole).unwrap().record.wanted;
    wanted.0.iter().map(|entry| entry.entry).collect()
}

#[test]
fn entries_under_old_and_new_names_replace_each_other() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let mut older = OlderDevice::new();
    let first = older.write(notebook, hole, wants("3/8-16"), &[]);
    assert_eq!(active(notebook, hole), [first]);
    let second = notebook.record(hole, wanted("M10"), &[first]).unwrap();
    assert_eq!(active(notebook, hole), [second]);
    let third = older.write(notebook, hole, wants("1/2-13"), &[second]);
    assert_eq!(active(notebook, hole), [third]);
    assert!(!notebook.hole(hole).unwrap().conflict);
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn facts_under_old_and_new_names_are_in_conflict_until_one_resolves_both() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let old = OlderDevice::new().write(notebook, hole, wants("3/8-16"), &[]);
    let new = notebook.record(hole, wanted("M10"), &[]).unwrap();
    assert_eq!(active(notebook, hole), [old, new]);
    assert!(notebook.hole(hole).unwrap().conflict);
    let resolved = notebook.resolve(hole, wanted("M10")).unwrap();
    assert_eq!(active(notebook, hole), [resolved]);
    assert!(notebook.entry(old).unwrap().replaced);
    assert!(!notebook.hole(hole).unwrap().conflict);
}

#[test]
fn a_strike_out_counts_under_either_name_and_cannot_be_struck_out() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let mut older = OlderDevice::new();
    let theirs = older.write(notebook, hole, wants("3/8-16"), &[]);
    let ours = notebook.record(hole, wanted("M10"), &[]).unwrap();
    let body = json!({"entry": ours, "reason": "wrong hole"});
    let strike = older.write(notebook, hole, ("strike", body), &[]);
    assert_eq!(active(notebook, hole), [theirs]);
    assert_eq!(
        notebook.entry(ours).unwrap().struck_out_by.unwrap().entry,
        strike
    );
    assert!(notebook.strike_out(strike, "no").is_err());
    notebook.strike_out(theirs, "wrong hole too").unwrap();
    assert_eq!(active(notebook, hole), []);
    assert!(notebook.verify().unwrap().is_ok());
}

#[test]
fn every_old_name_gives_the_stage_that_its_new_name_gives() {
    let (bench, _, holes) = Bench::with_holes(1);
    let (notebook, hole) = (&bench.notebook, holes[0]);
    let insert = json!({"remedy": "key-locking-insert", "family": "key-locking insert, thin wall"});
    let entries = [
        ("remedy", insert.clone(), Stage::Planned),
        ("cut", json!({"for": insert, "step": "tap"}), Stage::Cut),
        (
            "dry-fit",
            json!({"for": insert, "fits": true}),
            Stage::TrialFitted,
        ),
        (
            "set",
            json!({"for": insert, "after_face_cut": true}),
            Stage::Installed,
        ),
        (
            "keys",
            json!({"for": insert, "driven": 4}),
            Stage::Installed,
        ),
        (
            "check",
            json!({"check": "rule-across", "passes": true}),
            Stage::Installed,
        ),
        (
            "prove",
            json!({"for": insert, "passes": true, "how": "plug gauge"}),
            // Without a wanted thread nothing can be judged, so it has not passed.
            Stage::Installed,
        ),
    ];
    let mut older = OlderDevice::new();
    for (kind, body, stage) in entries {
        older.write(notebook, hole, (kind, body), &[]);
        assert_eq!(
            notebook.hole(hole).unwrap().status.stage,
            stage,
            "after {kind}"
        );
    }
    let view = notebook.hole(hole).unwrap();
    assert_eq!(view.unknown_entries, 0);
    assert_eq!(view.record.final_checks.len(), 1);
}

#[test]
fn tables_of_another_projection_version_are_rebuilt() {
    let (bench, _, holes) = Bench::with_holes(1);
    bench.notebook.record(holes[0], depth_of(3.0), &[]).unwrap();
    let tables = derived_tables(&bench.notebook);
    let Bench { notebook, dir } = bench;
    notebook.connection().execute_batch("UPDATE hole SET stage = 'cut'; UPDATE setting SET value = '0' WHERE name = 'projection-version';").unwrap();
    drop(notebook);
    let notebook = Notebook::open(dir.path()).unwrap();
    assert_eq!(derived_tables(&notebook), tables);
}

#[test]
fn verification_finds_a_wrong_table_and_repair_rebuilds_it() {
    let (bench, _, holes) = Bench::with_holes(2);
    bench.notebook.record(holes[0], wanted("M10"), &[]).unwrap();
    let tables = derived_tables(&bench.notebook);
    bench
        .notebook
        .connection()
        .execute_batch("UPDATE hole SET number = 9; DELETE FROM head;")
        .unwrap();
    let findings = bench.notebook.verify().unwrap().findings;
    let expected: Vec<_> = findings.iter().map(ToString::to_string).collect();
    assert_eq!(expected.len(), 2, "{expected:?}");
    assert!(
        expected[0].contains("head") && expected[1].contains("hole"),
        "{expected:?}"
    );
    assert_ne!(
        derived_tables(&bench.notebook),
        tables,
        "verification changes nothing"
    );
    assert_eq!(bench.notebook.repair().unwrap(), findings);
    assert_eq!(derived_tables(&bench.notebook), tables);
    assert!(bench.notebook.verify().unwrap().is_ok());
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
