//! Entries of a newer version are kept, synced byte for byte, and shown as not understood.

use super::*;
use crate::notebook::DeviceId;
use crate::sync::sync_folder;
use serde_json::json;

/// Lines as a newer version may write them, after the lines of `bench`.
fn newer_lines(hole: HoleId) -> Vec<Line> {
    let device = DeviceId::fresh();
    let mut lines: Vec<Line> = Vec::new();
    let bodies = [
        ("weather", json!({"sky": "gray"})),
        (
            "wanted-thread",
            json!({"thread": {"system": "square", "pitch_mm": 2}}),
        ),
        (
            "reading",
            json!({"quantity": "depth", "value_mm": 31.0, "temperature_deg": 21.5}),
        ),
        ("reading", json!({"quantity": "taper", "value_mm": 1.0})),
    ];
    for (at, (kind, body)) in bodies.into_iter().enumerate() {
        let prev = lines
            .last()
            .map_or_else(|| "null".to_owned(), |line| format!("\"{}\"", line.hash()));
        // Keys in another order, a new field, and spaces: all of it must be kept.
        let text = format!(
            r#"{{"seq": {}, "mood":"bright", "id":"{}","device":"{device}","at":"2031-01-02T03:04:05+00:00","by":"Bo","kind":"{kind}","subject":"{hole}","body":{body},"replaces":[],"prev":{prev}}}"#,
            at + 1,
            crate::notebook::EntryId::fresh(),
        );
        lines.push(Line::read(text).unwrap());
    }
    lines
}

#[test]
fn unknown_kinds_and_newer_fields_survive_a_sync_byte_for_byte() {
    let (newer, _, holes) = Bench::with_holes(1);
    let newer_entries = newer_lines(holes[0]);
    newer.notebook.import_lines(&newer_entries).unwrap();
    let remote = TempDir::new().unwrap();
    let folder = remote
        .path()
        .join("journal")
        .join(newer_entries[0].entry().device.to_string());
    std::fs::create_dir_all(&folder).unwrap();
    let text: String = newer_entries
        .iter()
        .map(|line| format!("{}\n", line.text()))
        .collect();
    std::fs::write(folder.join("000000000001.jsonl"), &text).unwrap();

    let older = Bench::new();
    assert_eq!(
        sync_folder(&newer.notebook, remote.path())
            .unwrap()
            .problems,
        []
    );
    assert_eq!(
        sync_folder(&older.notebook, remote.path())
            .unwrap()
            .problems,
        []
    );
    let theirs = |line: &Line| line.entry().device == newer_entries[0].entry().device;
    let kept: Vec<Line> = lines(&older.notebook).into_iter().filter(theirs).collect();
    assert_eq!(kept, newer_entries);
    assert!(older.notebook.verify().unwrap().is_ok());
    older.notebook.rebuild().unwrap();
    assert_eq!(
        lines(&older.notebook)
            .into_iter()
            .filter(theirs)
            .collect::<Vec<_>>(),
        newer_entries
    );
}

#[test]
fn an_entry_that_is_not_understood_is_shown_as_such_and_has_no_effect() {
    let (bench, _, holes) = Bench::with_holes(1);
    let newer_entries = newer_lines(holes[0]);
    bench.notebook.import_lines(&newer_entries).unwrap();
    let hole = bench.notebook.hole(holes[0]).unwrap();
    assert_eq!(hole.unknown_entries, 3);
    assert_eq!(
        hole.record.readings.len(),
        1,
        "a new field does not make a reading unreadable"
    );
    assert!(hole.record.wanted.0.is_empty());
    let understood: Vec<bool> = newer_entries
        .iter()
        .map(|line| bench.notebook.entry(line.entry().id).unwrap().understood)
        .collect();
    assert_eq!(understood, [false, false, true, false]);
    assert_eq!(bench.notebook.verify().unwrap().unknown_entries, 3);
    // It can be struck out all the same.
    bench
        .notebook
        .strike_out(newer_entries[1].entry().id, "not this hole")
        .unwrap();
    assert_eq!(bench.notebook.hole(holes[0]).unwrap().unknown_entries, 2);
}

#[test]
fn an_entry_that_is_not_understood_still_replaces_the_one_it_names() {
    let (bench, _, holes) = Bench::with_holes(1);
    let first = bench
        .notebook
        .record(holes[0], wanted("3/8-16"), &[])
        .unwrap();
    let newer = newer_lines(holes[0]).remove(0);
    let mut entry = newer.entry().clone();
    entry.kind = "wanted-thread".into();
    entry.replaces = vec![first];
    entry.id = crate::notebook::EntryId::fresh();
    bench
        .notebook
        .import_lines(&[Line::write(&entry).unwrap()])
        .unwrap();
    assert!(
        bench
            .notebook
            .hole(holes[0])
            .unwrap()
            .record
            .wanted
            .0
            .is_empty()
    );
}
