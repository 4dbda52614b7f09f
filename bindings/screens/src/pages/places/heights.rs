//! How flat the face is by the heights read on it, the least cut that cleans it up, and leveling.

use crate::carrier::Request;
use crate::contour::contours;
use crate::face_map::{self, Shape, Spot};
use crate::flatness;
use crate::form::{
    Form, FormError, RejectedForm, hidden, length as read_length, replaced_entries, replaces,
};
use crate::form_names::{Field, FormName};
use crate::labels::{author, count, date_time, sentence, sources};
use crate::lengths::length;
use crate::page::Page;
use crate::pages::places::photo_contour;
use crate::pages::strike_out::strike_out_form;
use crate::pages::{FormContext, below_face};
use crate::rows::{self, Layout};
use holebook_core::hole::record::Recorded;
use holebook_core::length::{Length, Rounding, Unit, in_unit};
use holebook_core::notebook::{FaceId, FaceView, Notebook, NotebookError};
use holebook_core::places::height::level;
use holebook_core::places::{FaceHeights, FaceState, HeightAt, HeightTool};
use holebook_place::flatness::{Jack, Leveling};
use maud::{Markup, html};
use std::cell::Cell;

const READINGS: &str = "Height readings";
const TOLERANCE: &str = "Tolerance ± of each";
const JACKS: &str = "Jacks";
const LEAD: &str = "Lift in one turn";

const READING: Layout = Layout {
    numbers: 0,
    least: 3,
    most: 3,
    sample: "X, Y, reading: 4.250 1.500 -.002",
};
const JACK: Layout = Layout {
    numbers: 1,
    least: 2,
    most: 2,
    sample: "jack, X, Y: 1 0 0",
};

/// The page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let entries = notebook.heights(id)?;
    let state = match notebook.face_state(id) {
        Ok(state) => Ok(state),
        Err(NotebookError::Invalid(why)) => Err(why),
        Err(error) => return Err(error),
    };
    let title = "Face heights";
    let content = html! {
        h1 { (title) }
        (context.outcome())
        @match &state {
            Ok(state) => { (judged(&face, state, &on_photo(notebook, &face, state, context.unit)?, context)) }
            Err(why) => { section.panel.next { h2 { "How flat is it?" } p { (sentence(&in_unit(why, context.unit))) } } }
        }
        (form(&face, entries.is_empty(), context))
        (log(&face, &entries, context))
        @if let Ok(state) = &state { (leveling(&face, state, request, context.unit)) }
    };
    Ok(below_face::page(&face, title, context, content))
}

fn judged(
    face: &FaceView,
    state: &FaceState,
    on_photo: &Markup,
    context: FormContext<'_>,
) -> Markup {
    let unit = context.unit;
    let found = &state.flatness;
    let up = |mm| length(mm, unit, Rounding::Up);
    let planned = face.record.planned_cut.agreed().map(|cut| cut.planned);
    html! {
        section.panel.next {
            h2 { "Least face cut" }
            p.big { (up(found.face_cut_mm)) }
            p { "From the highest spot, with the work set up parallel to the readings; it cleans up every reading." }
            (flatness::figures(found, unit))
            (plan(face, state, planned, unit))
            p.caution { b { "Caution: " } (flatness::LOW_BETWEEN)
                "Check floors and edges first, and the machine's manual for how much it allows." }
        }
        section.panel { h2 { "Left to cut" }
            (on_photo)
            (contour(face, state, unit))
        }
        @if !found.holes.is_empty() { details.panel { summary { "What each hole loses" } (flatness::losses(found, unit)) } }
        (sources([flatness::SOURCE.to_owned()]))
    }
}

/// The plan of the face cut: that it is this one, that a deeper one covers it, or a button that makes
/// it this one.
fn plan(face: &FaceView, state: &FaceState, planned: Option<Length>, unit: Unit) -> Markup {
    let button = |main: bool| {
        html! {
            form method="post" action=(FormName::PlanLeastCut.address_of(face.id)) {
                (replaced_entries(face.record.planned_cut.0.iter().map(|entry| entry.entry)))
                (hidden(Field::PlannedCut, state.planned.exact()))
                p { button.main[main] { "Plan " (state.planned.rounded(unit, Rounding::Up)) " as the face cut" } }
            }
            p.faint { "With the readings' tolerance"
                @if face.record.removed().is_positive() { ", and what was removed already" }
                ". All hole depths follow." }
        }
    };
    let change = face.record.cut_changes.first();
    html! {
        @if let Some(change) = change {
            p { b { "Check: " } "since the planned face cut was taken from these heights, " (change.to_string()) "." }
        }
        @match planned {
            Some(_) if change.is_some() => { (button(true)) }
            Some(planned) if planned == state.planned => { p { b { "✓ This is the planned face cut." } } }
            Some(planned) if planned > state.planned => {
                p { b { "✓ The planned face cut of " (planned.show(unit)) " covers it." } }
                details { summary { "Plan less" } (button(false)) }
            }
            _ => { (button(true)) }
        }
    }
}

/// The contour over the first photo that is a map of the face; empty if none is.
fn on_photo(
    notebook: &Notebook,
    face: &FaceView,
    state: &FaceState,
    unit: Unit,
) -> Result<Markup, NotebookError> {
    for photo in face.photos_of_face() {
        match notebook.plane_of(face, photo.id) {
            Ok(plane) => return Ok(photo_contour::draw(face, photo, &plane, state, unit)),
            Err(NotebookError::Invalid(_)) => {}
            Err(error) => return Err(error),
        }
    }
    Ok(html! {
        p.faint { "To see it on a photo, mark four holes whose places are known, or add four known points." }
    })
}

/// The readings with what the cut takes at each, over the holes of the face.
fn contour(face: &FaceView, state: &FaceState, unit: Unit) -> Markup {
    let holes = face.hole_places().into_iter().map(|place| Spot {
        x_mm: place.x.mm(),
        y_mm: place.y.mm(),
        shape: Shape::Center,
        label: String::new(),
    });
    let readings = flatness::spots(&state.points, &state.flatness, unit);
    let spots: Vec<Spot> = holes.chain(readings).collect();
    let about = format!(
        "To scale. Each figure ({unit}) is what the cut takes there. Triangle up: highest; triangle down: lowest; circle: a hole. Lines join places of one height, every fifth of the cut, interpolated between the readings."
    );
    face_map::draw_over(
        &contours(&state.points, &state.flatness.above_mm),
        &spots,
        &about,
    )
}

fn form(face: &FaceView, first: bool, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Heights);
    html! {
        details.panel open[first || form.is_rejected()] {
            summary { @if first { "Enter the readings" } @else { "Add readings of the same setup" } }
            form method="post" action=(FormName::Heights.address_of(face.id)) {
                (form.radios_from(Field::HeightTool, "Read with", Some("indicator"), &[
                    ("indicator", "indicator: a high spot reads more"), ("feeler", "feeler under a straightedge: a gap reads more"),
                ]))
                div.fields {
                    (form.lines(Field::HeightReadings, READINGS, None, "one a line: X, Y, reading; X and Y as in the pattern of the holes"))
                    (form.text(Field::MeasuredWith, "Measured with", None, ""))
                    (form.length(Field::HeightTolerance, TOLERANCE, None, "blank = none"))
                }
                p.faint { "Hold the straightedge on blocks of one height, or on the same high spots, so that all gaps count from one plane." }
                p { button.main[first] { "Save readings" } }
            }
        }
    }
}

fn log(face: &FaceView, entries: &[Recorded<FaceHeights>], context: FormContext<'_>) -> Markup {
    html! {
        @if !entries.is_empty() {
            section.panel {
                h2 { "Readings recorded" }
                ul.journal { @for entry in entries { li.with-row-action {
                    div {
                        b { (count(entry.body.points.len(), "reading", "readings")) }
                        @if let Some(instrument) = &entry.body.instrument { ", " (instrument) }
                        @if let Some(tolerance) = entry.body.tolerance { " ±" (tolerance.show(context.unit)) }
                        @if face.record.milled.iter().any(|cut| !cut.precedes(entry)) { ", before a cut: no longer counted" }
                        span.faint { " · " (author(&entry.by)) ", " (date_time(&entry.at)) }
                    }
                    div { (strike_out_form(FormName::StrikeOutHeights, face.id, entry.entry, context)) }
                } } }
            }
        }
    }
}

/// Leveling on jacks: a GET form with its answer; nothing is recorded.
fn leveling(face: &FaceView, state: &FaceState, request: &Request, unit: Unit) -> Markup {
    let asked = Request {
        form: request.query.clone(),
        ..Request::get(&request.path)
    };
    let answer = asked
        .field(Field::Jacks)
        .map(|_| jacks(&asked, unit).and_then(|jacks| leveled(state, &jacks, unit)));
    let wrong = answer.as_ref().and_then(|answer| answer.as_ref().err());
    let rejected = RejectedForm {
        form: None,
        request: &asked,
        message: wrong.map(|error| error.message.clone()).unwrap_or_default(),
        field: wrong.and_then(|error| error.field),
        questions: &[],
        questions_drawn: Cell::default(),
    };
    let form = Form {
        id: "level",
        unit,
        rejected: Some(&rejected),
    };
    html! {
        details.panel #level open[answer.is_some()] {
            summary { "Level it on jacks" }
            @if let Some(Ok(leveling)) = &answer { (turns(leveling, unit)) }
            @if let Some(error) = wrong { p.problem role="alert" { (sentence(&in_unit(&error.message, unit))) } }
            form method="get" action=(format!("/face/{}/heights", face.id)) {
                div.fields {
                    (form.lines(Field::Jacks, JACKS, None, "three or more, one a line: number, X, Y"))
                    (form.length(Field::JackLead, LEAD, None, "pitch of the screw"))
                }
                p { button { "Show the turns" } }
            }
        }
    }
}

fn jacks(asked: &Request, unit: Unit) -> Result<Vec<Jack>, FormError> {
    let rows = rows::read(asked, unit, Field::Jacks, JACKS, JACK)?;
    let lead = read_length(asked, Field::JackLead, LEAD, unit)?
        .filter(|lead| lead.is_positive())
        .ok_or_else(|| {
            let message = "required, more than 0; enter the pitch of the screw";
            FormError::of(Field::JackLead, LEAD, message)
        })?;
    let jacks = rows.iter().map(|row| Jack {
        jack: row.hole,
        x_mm: row.mm[0],
        y_mm: row.mm[1],
        lead_mm: lead.mm(),
    });
    Ok(jacks.collect())
}

fn leveled(state: &FaceState, jacks: &[Jack], unit: Unit) -> Result<Leveling, FormError> {
    level(state, jacks).map_err(|error| {
        let message = in_unit(&error.to_string(), unit);
        FormError::of(Field::Jacks, JACKS, message)
    })
}

fn turns(leveling: &Leveling, unit: Unit) -> Markup {
    html! {
        p { "Out of level now by " b { (length(leveling.out_of_level_mm, unit, Rounding::Up)) } ". In this order:" }
        ol { @for turn in &leveling.turns { li {
            b { "Jack " (turn.jack) ": " }
            @if !turn.carries { "bring up last until it just touches, about " }
            @if turn.lift_mm < 5e-4 { "leave it" } @else {
                (format!("{:.2}", turn.turns)) " turns up (" (length(turn.lift_mm, unit, Rounding::Nearest)) ")"
            }
        } } }
        p.caution { b { "Caution: " } "Never reach under a casting on jacks. Block it before you turn a screw, and read the face again after." }
    }
}

/// Records readings.
pub fn save(
    notebook: &Notebook,
    face: FaceId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let rows = rows::read(request, unit, Field::HeightReadings, READINGS, READING)?;
    let points = rows.iter().map(|row| HeightAt {
        x: row.lengths[0],
        y: row.lengths[1],
        reading: row.lengths[2],
    });
    let heights = FaceHeights {
        points: points.collect(),
        tool: match request.field(Field::HeightTool) {
            Some("feeler") => HeightTool::Feeler,
            _ => HeightTool::Indicator,
        },
        instrument: request.field(Field::MeasuredWith).map(str::to_owned),
        tolerance: read_length(request, Field::HeightTolerance, TOLERANCE, unit)?,
    };
    notebook
        .record_heights(face, &heights)
        .map_err(|error| FormError::from(error).at(Field::HeightReadings))?;
    Ok(())
}

/// Plans the least cut that the page offered, if it is still that.
pub fn plan_cut(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), FormError> {
    let offered = request.field(Field::PlannedCut).unwrap_or_default();
    let planned: Length = notebook.face_state(id)?.planned;
    if planned.exact() != offered {
        return Err(FormError::new(
            "The readings changed since this page was shown; look at the cut again.",
        ));
    }
    notebook.plan_least_cut(id, &replaces(request)?)?;
    Ok(())
}
