//! The bolt-up sheet: the order of tightening drawn, the torque of each pass, the weakest part, and
//! a box to tick for each bolt and pass.

use crate::bolt_rows::{BoltRow, BoltUpFacts, CAUTIONS, TO_WRITE};
use crate::page::{Page, Pen};
use crate::paper::{BODY, Cell, Column, LEADING, Paper, SMALL, Table};
use crate::photo::{draw_bare, fitted};
use crate::text::Letters;
use holebook_core::hole::bolt_up::BoltPass;
use holebook_core::labels::{
    DRAWING_NOTE, GRIP_NOTE, PASSES_SOURCE, SEALER, TABLE_NOTE, WARM_UP, full_torque, sentence,
    tightening_warnings, weakest,
};
use holebook_core::length::in_unit;
use holebook_core::notebook::{Notebook, OrderedBy, marked_at, photo_of_all, places_on_face};

/// The largest drawing, points.
const PICTURE: (f32, f32) = (300.0, 215.0);
/// Radius of the disc of a place, points.
const DISC: f32 = 7.0;
/// The smallest one that is still read.
const SMALLEST_DISC: f32 = 4.2;
/// The least height of a line, to tick.
const LINE: f32 = 20.0;
/// Height of a line to write on.
const TO_FILL: f32 = 22.0;

/// Fills the sheet.
pub fn fill(paper: &mut Paper, notebook: &Notebook, facts: &BoltUpFacts) {
    head(paper, notebook, facts);
    paper.skip(4.0);
    if facts.rows.is_empty() {
        return;
    }
    table(paper, facts);
    paper.paragraph(PASSES_SOURCE, SMALL);
    to_write(paper);
}

/// The drawing, with what the joint is tightened to beside it.
fn head(paper: &mut Paper, notebook: &Notebook, facts: &BoltUpFacts) {
    let (left, top) = (paper.left(), paper.y());
    let drawn = drawing(paper.page(), notebook, facts, (left, top));
    let x = drawn.map_or(left, |(width, _)| left + width + 12.0);
    let bottom = drawn.map_or(top, |(_, height)| top + height + 3.0);
    let width = paper.right() - x;
    let mut y = top;
    for (letters, size) in about(facts, drawn.is_some()) {
        y += paper.lines_at(x, y, size, letters.wrapped(width, size)) + 1.5;
    }
    let below = y.max(bottom) - paper.y();
    paper.skip(below);
    for caution in CAUTIONS {
        let text = sentence(&in_unit(&caution.to_string(), facts.unit));
        paper.paragraph(Letters::bold("Caution: ").and(&text, false), SMALL);
    }
}

fn about(facts: &BoltUpFacts, drawn: bool) -> Vec<(Letters, f32)> {
    let joint = &facts.joint;
    let bolts = format!(
        "{}. The torque is for that alone.",
        joint.lubrication.name()
    );
    let mut about = vec![
        (Letters::bold(&facts.state()), BODY),
        (Letters::bold("Bolts: ").and(&bolts, false), BODY),
        (Letters::plain(&full_torque(joint, facts.unit)), BODY),
    ];
    let warnings = tightening_warnings(joint, facts.unit).into_iter();
    about.extend(warnings.map(|text| (Letters::bold(&text), BODY)));
    about.extend(weakest(joint, facts.unit).map(|text| (Letters::plain(&text), BODY)));
    about.extend(drawn.then(|| (Letters::plain(DRAWING_NOTE), SMALL)));
    about.extend([
        (Letters::plain(joint.order.by.sentence()), SMALL),
        (Letters::plain(GRIP_NOTE), SMALL),
        (Letters::plain(SEALER), SMALL),
        (Letters::bold(WARM_UP).and(".", true), SMALL),
    ]);
    about
}

/// Draws the order on the photo that shows all holes, or else on a plan of their places. Returns
/// the size of the drawing; `None` if it is not known where the holes are.
fn drawing(
    page: &mut Page,
    notebook: &Notebook,
    facts: &BoltUpFacts,
    (left, top): (f32, f32),
) -> Option<(f32, f32)> {
    let joint = &facts.joint;
    if joint.order.by == OrderedBy::Numbers {
        return None;
    }
    let holes = joint.order.holes.iter();
    if let Some(photo) = photo_of_all(&joint.face) {
        let (width, height) = fitted(photo, PICTURE.0, PICTURE.1);
        draw_bare(page, notebook, photo, (left, top), (width, height));
        let scale = width / photo.width_px.max(1) as f32;
        let at = |(x, y): (f64, f64)| (left + x as f32 * scale, top + y as f32 * scale);
        let places: Option<Vec<_>> = holes.map(|id| marked_at(photo, *id).map(at)).collect();
        order(page, &places?);
        return Some((width, height));
    }
    let known = places_on_face(&joint.face)?;
    let places = holes.map(|id| {
        let (_, x, y) = known.iter().find(|(hole, ..)| hole == id)?;
        Some((*x as f32, -*y as f32))
    });
    let (places, size) = spread(&places.collect::<Option<Vec<_>>>()?);
    let places: Vec<_> = places.iter().map(|(x, y)| (left + x, top + y)).collect();
    page.rect((left, top, size.0, size.1), None, Some(Pen::new(0.5, 90)));
    order(page, &places);
    Some(size)
}

/// Scales places to the drawing.
fn spread(places: &[(f32, f32)]) -> (Vec<(f32, f32)>, (f32, f32)) {
    const EDGE: f32 = 2.0 * DISC;
    let range = |pick: fn(&(f32, f32)) -> f32| {
        let values = places.iter().map(pick);
        let (least, most) = values.fold((f32::INFINITY, f32::NEG_INFINITY), |(a, b), value| {
            (a.min(value), b.max(value))
        });
        (least, most - least)
    };
    let ((x0, wide), (y0, high)) = (range(|at| at.0), range(|at| at.1));
    let room = (PICTURE.0 - 2.0 * EDGE, PICTURE.1 - 2.0 * EDGE);
    let scale = (room.0 / wide.max(1e-3)).min(room.1 / high.max(1e-3));
    // A single hole, or holes in a row, have no extent in one direction.
    let scale = if scale.is_finite() {
        scale.min(20.0)
    } else {
        1.0
    };
    let at = |(x, y): &(f32, f32)| (EDGE + (x - x0) * scale, EDGE + (y - y0) * scale);
    let size = (2.0 * EDGE + wide * scale, 2.0 * EDGE + high * scale);
    (places.iter().map(at).collect(), size)
}

/// Returns the radius of the discs: smaller where two would touch, but never too small to read.
fn disc(places: &[(f32, f32)]) -> f32 {
    let apart = places.iter().enumerate().flat_map(|(at, (x, y))| {
        let others = places[at + 1..].iter();
        others.map(move |(x2, y2)| (x - x2).hypot(y - y2))
    });
    let closest = apart.fold(f32::INFINITY, f32::min);
    (0.48 * closest).clamp(SMALLEST_DISC, DISC)
}

/// Draws the way from bolt to bolt, and the place of each.
fn order(page: &mut Page, places: &[(f32, f32)]) {
    let disc = disc(places);
    for pair in places.windows(2) {
        for pen in [
            Pen::new(2.2, 255),
            Pen {
                dashed: true,
                ..Pen::new(0.8, 0)
            },
        ] {
            page.line(pair[0], pair[1], pen);
        }
    }
    for (at, (x, y)) in places.iter().enumerate() {
        page.circle((*x, *y), disc, Some(255), Some(Pen::new(1.0, 0)));
        let number = Letters::bold(&(at + 1).to_string());
        let size = 1.25 * disc;
        let size = size * (1.7 * disc / number.width(size)).min(1.0);
        page.text_centered(*x, y + 0.36 * size, size, 0, number);
    }
}

/// Widths of the columns before the boxes.
const FIXED: [(&str, f32); 2] = [("Order", 29.0), ("Hole", 31.0)];
const SHARES: [(&str, f32); 4] = [
    ("Bolt", 0.31),
    ("Grip", 0.16),
    ("Engaged", 0.16),
    ("Torque limit, weakest part", 0.37),
];
/// Width of a box.
const BOX: f32 = 45.0;

fn table(paper: &mut Paper, facts: &BoltUpFacts) {
    paper.paragraph(TABLE_NOTE, SMALL);
    let titles = BoltPass::ALL.map(|pass| facts.pass_title(pass));
    let fixed: f32 = FIXED.iter().map(|(_, width)| width).sum();
    let wide = paper.width() - fixed - BOX * titles.len() as f32;
    let shares = SHARES.map(|(title, share)| (title, share * wide));
    let boxes = titles.iter().map(|title| (title.as_str(), BOX));
    let columns = FIXED.into_iter().chain(shares).chain(boxes);
    let columns: Vec<Column<'_>> = columns
        .map(|(title, width)| Column { title, width })
        .collect();
    let table = Table::start(paper, &columns, LINE);
    for row in &facts.rows {
        table.row(paper, cells(row));
    }
    paper.skip(3.0);
}

fn cells(row: &BoltRow) -> Vec<Cell> {
    let open = if row.open { "OPEN" } else { "" };
    let (name, advice) = row
        .bolt
        .split_first()
        .map_or(("", &[][..]), |(name, advice)| (name.as_str(), advice));
    let mut bolt = vec![(Letters::bold(name), SMALL)];
    bolt.extend(
        advice
            .iter()
            .map(|line| (Letters::plain(line), SMALL - 0.4)),
    );
    let mut cells = vec![
        Cell::Text(vec![(Letters::bold(&row.place.to_string()), 11.0)]),
        Cell::Text(vec![
            (Letters::bold(&row.number.to_string()), 11.0),
            (Letters::bold(open), SMALL - 0.4),
        ]),
        Cell::Text(bolt),
        Cell::Text(vec![(row.grip.as_str().into(), SMALL)]),
        Cell::Text(vec![(row.engaged.as_str().into(), SMALL)]),
        Cell::Text(vec![
            (Letters::bold(&row.limit), SMALL),
            (row.weakest.as_str().into(), SMALL - 0.4),
        ]),
    ];
    let boxes = row.passes.iter();
    cells.extend(boxes.map(|pass| Cell::Box(pass.clone().unwrap_or_default().into())));
    cells
}

/// Lines to write on: the sealer, the wrench, and the check after the first warm-up.
fn to_write(paper: &mut Paper) {
    paper.ensure(TO_FILL * TO_WRITE.len() as f32 + BODY * LEADING);
    for name in TO_WRITE {
        let (left, right, y) = (paper.left(), paper.right(), paper.y() + TO_FILL - 5.0);
        let name = Letters::bold(&format!("{name}: "));
        let from = left + name.width(BODY) + 4.0;
        paper.page().text(left, y, BODY, name);
        paper
            .page()
            .line((from, y + 2.0), (right, y + 2.0), Pen::HAIR);
        paper.skip(TO_FILL);
    }
}
