//! The wanted pattern: from a drawing, a shape, caliper distances, a sister part or a gasket.

use super::{PlacesPage, whole};
use crate::authors::Authors;
use crate::carrier::Request;
use crate::face_map::{self, Shape, Spot};
use crate::form::{Form, FormError, hidden, length, replaced_entries, replaces, required_length};
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence};
use crate::page::Page;
use crate::pages::strike_out::strike_out_form;
use crate::pages::{FormContext, below_face};
use crate::rows::{self, Layout};
use holebook_core::length::{Length, Unit, in_unit};
use holebook_core::notebook::{FaceId, FaceView, Notebook, NotebookError};
use holebook_core::places::{CaliperDistance, PatternHole, PatternSource, WantedPattern};
use holebook_place::distances::{
    Across, Distance, DistanceFit, DistanceSurvey, MeasuredHole, solve,
};
use holebook_place::pattern::Layout as Shaped;
use holebook_place::{PlaceError, Point};
use maud::{Markup, html};
use std::collections::BTreeMap;

const LINES: &str = "Holes";
const TOLERANCE: &str = "Tolerance ±";
const COUNT: &str = "How many holes";
const DIAMETER: &str = "Circle across the centers";
const FIRST: &str = "Number of the first hole";
const DISTANCES: &str = "Caliper readings";
const JAW: &str = "Hole diameter at the jaws";
/// A caliper without a stated tolerance reads to ±.002 in between holes. Common practice, no source.
const CALIPER_TOLERANCE: Length = Length::from_nm(50_800);

const PAIRS: Layout = Layout {
    numbers: 2,
    least: 1,
    most: 1,
    sample: "hole, hole, reading: 1 2 4.250",
};

/// The page with the pattern and the ways to enter it.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let authors = Authors::default().and(notebook, &face.record.pattern)?;
    let title = "Wanted pattern";
    let content = html! {
        h1 { (title) }
        (context.outcome())
        (conflict(&face, &authors, context))
        @if let Some(pattern) = face.record.pattern.agreed() { (now(&face, pattern, context)) }
        section.panel {
            h2 { @if face.record.pattern.0.is_empty() { "Where should the holes be?" } @else { "Enter it again" } }
            p { "Numbers are those of the holes on this face. X points right and Y up, from any zero." }
            (circle(&face, context))
            (grid(&face, context))
            (oval(&face, context))
            (lines(&face, context))
            (distances(&face, context))
        }
    };
    Ok(below_face::page(&face, title, context, content))
}

/// What the page of the centers says of the pattern.
pub(super) fn summary(page: &PlacesPage<'_>) -> Markup {
    let pattern = &page.face.record.pattern;
    html! {
        @if let Some(known) = pattern.agreed() {
            section.panel {
                h2 { "Wanted pattern" }
                p { (described(known, page.unit())) }
                p { a.button href=(page.path("pattern")) { "Change the pattern" } }
            }
        }
    }
}

fn described(pattern: &WantedPattern, unit: Unit) -> String {
    let mut text = format!(
        "{} from {}",
        count(pattern.holes.len(), "hole", "holes"),
        match pattern.source {
            PatternSource::Drawing => "a drawing",
            PatternSource::Layout => "a shape",
            PatternSource::Distances => "caliper distances",
            PatternSource::SisterPart => "a sister part",
            PatternSource::Gasket => "a gasket",
        }
    );
    if let Some(tolerance) = pattern.tolerance {
        text.push_str(&format!(", ±{}", tolerance.show(unit)));
    }
    if pattern.from_back {
        text.push_str(", seen from the back");
    }
    if let Some(note) = &pattern.note {
        text.push_str(&format!(" ({note})"));
    }
    text + "."
}

fn conflict(face: &FaceView, authors: &Authors, context: FormContext<'_>) -> Markup {
    let entries = &face.record.pattern.0;
    html! {
        @if face.record.pattern.differ() {
            section.panel.conflict {
                h2 { "Devices disagree" }
                @for entry in entries {
                    form method="post" action=(FormName::UsePattern.address_of(face.id)) {
                        (replaced_entries(entries.iter().map(|entry| entry.entry)))
                        (hidden(Field::Entry, entry.entry))
                        p { (described(&entry.body, context.unit)) " " (authors.describe(entry)) }
                        button { "Use this one" }
                    }
                }
            }
        }
    }
}

fn now(face: &FaceView, pattern: &WantedPattern, context: FormContext<'_>) -> Markup {
    let spots = pattern.seen_on_face().map(|hole| Spot {
        x_mm: hole.x.mm(),
        y_mm: hole.y.mm(),
        shape: Shape::Center,
        label: hole.hole.to_string(),
    });
    let spots: Vec<Spot> = spots.collect();
    html! {
        section.panel {
            p { (described(pattern, context.unit)) }
            (closure(pattern, context.unit))
            (face_map::draw(&spots, "To scale, as one looks at the face."))
            p { a.button.main href=(format!("/face/{}/places", face.id)) { "Hole centers" } }
            @for entry in &face.record.pattern.0 {
                (strike_out_form(FormName::StrikeOutPattern, face.id, entry.entry, context))
            }
        }
    }
}

/// How the caliper readings agree, and which one more would help most.
fn closure(pattern: &WantedPattern, unit: Unit) -> Markup {
    if pattern.distances.is_empty() {
        return html! {};
    }
    let survey = survey(
        &pattern.distances,
        pattern.jaw_diameter,
        pattern.tolerance.unwrap_or(CALIPER_TOLERANCE),
        &BTreeMap::new(),
    );
    let Ok(fit) = solve(&survey) else {
        return html! {};
    };
    html! {
        @for warning in &fit.warnings { p { b { "Check: " } (sentence(&in_unit(&warning.to_string(), unit))) } }
        @if let Some(next) = &fit.best_next {
            p { "One more reading helps most from hole " (next.from) " to hole " (next.to) ", about "
                (crate::lengths::length(next.center_mm, unit, holebook_core::length::Rounding::Nearest)) " between centers." }
        }
    }
}

/// One way to enter the pattern, folded until it is chosen.
fn way(
    face: &FaceView,
    name: FormName,
    label: &str,
    context: FormContext<'_>,
    fields: impl FnOnce(Form<'_>) -> Markup,
) -> Markup {
    let form = context.form(name);
    html! {
        details open[form.is_rejected()] {
            summary { (label) }
            form method="post" action=(name.address_of(face.id)) {
                (replaced_entries(face.record.pattern.0.iter().map(|entry| entry.entry)))
                (fields(form))
                p { button.main { "Save pattern" } }
            }
        }
    }
}

fn circle(face: &FaceView, context: FormContext<'_>) -> Markup {
    way(
        face,
        FormName::PatternCircle,
        "Around a circle",
        context,
        |form| {
            html! {
                div.fields {
                    (form.text(Field::HoleCount, COUNT, None, "evenly spaced"))
                    (form.length(Field::PatternDiameter, DIAMETER, None, "bolt circle"))
                    (form.text(Field::FirstNumber, FIRST, Some("1"), ""))
                }
                (form.checkbox(Field::Clockwise, "Numbered clockwise", true))
            }
        },
    )
}

fn grid(face: &FaceView, context: FormContext<'_>) -> Markup {
    way(
        face,
        FormName::PatternGrid,
        "A line or grid",
        context,
        |form| {
            html! {
                div.fields {
                    (form.text(Field::Columns, "Holes in a row", None, "numbered left to right"))
                    (form.length(Field::StepX, "From hole to hole", None, ""))
                    (form.text(Field::Rows, "Rows", Some("1"), "the next row lies above"))
                    (form.length(Field::StepY, "From row to row", None, "blank for one row"))
                    (form.text(Field::FirstNumber, FIRST, Some("1"), ""))
                }
            }
        },
    )
}

fn oval(face: &FaceView, context: FormContext<'_>) -> Markup {
    way(
        face,
        FormName::PatternOval,
        "Around an oval",
        context,
        |form| {
            html! {
                (form.radios_from(Field::OvalShape, "Shape", Some("slot"), &[("slot", "straight sides, round ends"), ("ellipse", "ellipse")]))
                div.fields {
                    (form.text(Field::HoleCount, COUNT, None, "evenly spaced, the first at the right"))
                    (form.length(Field::OvalWidth, "Width", None, "across the centers"))
                    (form.length(Field::OvalHeight, "Height", None, "across the centers"))
                    (form.text(Field::FirstNumber, FIRST, Some("1"), ""))
                }
                (form.checkbox(Field::Clockwise, "Numbered clockwise", true))
            }
        },
    )
}

/// The pattern as it was typed, to be changed.
fn typed(face: &FaceView, unit: Unit) -> Option<String> {
    let pattern = face.record.pattern.agreed()?;
    let lines = pattern.holes.iter().map(|hole| {
        let (x, y) = (hole.x.number(unit), hole.y.number(unit));
        format!("{} {x} {y}", hole.hole)
    });
    Some(lines.collect::<Vec<_>>().join("\n"))
}

fn lines(face: &FaceView, context: FormContext<'_>) -> Markup {
    let now = face.record.pattern.agreed();
    let text = typed(face, context.unit);
    let back = now.is_some_and(|pattern| pattern.from_back);
    way(
        face,
        FormName::PatternLines,
        "By coordinates: drawing, sister part, gasket",
        context,
        |form| {
            html! {
                (form.radios_from(Field::Source, "Taken from", Some("drawing"), &[
                    ("drawing", "drawing"), ("sister-part", "sister part"), ("gasket", "gasket"),
                ]))
                div.fields {
                    (form.lines(Field::WantedPattern, LINES, text.as_deref(), "one hole a line: number, X, Y"))
                    (form.length(Field::PatternTolerance, TOLERANCE, now.and_then(|pattern| pattern.tolerance), "of each coordinate; blank for a drawing"))
                    (form.text(Field::Note, "Note", None, "drawing number, which part"))
                }
                (form.checkbox(Field::FromBack, "Seen from the back (X counts the other way)", back))
            }
        },
    )
}

fn distances(face: &FaceView, context: FormContext<'_>) -> Markup {
    let unit = context.unit;
    let now = face.record.pattern.agreed();
    let readings = now
        .map(|pattern| pattern.distances.as_slice())
        .unwrap_or_default();
    let text = readings
        .iter()
        .map(|it| format!("{} {} {}", it.from, it.to, it.reading.number(unit)));
    let text = text.collect::<Vec<_>>().join("\n");
    let across = readings
        .first()
        .map_or("far-sides", |it| across_word(it.across));
    way(
        face,
        FormName::PatternDistances,
        "By caliper distances between holes",
        context,
        |form| {
            html! {
                div.fields {
                    (form.lines(Field::Distances, DISTANCES, Some(&text), "one reading a line: hole, hole, reading"))
                    (form.length(Field::JawDiameter, JAW, now.and_then(|pattern| pattern.jaw_diameter), "of both holes; not needed between centers"))
                    (form.length(Field::CaliperTolerance, TOLERANCE, None, "of each reading; blank = ±.002 in"))
                }
                (form.radios_from(Field::MeasuredAcross, "Measured", Some(across), &[
                    ("far-sides", "across the far sides"), ("near-sides", "over the metal between"), ("centers", "between centers"),
                ]))
                p.faint { "Three or more holes; a reading more than it takes checks the others." }
            }
        },
    )
}

const fn across_word(across: Across) -> &'static str {
    match across {
        Across::Centers => "centers",
        Across::FarSides => "far-sides",
        Across::NearSides => "near-sides",
    }
}

/// Records the pattern that a form gives.
pub fn save(
    notebook: &Notebook,
    id: FaceId,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let (pattern, field) = match form {
        FormName::PatternCircle => (read_circle(request, unit)?, Field::HoleCount),
        FormName::PatternGrid => (read_grid(request, unit)?, Field::Columns),
        FormName::PatternOval => (read_oval(request, unit)?, Field::HoleCount),
        FormName::PatternDistances => {
            let face = notebook.face(id)?;
            (read_distances(request, unit, &face)?, Field::Distances)
        }
        FormName::UsePattern => (named(notebook, id, request)?, Field::Entry),
        _ => (read_lines(request, unit)?, Field::WantedPattern),
    };
    notebook
        .set_pattern(id, &pattern, &replaces(request)?)
        .map_err(|error| FormError::from(error).at(field))?;
    Ok(())
}

/// The pattern of the entry that a form names.
fn named(notebook: &Notebook, id: FaceId, request: &Request) -> Result<WantedPattern, FormError> {
    let named = request.field(Field::Entry).unwrap_or_default();
    let entries = notebook.face(id)?.record.pattern.0.into_iter();
    let mut entries = entries.filter(|entry| entry.entry.to_string() == named);
    let entry = entries.next();
    entry.map(|entry| entry.body).ok_or_else(|| {
        FormError::new("That pattern was replaced or struck out; look at the page again.")
    })
}

fn plain(holes: Vec<PatternHole>, source: PatternSource) -> WantedPattern {
    WantedPattern {
        holes,
        source,
        tolerance: None,
        from_back: false,
        distances: Vec::new(),
        jaw_diameter: None,
        note: None,
    }
}

fn read_lines(request: &Request, unit: Unit) -> Result<WantedPattern, FormError> {
    let rows = rows::read(request, unit, Field::WantedPattern, LINES, Layout::HOLE)?;
    let holes = rows.iter().map(|row| PatternHole {
        hole: row.hole,
        x: row.lengths[0],
        y: row.lengths[1],
    });
    let source = match request.field(Field::Source) {
        Some("gasket") => PatternSource::Gasket,
        Some("sister-part") => PatternSource::SisterPart,
        _ => PatternSource::Drawing,
    };
    Ok(WantedPattern {
        tolerance: length(request, Field::PatternTolerance, TOLERANCE, unit)?,
        from_back: request.field(Field::FromBack).is_some(),
        note: request.field(Field::Note).map(str::to_owned),
        ..plain(holes.collect(), source)
    })
}

/// The most holes and the largest number of a typed shape.
const MOST: u32 = 1_000;

fn required_whole(
    request: &Request,
    field: Field,
    label: &str,
    limits: (u32, u32),
) -> Result<u32, FormError> {
    whole(request, field, label, limits)?
        .ok_or_else(|| FormError::of(field, label, "required; enter it"))
}

fn above_zero(
    request: &Request,
    field: Field,
    label: &str,
    unit: Unit,
) -> Result<Length, FormError> {
    let length = required_length(request, field, label, unit)?;
    match length.is_positive() {
        true => Ok(length),
        false => Err(FormError::of(field, label, "must be more than 0")),
    }
}

/// The holes of a shape, numbered from the first; clockwise ones run down from the right.
fn shaped(request: &Request, shape: Shaped, field: Field) -> Result<WantedPattern, FormError> {
    let wrong = |error: PlaceError| FormError::of(field, "Pattern", error);
    let first = whole(request, Field::FirstNumber, FIRST, (1, 100_000))?.unwrap_or(1);
    let clockwise = request.field(Field::Clockwise).is_some();
    let holes = shape.holes().map_err(wrong)?;
    let holes = holes.iter().map(|hole| {
        let y_mm = if clockwise { -hole.y_mm } else { hole.y_mm };
        Ok(PatternHole {
            hole: first + hole.hole - 1,
            x: Length::from_mm(hole.x_mm)
                .map_err(|error| FormError::of(field, "Pattern", error))?,
            y: Length::from_mm(y_mm).map_err(|error| FormError::of(field, "Pattern", error))?,
        })
    });
    let holes: Vec<PatternHole> = holes.collect::<Result<_, FormError>>()?;
    Ok(plain(holes, PatternSource::Layout))
}

fn read_circle(request: &Request, unit: Unit) -> Result<WantedPattern, FormError> {
    let count = required_whole(request, Field::HoleCount, COUNT, (2, MOST))?;
    let diameter = above_zero(request, Field::PatternDiameter, DIAMETER, unit)?;
    // The first hole is at 12 o'clock, where people begin to count; the fit turns it anyway.
    let shape = Shaped::Circle {
        center: Point::default(),
        diameter_mm: diameter.mm(),
        count,
        first_deg: if request.field(Field::Clockwise).is_some() {
            -90.0
        } else {
            90.0
        },
    };
    let pattern = shaped(request, shape, Field::HoleCount)?;
    let note = format!("circle {} across", diameter.show(unit));
    Ok(WantedPattern {
        note: Some(note),
        ..pattern
    })
}

fn read_grid(request: &Request, unit: Unit) -> Result<WantedPattern, FormError> {
    let columns = required_whole(request, Field::Columns, "Holes in a row", (1, MOST))?;
    let rows = whole(request, Field::Rows, "Rows", (1, MOST))?.unwrap_or(1);
    if columns.saturating_mul(rows) > MOST {
        let message = format!("more than {MOST} holes; split the job");
        return Err(FormError::of(Field::Columns, "Holes in a row", message));
    }
    let across = match columns {
        1 => Length::ZERO,
        _ => above_zero(request, Field::StepX, "From hole to hole", unit)?,
    };
    let up = match rows {
        1 => Length::ZERO,
        _ => above_zero(request, Field::StepY, "From row to row", unit)?,
    };
    let shape = Shaped::Grid {
        start: Point::default(),
        step: Point::new(across.mm(), 0.0),
        columns,
        row_step: Point::new(0.0, up.mm()),
        rows,
    };
    shaped(request, shape, Field::Columns)
}

fn read_oval(request: &Request, unit: Unit) -> Result<WantedPattern, FormError> {
    let count = required_whole(request, Field::HoleCount, COUNT, (2, MOST))?;
    let width_mm = above_zero(request, Field::OvalWidth, "Width", unit)?.mm();
    let height_mm = above_zero(request, Field::OvalHeight, "Height", unit)?.mm();
    let center = Point::default();
    let shape = match request.field(Field::OvalShape) {
        Some("ellipse") => Shaped::Ellipse {
            center,
            width_mm,
            height_mm,
            count,
        },
        _ => Shaped::Slot {
            center,
            width_mm,
            height_mm,
            count,
        },
    };
    shaped(request, shape, Field::HoleCount)
}

fn read_distances(
    request: &Request,
    unit: Unit,
    face: &FaceView,
) -> Result<WantedPattern, FormError> {
    let rows = rows::read(request, unit, Field::Distances, DISTANCES, PAIRS)?;
    let across = match request.field(Field::MeasuredAcross) {
        Some("centers") => Across::Centers,
        Some("near-sides") => Across::NearSides,
        _ => Across::FarSides,
    };
    let readings = rows.iter().map(|row| CaliperDistance {
        from: row.hole,
        to: row.other,
        reading: row.lengths[0],
        across,
    });
    let readings: Vec<CaliperDistance> = readings.collect();
    let jaw = length(request, Field::JawDiameter, JAW, unit)?;
    let tolerance = length(request, Field::CaliperTolerance, TOLERANCE, unit)?;
    let survey = survey(
        &readings,
        jaw,
        tolerance.unwrap_or(CALIPER_TOLERANCE),
        &rough(face),
    );
    let wrong = |error: PlaceError| {
        let message = in_unit(&error.to_string(), unit);
        FormError::of(Field::Distances, DISTANCES, message)
    };
    let fit = solve(&survey).map_err(wrong)?;
    Ok(WantedPattern {
        tolerance: Some(largest_tolerance(&fit)),
        distances: readings,
        jaw_diameter: jaw,
        ..plain(placed(&fit)?, PatternSource::Distances)
    })
}

fn placed(fit: &DistanceFit) -> Result<Vec<PatternHole>, FormError> {
    let wrong = |error| FormError::of(Field::Distances, DISTANCES, error);
    let holes = fit.holes.iter().map(|hole| {
        Ok(PatternHole {
            hole: hole.hole,
            x: Length::from_mm(hole.x_mm).map_err(wrong)?,
            y: Length::from_mm(hole.y_mm).map_err(wrong)?,
        })
    });
    holes.collect()
}

/// The largest tolerance of a coordinate: two standard deviations.
fn largest_tolerance(fit: &DistanceFit) -> Length {
    let errors = fit.holes.iter().map(|hole| hole.error_mm);
    Length::from_mm(2.0 * errors.fold(0.0, f64::max)).unwrap_or_default()
}

/// The readings as a survey, its holes in the order in which they are named.
fn survey(
    readings: &[CaliperDistance],
    jaw: Option<Length>,
    tolerance: Length,
    rough: &BTreeMap<u32, Point>,
) -> DistanceSurvey {
    let mut holes: Vec<MeasuredHole> = Vec::new();
    for number in readings
        .iter()
        .flat_map(|reading| [reading.from, reading.to])
    {
        if holes.iter().all(|hole| hole.hole != number) {
            holes.push(MeasuredHole {
                hole: number,
                diameter_mm: jaw.map(Length::mm),
                rough: rough.get(&number).copied(),
            });
        }
    }
    let distances = readings.iter().map(|reading| Distance {
        from: reading.from,
        to: reading.to,
        reading_mm: reading.reading.mm(),
        across: reading.across,
        error_mm: tolerance.mm() / 2.0,
    });
    DistanceSurvey {
        distances: distances.collect(),
        holes,
    }
}

/// Roughly where holes are, by the photo with the most marks: on which side of two others each lies.
fn rough(face: &FaceView) -> BTreeMap<u32, Point> {
    let photo = face.photos_of_face().max_by_key(|photo| photo.marks.len());
    let marks = photo.into_iter().flat_map(|photo| &photo.marks);
    let places = marks.filter_map(|mark| {
        let body = mark.entries.agreed()?;
        Some((mark.number, Point::new(body.x_px, -body.y_px)))
    });
    places.collect()
}
