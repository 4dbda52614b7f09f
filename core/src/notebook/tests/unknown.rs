//! What a newer version writes is kept, passed on byte for byte, and shown as not understood.

use super::*;
use crate::exchange::exchange;
use crate::notebook::DeviceId;
use serde_json::json;

/// Lines as a newer version may write them, after the lines of `bench`.
fn newer_lines(hole: HoleId) -> Vec<Line> {
    let device = DeviceId::fresh();
    let mut lines: Vec<Line> = Vec::new();
    let bodies = [
        ("weather", json!({"sky": "grey"})),
        (
            "wanted",
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
        // Keys in another order, a new field, and spaces: none of it is ours to tidy.
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
fn unknown_kinds_and_newer_fields_survive_an_exchange_byte_for_byte() {
    let (newer, _, holes) = Bench::with_holes(1);
    let told = newer_lines(holes[0]);
    newer.notebook.take(&told).unwrap();
    let shelf = TempDir::new().unwrap();
    let folder = shelf
        .path()
        .join("journal")
        .join(told[0].entry().device.to_string());
    std::fs::create_dir_all(&folder).unwrap();
    let text: String = told
        .iter()
        .map(|line| format!("{}\n", line.text()))
        .collect();
    std::fs::write(folder.join("000000000001.jsonl"), &text).unwrap();

    let older = Bench::new();
    assert_eq!(
        exchange(&newer.notebook, shelf.path()).unwrap().problems,
        []
    );
    assert_eq!(
        exchange(&older.notebook, shelf.path()).unwrap().problems,
        []
    );
    let theirs = |line: &Line| line.entry().device == told[0].entry().device;
    let kept: Vec<Line> = lines(&older.notebook).into_iter().filter(theirs).collect();
    assert_eq!(kept, told);
    assert!(older.notebook.verify().unwrap().is_sound());
    older.notebook.rebuild().unwrap();
    assert_eq!(
        lines(&older.notebook)
            .into_iter()
            .filter(theirs)
            .collect::<Vec<_>>(),
        told
    );
}

#[test]
fn what_is_not_understood_is_shown_as_such_and_does_not_stand_for_anything() {
    let (bench, _, holes) = Bench::with_holes(1);
    let told = newer_lines(holes[0]);
    bench.notebook.take(&told).unwrap();
    let hole = bench.notebook.hole(holes[0]).unwrap();
    assert_eq!(hole.not_understood, 3);
    assert_eq!(
        hole.record.readings.len(),
        1,
        "a new field does not make a reading unreadable"
    );
    assert!(hole.record.wanted.0.is_empty());
    let understood: Vec<bool> = told
        .iter()
        .map(|line| bench.notebook.entry(line.entry().id).unwrap().understood)
        .collect();
    assert_eq!(understood, [false, false, true, false]);
    assert_eq!(bench.notebook.verify().unwrap().not_understood, 3);
    // It can be struck all the same.
    bench
        .notebook
        .strike(told[1].entry().id, "not this hole")
        .unwrap();
    assert_eq!(bench.notebook.hole(holes[0]).unwrap().not_understood, 2);
}

#[test]
fn an_answer_that_is_not_understood_still_takes_the_place_of_the_one_it_names() {
    let (bench, _, holes) = Bench::with_holes(1);
    let first = bench.notebook.say(holes[0], wanted("3/8-16"), &[]).unwrap();
    let newer = newer_lines(holes[0]).remove(0);
    let mut entry = newer.entry().clone();
    entry.kind = "wanted".into();
    entry.replaces = vec![first];
    entry.id = crate::notebook::EntryId::fresh();
    bench
        .notebook
        .take(&[Line::write(&entry).unwrap()])
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
