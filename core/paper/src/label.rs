//! The label of a crate: what is in it, in letters that are read from a step away.

use crate::facts::FaceFacts;
use crate::page::Pen;
use crate::paper::Paper;
use crate::text::Letters;
use holebook_core::display_name::escaped;
use holebook_core::labels::{count, date_time};

/// Space between the frame and the text.
const INSIDE: f32 = 16.0;
/// Most lines of one text, so that the label stays on its page.
const LINES: usize = 4;

/// Fills the sheet.
pub fn fill(paper: &mut Paper, facts: &FaceFacts) {
    let (left, top, width) = (paper.left(), paper.y(), paper.width());
    paper.skip(INSIDE);
    big(paper, &Letters::bold(facts.casting_name()), 34.0);
    big(paper, &Letters::bold(&facts.face.name), 24.0);
    for (whose, note) in notes(facts) {
        note_lines(paper, &Letters::bold(whose).and(&note, false));
    }
    paper.skip(8.0);
    let passed = facts.holes.iter().filter(|hole| hole.is_passed()).count();
    let open = facts.holes.len() - passed;
    let holes = count(facts.holes.len(), "hole", "holes");
    let counts = format!("{holes}: {passed} passed, {open} open");
    big(paper, &Letters::bold(&counts), 22.0);
    let open: Vec<String> = facts
        .holes
        .iter()
        .filter(|hole| !hole.is_passed())
        .map(|hole| hole.summary.number.to_string())
        .collect();
    if !open.is_empty() {
        let open = Letters::bold("Open: ").and(&open.join(", "), false);
        big(paper, &open, 14.0);
    }
    let by = match facts.settings.person.as_str() {
        "" => String::new(),
        name => format!(", {}", escaped(name)),
    };
    let at = format!("{}{by}", date_time(&facts.at));
    big(paper, &Letters::plain(&at), 12.0);
    paper.skip(INSIDE);
    let height = paper.y() - top;
    let frame = (left, top, width, height);
    paper.page().rect(frame, None, Some(Pen::new(2.0, 0)));
}

/// The owner's notes of the casting and the face.
fn notes(facts: &FaceFacts) -> Vec<(&'static str, String)> {
    let casting = facts.casting.as_ref();
    let casting = casting.and_then(|casting| casting.details.0.first()?.body.note.clone());
    let face = facts.face.details.0.first();
    let face = face.and_then(|face| face.body.note.clone());
    let notes = [("Casting: ", casting), ("Face: ", face)];
    let notes = notes.into_iter();
    notes
        .filter_map(|(whose, note)| Some((whose, note?)))
        .collect()
}

/// Writes a text as large as it may be, smaller if it is long.
fn big(paper: &mut Paper, letters: &Letters, most: f32) {
    let width = paper.width() - 2.0 * INSIDE;
    let mut size = most;
    while size > most * 0.55 && letters.wrapped(width, size).len() > 2 {
        size *= 0.9;
    }
    some_lines(paper, letters, size);
}

fn note_lines(paper: &mut Paper, letters: &Letters) {
    some_lines(paper, letters, 11.0);
}

/// Writes the first lines of a text, with a sign if there are more.
fn some_lines(paper: &mut Paper, letters: &Letters, size: f32) {
    let width = paper.width() - 2.0 * INSIDE;
    let mut lines = letters.wrapped(width, size);
    if lines.len() > LINES {
        lines.truncate(LINES);
        if let Some(last) = lines.pop() {
            let last = Letters::of_line(last).and(" …", false);
            lines.extend(last.wrapped(width + 2.0 * size, size).into_iter().next());
        }
    }
    let (x, top) = (paper.left() + INSIDE, paper.y());
    let height = paper.lines_at(x, top, size, lines);
    paper.skip(height + 4.0);
}
