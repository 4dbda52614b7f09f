//! The template: the holes in true scale, to check a face by eye and to find a lost hole. It is no
//! drill guide: paper stretches, and a printer may scale.

use crate::facts::{FaceFacts, HoleFacts};
use crate::page::{POINTS_PER_IN, POINTS_PER_MM, Pen};
use crate::paper::{BODY, HEADING, LEADING, Paper, SMALL};
use crate::text::Letters;
use holebook_core::length::Length;
use holebook_core::places::PatternHole;

/// Points that two neighboring sheets share at least, to glue them.
const OVERLAP: f32 = 36.0;
/// How far a hole's cross reaches beyond its circle.
const ARM: f32 = 6.0;
/// How far the drawing goes into the margin of the text, which printers still reach.
const INTO_MARGIN: f32 = 16.0;
/// Room for the check lengths above the holes.
const CHECK: f32 = 62.0;
/// The most sheets of a template; a larger face is refused in words.
const MOST_SHEETS: usize = 60;

/// A hole with its place, points to the right and up.
struct Placed {
    number: u32,
    x: f32,
    y: f32,
    radius: f32,
}

/// Fills the sheet.
pub fn fill(paper: &mut Paper, facts: &FaceFacts) {
    let places = facts.face.hole_places();
    let place = |hole: &HoleFacts| {
        let mut places = places.iter();
        places.find(|place| place.hole == hole.summary.number)
    };
    let placed = facts
        .holes
        .iter()
        .filter_map(|hole| Some(placed(hole, place(hole)?)));
    let placed: Vec<Placed> = placed.collect();
    if placed.is_empty() {
        return without_places(paper, facts);
    }
    let tiles = Tiles::of(&placed, paper);
    if tiles.count() > MOST_SHEETS {
        let text = format!(
            "The holes lie so far apart that the template would take {} sheets. Check the coordinates of the holes.",
            tiles.count()
        );
        return paper.paragraph(Letters::bold(&text), BODY);
    }
    let without: Vec<String> = facts
        .holes
        .iter()
        .filter(|hole| place(hole).is_none())
        .map(|hole| hole.summary.number.to_string())
        .collect();
    for row in 0..tiles.rows {
        for column in 0..tiles.columns {
            if row + column > 0 {
                paper.break_page();
            }
            tile(paper, &placed, &tiles, (row, column), &without);
        }
    }
}

/// What to measure where no place of a hole is known.
fn without_places(paper: &mut Paper, facts: &FaceFacts) {
    paper.heading(
        "No coordinates are recorded for the holes of this face",
        BODY,
    );
    let holes = facts.holes.len();
    for text in [
        format!(
            "A template in true scale needs the place of each hole on the face; this face has {holes} holes and no place."
        ),
        "Measure from one corner or from two holes that are sound: across to the right (x) and up (y), with the caliper over \
         pins or bolts that fit the holes. Or take the distances between neighboring holes and across the face; \
         `holebook place distances` makes coordinates of them."
            .to_owned(),
        "Then record each hole with its place, or the wanted pattern of the face, and print this sheet again.".to_owned(),
    ] {
        paper.paragraph(text, BODY);
    }
    paper.skip(6.0);
    let (left, top) = (paper.left(), paper.y());
    check_lengths(paper, left, top);
    paper.skip(CHECK);
}

fn placed(hole: &HoleFacts, place: &PatternHole) -> Placed {
    let points = |length: Length| length.mm() as f32 * POINTS_PER_MM;
    let wanted = hole.plan.record.wanted.agreed();
    // A hole whose thread is not known is drawn as 6 mm.
    let across = wanted.map_or(6.0, |wanted| wanted.thread.nominal().mm() as f32);
    Placed {
        number: hole.summary.number,
        x: points(place.x),
        y: points(place.y),
        radius: across * POINTS_PER_MM / 2.0,
    }
}

/// How the holes are spread over sheets.
struct Tiles {
    left: f32,
    top: f32,
    columns: usize,
    rows: usize,
    width: f32,
    height: f32,
    /// What neighbors share: enough that every hole is whole on one of them.
    overlap: f32,
}

impl Tiles {
    fn of(placed: &[Placed], paper: &Paper) -> Tiles {
        let edge = |hole: &Placed| hole.radius + ARM;
        let fold = |values: &dyn Fn(&Placed) -> f32, pick: fn(f32, f32) -> f32, from: f32| {
            placed.iter().map(values).fold(from, pick)
        };
        let left = fold(&|hole| hole.x - edge(hole), f32::min, f32::INFINITY);
        let right = fold(&|hole| hole.x + edge(hole), f32::max, f32::NEG_INFINITY);
        let bottom = fold(&|hole| hole.y - edge(hole), f32::min, f32::INFINITY);
        let top = fold(&|hole| hole.y + edge(hole), f32::max, f32::NEG_INFINITY);
        let width = paper.width() + 2.0 * INTO_MARGIN;
        let height = paper.full_room() - CHECK;
        let widest = fold(&|hole| 2.0 * edge(hole), f32::max, OVERLAP);
        let overlap = widest.min(width / 2.0);
        Tiles {
            left,
            top,
            columns: tiles(right - left, width, overlap),
            rows: tiles(top - bottom, height, overlap),
            width,
            height,
            overlap,
        }
    }

    fn count(&self) -> usize {
        self.columns.saturating_mul(self.rows)
    }
}

/// Returns how many sheets cover a length.
fn tiles(length: f32, sheet: f32, overlap: f32) -> usize {
    let more = ((length - sheet) / (sheet - overlap)).ceil().max(0.0);
    // A cast from a float saturates.
    (more as usize).saturating_add(1)
}

fn tile(
    paper: &mut Paper,
    placed: &[Placed],
    tiles: &Tiles,
    (row, column): (usize, usize),
    without: &[String],
) {
    let (left, top) = (paper.left(), paper.y());
    check_lengths(paper, left, top);
    notes(paper, tiles, (row, column), without);
    let area = (left - INTO_MARGIN, top + CHECK, tiles.width, tiles.height);
    if tiles.count() > 1 {
        glue_marks(paper, tiles, (row, column), area);
    }
    let shift_x = tiles.left + column as f32 * (tiles.width - tiles.overlap);
    let shift_y = tiles.top - row as f32 * (tiles.height - tiles.overlap);
    for hole in placed {
        let x = area.0 + hole.x - shift_x;
        let y = area.1 + shift_y - hole.y;
        // Half a point for rounding. A hole that is cut here is whole on the next sheet.
        let edge = hole.radius + ARM - 0.5;
        let inside = x - edge >= area.0
            && x + edge <= area.0 + area.2
            && y - edge >= area.1
            && y + edge <= area.1 + area.3;
        if inside {
            draw_hole(paper, (x, y), hole);
        }
    }
}

fn draw_hole(paper: &mut Paper, (x, y): (f32, f32), hole: &Placed) {
    let page = paper.page();
    let arm = hole.radius + ARM;
    page.circle((x, y), hole.radius, None, Some(Pen::new(0.5, 0)));
    page.line((x - arm, y), (x + arm, y), Pen::new(0.3, 0));
    page.line((x, y - arm), (x, y + arm), Pen::new(0.3, 0));
    let number = Letters::bold(&hole.number.to_string());
    page.text(
        x + hole.radius * 0.72 + 3.0,
        y - hole.radius * 0.72 - 3.0,
        HEADING,
        number,
    );
}

/// Draws 100 mm and 4 in to measure on the print.
fn check_lengths(paper: &mut Paper, left: f32, top: f32) {
    let lengths = [
        (100.0 * POINTS_PER_MM, "100 mm", 0.0),
        (4.0 * POINTS_PER_IN, "4 in", 24.0),
    ];
    for (length, name, down) in lengths {
        let y = top + 16.0 + down;
        let page = paper.page();
        page.line((left, y), (left + length, y), Pen::new(0.5, 0));
        for x in [left, left + length] {
            page.line((x, y - 5.0), (x, y + 5.0), Pen::new(0.5, 0));
        }
        page.text(left + 4.0, y - 2.5, SMALL, Letters::bold(name));
    }
}

/// What to check before the template is used, beside the check lengths.
fn notes(paper: &mut Paper, tiles: &Tiles, (row, column): (usize, usize), without: &[String]) {
    let mut text = "Print at 100 %, without fitting to the page. Measure both lines before use. Paper stretches: a template \
                    shows where a hole belongs, and is no drill guide. Circles are the bolt's diameter."
        .to_owned();
    if tiles.count() > 1 {
        text.push_str(&format!(
            " Sheet row {} of {}, column {} of {}: glue on the dashed lines.",
            row + 1,
            tiles.rows,
            column + 1,
            tiles.columns
        ));
    }
    if !without.is_empty() {
        text.push_str(&format!(" Without a place: hole {}.", without.join(", ")));
    }
    let x = paper.left() + 4.0 * POINTS_PER_IN + 14.0;
    let width = paper.right() - x;
    let lines = Letters::plain(&text).wrapped(width, SMALL - 0.4);
    let most = ((CHECK - 4.0) / ((SMALL - 0.4) * LEADING)) as usize;
    let lines = lines.into_iter().take(most).collect();
    let top = paper.y();
    paper.lines_at(x, top, SMALL - 0.4, lines);
}

/// Dashed lines where the neighboring sheets begin, with crosses to line them up.
fn glue_marks(
    paper: &mut Paper,
    tiles: &Tiles,
    (row, column): (usize, usize),
    (x, y, width, height): (f32, f32, f32, f32),
) {
    let pen = Pen {
        dashed: true,
        ..Pen::new(0.4, 110)
    };
    let page = paper.page();
    let (right, bottom) = (x + width, y + height);
    if column > 0 {
        page.line((x + tiles.overlap, y), (x + tiles.overlap, bottom), pen);
    }
    if column + 1 < tiles.columns {
        page.line(
            (right - tiles.overlap, y),
            (right - tiles.overlap, bottom),
            pen,
        );
    }
    if row > 0 {
        page.line((x, y + tiles.overlap), (right, y + tiles.overlap), pen);
    }
    if row + 1 < tiles.rows {
        page.line(
            (x, bottom - tiles.overlap),
            (right, bottom - tiles.overlap),
            pen,
        );
    }
}
