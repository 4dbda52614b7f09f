//! The work sheet: the marked photo, and a line per hole in working order with boxes to write in.

use crate::cautions::CAUTION;
use crate::face_lines::face_lines;
use crate::facts::FaceFacts;
use crate::paper::{BODY, Cell, Column, Paper, SMALL, Table};
use crate::photo::{draw, fitted, tag};
use crate::text::Letters;
use crate::work_rows::{DepthPair, WorkRow, condition_label, rows};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, PhotoView};

/// The largest picture, points.
const PICTURE: (f32, f32) = (372.0, 268.0);
/// The least height of a line, to write in.
const LINE: f32 = 25.0;

/// Fills the sheet.
pub fn fill(paper: &mut Paper, notebook: &Notebook, facts: &FaceFacts) {
    let mut more = facts.face.photos_of_face();
    match more.next() {
        Some(first) => {
            head_with_photo(paper, notebook, first, facts);
            for photo in more {
                other_photo(paper, notebook, photo);
            }
        }
        None => {
            let width = paper.width();
            about(paper, facts, (paper.left(), paper.y()), width);
        }
    }
    paper.skip(4.0);
    table(paper, facts);
}

/// The first photo with what is known of the face beside it.
fn head_with_photo(paper: &mut Paper, notebook: &Notebook, photo: &PhotoView, facts: &FaceFacts) {
    let (width, height) = fitted(photo, PICTURE.0, PICTURE.1);
    let (left, top) = (paper.left(), paper.y());
    draw(paper.page(), notebook, photo, (left, top), (width, height));
    let x = left + width + 12.0;
    let beside = paper.right() - x;
    about(paper, facts, (x, top), beside);
    let below = top + height + 3.0;
    if paper.y() < below {
        paper.skip(below - paper.y());
    }
}

fn other_photo(paper: &mut Paper, notebook: &Notebook, photo: &PhotoView) {
    if photo.marks.is_empty() {
        return;
    }
    let (width, height) = fitted(photo, PICTURE.0, PICTURE.1);
    paper.ensure(height + 6.0);
    paper.skip(4.0);
    let at = (paper.left(), paper.y());
    draw(paper.page(), notebook, photo, at, (width, height));
    paper.skip(height + 3.0);
}

/// What is known of the face, and the caution.
fn about(paper: &mut Paper, facts: &FaceFacts, (x, top): (f32, f32), width: f32) {
    let mut y = top;
    for (name, value) in face_lines(&facts.face.record, facts.unit) {
        let letters = Letters::bold(&format!("{name}: ")).and(&value, false);
        y += paper.lines_at(x, y, BODY, letters.wrapped(width, BODY));
    }
    let passed = facts.holes.iter().filter(|hole| hole.is_passed()).count();
    let counts = format!("{passed} of {} passed", facts.holes.len());
    let letters = Letters::bold("Holes: ").and(&counts, false);
    y += paper.lines_at(x, y, BODY, letters.wrapped(width, BODY)) + 4.0;
    let caution = Letters::bold("Caution: ").and(CAUTION, false);
    y += paper.lines_at(x, y, SMALL, caution.wrapped(width, SMALL));
    let below = y + 2.0 - paper.y();
    paper.skip(below);
}

/// Widths of the columns as shares of the table's; the first is fixed.
const NUMBER: f32 = 26.0;
const SHARES: [f32; 8] = [0.118, 0.232, 0.146, 0.150, 0.102, 0.084, 0.084, 0.084];

fn columns(paper: &Paper, unit: Unit) -> [Column<'static>; 9] {
    let titles = match unit {
        Unit::Inch => [
            "Condition, thread",
            "Remedy, next step",
            "Drill\nto, in",
            "Tap\nfull thread to, in",
            "Drill rpm, feed",
            "Drilled to",
            "Tapped to",
            "By, date",
        ],
        Unit::Millimeter => [
            "Condition, thread",
            "Remedy, next step",
            "Drill\nto, mm",
            "Tap\nfull thread to, mm",
            "Drill rpm, feed",
            "Drilled to",
            "Tapped to",
            "By, date",
        ],
    };
    let wide = paper.width() - NUMBER;
    let column = |at: usize| Column {
        title: titles[at],
        width: SHARES[at] * wide,
    };
    let number = Column {
        title: "Hole",
        width: NUMBER,
    };
    [
        number,
        column(0),
        column(1),
        column(2),
        column(3),
        column(4),
        column(5),
        column(6),
        column(7),
    ]
}

fn table(paper: &mut Paper, facts: &FaceFacts) {
    let rows = rows(facts);
    if rows.is_empty() {
        paper.paragraph(
            "No holes yet. Mark them on a photo, or add them on the face's page.",
            BODY,
        );
        return;
    }
    let about = "Depths from the face as is; from the finished face in parentheses. Depths are to full diameter and \
                 full thread. A box with a number is recorded already.";
    paper.paragraph(about, SMALL);
    let columns = columns(paper, facts.unit);
    let table = Table::start(paper, &columns, LINE);
    for row in rows {
        table.row(paper, cells(&row));
        mark_condition(paper, &row, columns[0].width + columns[1].width);
    }
}

/// Draws the tag of the condition at the right of its cell, as on the photo.
fn mark_condition(paper: &mut Paper, row: &WorkRow, right: f32) {
    let Some(condition) = row.condition else {
        return;
    };
    let y = paper.y() - 5.0;
    let x = paper.left() + right - 6.5;
    tag(paper.page(), (x, y - 1.5), 4.3, condition);
}

fn cells(row: &WorkRow) -> Vec<Cell> {
    let [drilled, tapped, top] = row.reached.clone().map(Option::unwrap_or_default);
    let tapped = match (tapped.is_empty(), top.is_empty()) {
        (_, true) => tapped,
        (true, false) => format!("top {top}"),
        (false, false) => format!("{tapped}\ntop {top}"),
    };
    vec![
        Cell::Text(vec![(Letters::bold(&row.number.to_string()), 13.0)]),
        Cell::Text(vec![
            (condition_label(row).into(), SMALL),
            (row.thread.clone().unwrap_or_default().into(), SMALL),
        ]),
        Cell::Text(work_to_do(row)),
        Cell::Text(tool(row.drill.as_deref(), &row.drill_to)),
        Cell::Text(tap(row)),
        Cell::Text(vec![
            (Letters::bold(row.rpm.as_deref().unwrap_or_default()), SMALL),
            (row.feed.clone().unwrap_or_default().into(), SMALL - 0.4),
        ]),
        Cell::Box(drilled.into()),
        Cell::Box(tapped.into()),
        Cell::Box(Letters::plain(if row.passed { "passed" } else { "" })),
    ]
}

fn work_to_do(row: &WorkRow) -> Vec<(Letters, f32)> {
    let mut lines = vec![(Letters::from(row.remedy.as_str()), SMALL)];
    if !row.passed {
        let next = Letters::bold("Next: ").and(&row.next, true);
        lines.push((next, SMALL));
    }
    for open in &row.open {
        lines.push((Letters::bold("OPEN: ").and(open, false), SMALL - 0.4));
    }
    if !row.missing.is_empty() {
        let missing = Letters::bold("Missing: ").and(&row.missing.join("; "), false);
        lines.push((missing, SMALL - 0.4));
    }
    lines.extend(row.bolt.as_ref().map(|bolt| (bolt.as_str().into(), SMALL)));
    lines
}

fn tool(name: Option<&str>, to: &DepthPair) -> Vec<(Letters, f32)> {
    let to = to.to_string();
    let depth = match to.is_empty() {
        true => Letters::default(),
        false => Letters::plain("to ").and(&to, true),
    };
    vec![
        (name.unwrap_or_default().into(), SMALL),
        (depth, SMALL + 0.4),
    ]
}

fn tap(row: &WorkRow) -> Vec<(Letters, f32)> {
    let mut lines = tool(row.tap.as_deref(), &row.tap_to);
    let top = row.top.to_string();
    if !top.is_empty() {
        let top = Letters::plain("top ").and(&top, true).and(" below", false);
        lines.push((top, SMALL));
    }
    lines
}
