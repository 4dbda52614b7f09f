//! Thousands of answers to one question: pages stay small, and one click resolves all of it.
#![allow(missing_docs, clippy::unwrap_used)]

use crate::support::Screens;
use holebook_core::hole::record::{CutStep, FactEntries, Recorded, Remedy, RemedySpec};
use holebook_core::length::Length;
use holebook_core::notebook::{DeviceId, Entry, EntryId, EntryKind, HoleId, Line};
use holebook_core::thread::Thread;
use serde_json::{Value, json};

/// Imports entries of another device about a hole, as a sync would.
fn import(screens: &Screens, hole: HoleId, entries: Vec<(EntryKind, Value)>) {
    let device = DeviceId::fresh();
    let mut lines: Vec<Line> = Vec::new();
    for (kind, body) in entries {
        let entry = Entry {
            id: EntryId::fresh(),
            device,
            seq: lines.len() as u64 + 1,
            at: holebook_core::notebook::now(),
            by: "Ada".to_owned(),
            kind: kind.name().to_owned(),
            subject: hole.into(),
            body,
            replaces: Vec::new(),
            prev: lines.last().map(Line::hash),
            seen: Vec::new(),
            corrects: None,
        };
        lines.push(Line::write(&entry).unwrap());
    }
    screens.notebook.import_lines(&lines).unwrap();
}

fn wanted(nth: usize) -> (EntryKind, Value) {
    let thread: Thread = ["3/8-16", "7/16-14", "M10"][nth % 3].parse().unwrap();
    (
        EntryKind::WantedThread,
        json!({"thread": thread, "through": nth.is_multiple_of(2)}),
    )
}

fn spec(nth: usize) -> RemedySpec {
    RemedySpec {
        remedy: Remedy::Bushing,
        family: None,
        length: Some(Length::from_nm(1_000 * nth as i64)),
        outside_thread: None,
    }
}

fn choice(nth: usize) -> (EntryKind, Value) {
    (EntryKind::Remedy, json!(spec(nth)))
}

fn cut(nth: usize) -> (EntryKind, Value) {
    (
        EntryKind::Cut,
        json!({"for": spec(nth + 1_000_000), "step": CutStep::Tap}),
    )
}

fn ids<T>(entries: &FactEntries<T>) -> Vec<EntryId> {
    entries
        .0
        .iter()
        .map(|entry: &Recorded<T>| entry.entry)
        .collect()
}

#[test]
fn thousands_of_conflicting_answers_make_a_small_page_and_are_resolved_at_once() {
    let mut sizes = Vec::new();
    for count in [2_000, 8_000] {
        let screens = Screens::new();
        let hole = screens.hole();
        import(&screens, hole, (0..count).map(wanted).collect());
        let page = screens.get(&format!("/hole/{hole}"));
        assert!(page.contains(&format!("{count} entries disagree")));
        assert_eq!(page.matches("Use this one").count(), 5);
        sizes.push(page.len());
        // All of them are reached page by page, the newest first.
        let mut next = format!("/hole/{hole}/conflict?fact=wanted-thread");
        let (mut seen, mut pages) = (0, 0);
        loop {
            let page = screens.get(&next);
            seen += page.matches("Use this one").count();
            pages += 1;
            let link = page.split("href=\"").find(|link| link.contains("before="));
            match link.filter(|_| pages < 4) {
                Some(link) => next = link.split('"').next().unwrap().replace("&amp;", "&"),
                None => break,
            }
        }
        assert_eq!((seen, pages), (200, 4));
        let record = screens.notebook.hole(hole).unwrap().record;
        let picked = ids(&record.wanted)[7].to_string();
        let action = format!("/hole/{hole}/resolve");
        let replaces = screens.hidden(&next, &action, "replaces");
        assert_eq!(replaces.len(), count);
        let mut form = vec![("kind", "wanted-thread"), ("entry", picked.as_str())];
        form.extend(replaces.iter().map(|id| ("replaces", id.as_str())));
        screens.submit(&action, &form);
        let view = screens.notebook.hole(hole).unwrap();
        assert_eq!((view.record.wanted.0.len(), view.conflict), (1, false));
    }
    // Each entry is named once in each form that replaces it, and nothing grows faster.
    assert!(sizes[0] < 1_000_000, "{sizes:?}");
    assert!(sizes[1] < sizes[0] * 5, "{sizes:?}");
}

#[test]
fn thousands_of_remedies_and_cuts_for_others_make_a_page_that_grows_no_faster() {
    let mut sizes = Vec::new();
    for count in [1_000, 4_000] {
        let screens = Screens::new();
        let hole = screens.hole();
        let entries = (0..count).flat_map(|nth| [choice(nth), cut(nth)]);
        import(&screens, hole, entries.chain([wanted(0)]).collect());
        sizes.push(screens.get(&format!("/hole/{hole}")).len());
    }
    assert!(sizes[1] < sizes[0] * 5, "{sizes:?}");
}

/// More entries than one line can name are replaced all the same.
#[test]
fn more_entries_than_one_line_can_name_are_resolved() {
    let screens = Screens::new();
    let hole = screens.hole();
    import(&screens, hole, (0..25_000).map(wanted).collect());
    let entry = holebook_core::notebook::HoleEntry::WantedThread(
        serde_json::from_value(wanted(1).1).unwrap(),
    );
    screens.notebook.resolve(hole, entry).unwrap();
    let view = screens.notebook.hole(hole).unwrap();
    assert_eq!((view.record.wanted.0.len(), view.conflict), (1, false));
}
