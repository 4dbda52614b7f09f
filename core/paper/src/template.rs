//! The template: the holes in true scale, to check a face by eye and to find a lost hole. It is no
//! drill guide: paper stretches, and a printer may scale.

use crate::PaperError;
use crate::facts::{FaceFacts, HoleFacts};
use crate::page::{Mark, POINTS_PER_IN, POINTS_PER_MM, Pen};
use crate::paper::{BODY, HEADING, LEADING, Paper, SMALL};
use crate::text::Letters;
use holebook_core::length::Length;
use holebook_core::notebook::{Notebook, NotebookError};
use holebook_core::places::{Bounds, PatternHole, PhotoPlane, PlaneBasis, Straightener};

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
/// How far the photo beneath the holes goes to white, so that lines and numbers stay readable.
const FADE: f64 = 0.45;

/// A hole with its place, points to the right and up.
struct Placed {
    number: u32,
    x: f32,
    y: f32,
    radius: f32,
}

/// Fills the sheet.
pub fn fill(paper: &mut Paper, notebook: &Notebook, facts: &FaceFacts) -> Result<(), PaperError> {
    let plane = plane_of(notebook, facts)?;
    let places = places_of(facts, plane.as_ref());
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
        without_places(paper, facts);
        return Ok(());
    }
    let tiles = Tiles::of(&placed, paper);
    if tiles.count() > MOST_SHEETS {
        let text = format!(
            "The holes lie so far apart that the template would take {} sheets. Check the coordinates of the holes.",
            tiles.count()
        );
        paper.paragraph(Letters::bold(&text), BODY);
        return Ok(());
    }
    let beneath = Beneath::of(notebook, facts, plane.as_ref());
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
            tile(paper, &placed, &tiles, (row, column), (&without, &beneath));
        }
    }
    Ok(())
}

/// The first photo of the face that is a map of it, if there is one.
fn plane_of(notebook: &Notebook, facts: &FaceFacts) -> Result<Option<PhotoPlane>, PaperError> {
    let has_places = !facts.face.hole_places().is_empty();
    for photo in facts.face.photos_of_face() {
        match notebook.plane_of(&facts.face, photo.id) {
            // Known points may count from another zero than the places of the holes.
            Ok(plane) if matches!(plane.by, PlaneBasis::KnownPoints(_)) && has_places => {}
            Ok(plane) => return Ok(Some(plane)),
            Err(NotebookError::Invalid(_)) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(None)
}

/// Where the holes are: as measured or by the pattern, else as a photo with known points shows them.
fn places_of(facts: &FaceFacts, plane: Option<&PhotoPlane>) -> Vec<PatternHole> {
    let places = facts.face.hole_places();
    let marked = plane.filter(|_| places.is_empty());
    let Some(marked) = marked.and_then(|plane| plane.holes().ok()) else {
        return places;
    };
    let marked = marked.into_iter().filter_map(|(hole, at)| {
        let (x, y) = (
            Length::from_mm(at.x_mm).ok()?,
            Length::from_mm(at.y_mm).ok()?,
        );
        Some(PatternHole { hole, x, y })
    });
    marked.collect()
}

/// The straightened photo beneath the holes.
enum Beneath<'a> {
    Nothing,
    Photo(Straightener<'a>),
    /// Why there is none although the photo is measurable, such as a file that has not arrived yet.
    Missing(String),
}

impl<'a> Beneath<'a> {
    fn of(notebook: &Notebook, facts: &FaceFacts, plane: Option<&'a PhotoPlane>) -> Self {
        let Some(plane) = plane else {
            return Self::Nothing;
        };
        let mut photos = facts.face.photos.iter();
        let Some(photo) = photos.find(|photo| photo.id == plane.photo) else {
            return Self::Nothing;
        };
        match Straightener::open(notebook.photos(), &photo.hash, plane) {
            Ok(photo) => Self::Photo(photo),
            Err(error) => Self::Missing(error.to_string()),
        }
    }

    /// Draws what lies beneath a tile: its area on the paper, and its left and top edge on the face,
    /// in points.
    fn draw(&self, paper: &mut Paper, (x, y, width, height): Area, (left, top): (f32, f32)) {
        let Self::Photo(photo) = self else { return };
        let mm = |points: f32| f64::from(points / POINTS_PER_MM);
        let bounds = Bounds {
            left_mm: mm(left),
            right_mm: mm(left + width),
            top_mm: mm(top),
            bottom_mm: mm(top - height),
        };
        if let Ok(picture) = photo.picture(bounds, FADE) {
            paper.page().marks.push(Mark::Picture {
                jpeg: picture.jpeg,
                x,
                y,
                width,
                height,
            });
        }
    }

    fn note(&self) -> Option<String> {
        match self {
            Self::Nothing => None,
            Self::Photo(_) => Some(
                " The photo is straightened in the plane of the face; bosses and depths are out of scale.".to_owned(),
            ),
            Self::Missing(why) => Some(format!(" No photo beneath: {why}.")),
        }
    }
}

/// Left, top, width and height on the paper, points.
type Area = (f32, f32, f32, f32);

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
    (without, beneath): (&[String], &Beneath<'_>),
) {
    let (left, top) = (paper.left(), paper.y());
    let area = (left - INTO_MARGIN, top + CHECK, tiles.width, tiles.height);
    let shift_x = tiles.left + column as f32 * (tiles.width - tiles.overlap);
    let shift_y = tiles.top - row as f32 * (tiles.height - tiles.overlap);
    beneath.draw(paper, area, (shift_x, shift_y));
    check_lengths(paper, left, top);
    notes(paper, tiles, (row, column), without, beneath.note());
    if tiles.count() > 1 {
        glue_marks(paper, tiles, (row, column), area);
    }
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
    // White below black, so that both are seen on a photo.
    for [circle, line] in [
        [Pen::new(1.7, 255), Pen::new(1.3, 255)],
        [Pen::new(0.5, 0), Pen::new(0.3, 0)],
    ] {
        page.circle((x, y), hole.radius, None, Some(circle));
        page.line((x - arm, y), (x + arm, y), line);
        page.line((x, y - arm), (x, y + arm), line);
    }
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
fn notes(
    paper: &mut Paper,
    tiles: &Tiles,
    (row, column): (usize, usize),
    without: &[String],
    beneath: Option<String>,
) {
    let mut text = "Print at 100 %, without fitting to the page. Measure both lines before use. Paper stretches: a template \
                    shows where a hole belongs, and is no drill guide. Circles are the bolt's diameter."
        .to_owned();
    if tiles.count() > 1 {
        text.push_str(&format!(
            " Larger than a sheet: row {} of {}, column {} of {}; glue on the dashed lines.",
            row + 1,
            tiles.rows,
            column + 1,
            tiles.columns
        ));
    }
    text.extend(beneath);
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
