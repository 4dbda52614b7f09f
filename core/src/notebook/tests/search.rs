//! Finding castings, faces, holes and notes.

use super::*;
use crate::hole::record::Note;
use crate::notebook::{MOST_RESULTS, SearchResult};
use proptest::prelude::*;

/// What was found, as `casting/face/hole: text`.
fn found(notebook: &Notebook, text: &str) -> Vec<String> {
    let place = |result: &SearchResult| {
        let hole = result
            .number
            .map_or(String::new(), |number| format!("/{number}"));
        format!(
            "{}/{}{hole}: {}",
            result.casting_name, result.face_name, result.text
        )
    };
    let results = notebook.search(text).unwrap();
    results.found.iter().map(place).collect()
}

fn note(text: &str) -> Note {
    Note { text: text.into() }
}

#[test]
fn names_threads_and_notes_are_found_newest_first() {
    let (bench, face, holes) = Bench::with_holes(17);
    let notebook = &bench.notebook;
    let details = notebook.face(face).unwrap().details;
    let casting = notebook.face(face).unwrap().casting;
    notebook.record(holes[6], wanted("7/16-14"), &[]).unwrap();
    let old = HoleEntry::Note(note("Serial plate reads 4711-B, rusted"));
    notebook.record(holes[2], old, &[]).unwrap();
    notebook
        .note_casting(casting, &note("plate is lost"))
        .unwrap();
    let body = FaceBody {
        note: Some("Bolts from the Müllheim yard".into()),
        ..details.0[0].body.clone()
    };
    notebook
        .change_face(face, &body, &[details.0[0].entry])
        .unwrap();

    let notes = found(notebook, "plate");
    let [newer, older] = &notes[..] else {
        panic!("{notes:?}");
    };
    assert_eq!(newer, "pump end/: plate is lost");
    assert!(
        older.starts_with("pump end/cover joint/3: Serial plate"),
        "{older}"
    );
    assert_eq!(found(notebook, "4711-b SERIAL").len(), 1);
    assert_eq!(found(notebook, "7/16-14").len(), 1);
    assert_eq!(found(notebook, "pump").len(), 1);
    // A note of the details, without its accent.
    assert_eq!(
        found(notebook, "mullheim")[0],
        "pump end/cover joint: cover joint: Bolts from the Müllheim yard"
    );
    assert_eq!(found(notebook, "MÜLLHEIM").len(), 1);
    // Numbers are whole numbers: hole 7, not hole 17.
    let seven = found(notebook, "hole 7");
    assert_eq!(seven, ["pump end/cover joint/7: Hole 7, 7/16-14 UNC"]);
    assert_eq!(found(notebook, "hole 1").len(), 1);
}

#[test]
fn what_is_struck_out_or_replaced_is_not_found() {
    let (bench, _, holes) = Bench::with_holes(1);
    let notebook = &bench.notebook;
    let text = HoleEntry::Note(note("chattered"));
    let entry = notebook.record(holes[0], text, &[]).unwrap();
    assert_eq!(found(notebook, "chattered").len(), 1);
    notebook.strike_out(entry, "wrong hole").unwrap();
    assert_eq!(found(notebook, "chattered"), [] as [String; 0]);
    let first = notebook.record(holes[0], wanted("3/8-16"), &[]).unwrap();
    notebook.record(holes[0], wanted("M10"), &[first]).unwrap();
    assert_eq!(found(notebook, "3/8-16"), [] as [String; 0]);
    assert_eq!(found(notebook, "M10").len(), 1);
}

#[test]
fn results_are_bounded_and_the_newest_are_kept() {
    let (bench, _, holes) = Bench::with_holes(MOST_RESULTS as u32 + 5);
    let results = bench.notebook.search("hole").unwrap();
    assert_eq!((results.found.len(), results.more), (MOST_RESULTS, true));
    assert_eq!(results.found[0].hole, holes.last().copied());
    assert!(!bench.notebook.search("hole 3").unwrap().more);
}

#[test]
fn nothing_and_hostile_text_find_nothing() {
    let (bench, ..) = Bench::with_holes(2);
    let long = "x ".repeat(100_000);
    for text in [
        "",
        "   ",
        "%",
        "_",
        "' OR 1=1 --",
        "\0",
        "\u{301}",
        &long,
        "*",
        "\"a\" NEAR b",
    ] {
        assert_eq!(
            found(&bench.notebook, text),
            [] as [String; 0],
            "{:?}",
            &text[..text.len().min(20)]
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Every word of a note finds it, in any case.
    #[test]
    fn a_note_is_found_by_any_of_its_words(text in "[a-zA-Zäöüéß]{1,9}( [a-zA-Z0-9äöüéß]{1,9}){0,4}") {
        let (bench, _, holes) = Bench::with_holes(1);
        bench.notebook.record(holes[0], HoleEntry::Note(note(&text)), &[]).unwrap();
        for word in text.split(' ') {
            for word in [word.to_uppercase(), word.to_lowercase()] {
                let results = bench.notebook.search(&word).unwrap().found;
                prop_assert!(results.iter().any(|result| result.is_note && result.text == text), "{}", word);
            }
        }
    }
}
