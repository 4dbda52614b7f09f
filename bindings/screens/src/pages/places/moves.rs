//! Table moves from a picked-up hole to the lost centers: what the readout shows, how to turn the
//! handwheels, and the list as a file.

use super::{PlacesPage, mill, whole};
use crate::carrier::{Request, Response};
use crate::form::{Form, FormError, RejectedForm, length};
use crate::form_names::Field;
use crate::labels::sentence;
use crate::lengths::number;
use crate::page::{Page, asset};
use crate::pages::{FormContext, below_face};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{FaceId, Notebook, NotebookError};
use holebook_core::places::moves::moves;
use holebook_core::places::{Centers, MillAxis, MillSetup};
use holebook_place::moves::{Alignment, Approach, Move, Moves, WheelMove, csv, dxf};
use holebook_place::{HolePoint, PlaceError};
use maud::{Markup, html};
use std::cell::Cell;

const REFERENCE: &str = "Picked-up hole";
const SECOND: &str = "Second hole";
const SECOND_X: &str = "X reads there";
const SECOND_Y: &str = "Y reads there";

/// What the address asks.
struct Asked {
    reference: u32,
    alignment: Alignment,
}

impl Asked {
    /// Reads an address; the reference is the first hole that agrees unless it names another.
    fn of(request: &Request, centers: &Centers, unit: Unit) -> Result<Self, FormError> {
        let limits = (1, u32::MAX);
        let named = whole(request, Field::Reference, REFERENCE, limits)?;
        let mut used = centers.holes.iter().filter(|center| center.used);
        let first = used.next().map_or(1, |center| center.number);
        let second = whole(request, Field::SecondHole, SECOND, limits)?;
        let x = length(request, Field::SecondX, SECOND_X, unit)?;
        let y = length(request, Field::SecondY, SECOND_Y, unit)?;
        let alignment = match (second, x, y) {
            (None, None, None) => Alignment::AsDrawn,
            (Some(hole), Some(x), Some(y)) => Alignment::SecondHole {
                hole,
                reads_x_mm: x.mm(),
                reads_y_mm: y.mm(),
            },
            _ => {
                let message = "enter the hole and what X and Y read there, or none of them";
                return Err(FormError::of(Field::SecondHole, SECOND, message));
            }
        };
        Ok(Self {
            reference: named.unwrap_or(first),
            alignment,
        })
    }
}

/// The query as the fields of a form.
fn as_form(request: &Request) -> Request {
    Request {
        form: request.query.clone(),
        ..Request::get(&request.path)
    }
}

/// What the page shows.
struct Planned {
    asked: Asked,
    moves: Moves,
}

fn planned(
    centers: &Centers,
    request: &Request,
    mill: Option<&MillSetup>,
    unit: Unit,
) -> Result<Planned, FormError> {
    let asked = Asked::of(request, centers, unit)?;
    let moves = moves(centers, asked.reference, &[], asked.alignment, mill);
    let moves = moves.map_err(|error: PlaceError| {
        let message = in_unit(&error.to_string(), unit);
        FormError::of(Field::Reference, REFERENCE, message)
    })?;
    Ok(Planned { asked, moves })
}

/// The page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let places = PlacesPage::of(notebook, id, context)?;
    let mills = notebook.mill()?;
    let mill = mills.0.first().map(|entry| &entry.body);
    let title = "Table moves";
    let asked = as_form(request);
    let content = match &places.centers {
        Err(_) => html! {
            p { (places.problem().unwrap_or_default()) }
            p { a.button.main href=(places.path("places")) { "Hole centers" } }
        },
        Ok(centers) => {
            let planned = planned(centers, &asked, mill, context.unit);
            let rejected = planned.as_ref().err().map(|error| RejectedForm {
                form: None,
                request: &asked,
                message: error.message.clone(),
                field: error.field,
                questions: &[],
                questions_drawn: Cell::default(),
            });
            let given = RejectedForm {
                form: None,
                request: &asked,
                message: String::new(),
                field: None,
                questions: &[],
                questions_drawn: Cell::default(),
            };
            let form = Form {
                id: "moves",
                unit: context.unit,
                rejected: Some(rejected.as_ref().unwrap_or(&given)),
            };
            html! {
                @match &planned {
                    Ok(planned) => { (table(&places, planned, mill)) (files(&places, request)) }
                    Err(error) => { p.problem role="alert" { (sentence(&in_unit(&error.message, context.unit))) } }
                }
                (setup(&places, centers, form))
            }
        }
    };
    let content = html! {
        h1 { (title) }
        (context.outcome())
        (content)
        (mill::section(&places.face, &mills, context))
    };
    Ok(below_face::page(&places.face, title, context, content))
}

/// How the work lies on the table: a GET form.
fn setup(page: &PlacesPage<'_>, centers: &Centers, form: Form<'_>) -> Markup {
    let used = centers.holes.iter().filter(|center| center.used);
    let used: Vec<String> = used.map(|center| center.number.to_string()).collect();
    let options: Vec<(String, String)> = used
        .iter()
        .map(|number| (number.clone(), format!("hole {number}")))
        .collect();
    html! {
        details.panel open[form.rejected.is_some_and(|it| it.field.is_some())] {
            summary { "How it lies on the table" }
            form method="get" action=(page.path("moves")) {
                p { "Center the spindle on a good hole and set both axes to 0. If the pattern is not square to the table, center it on a second good hole, far away, and enter what the axes read there." }
                div.fields {
                    (form.select(Field::Reference, REFERENCE, None, &options))
                    (form.text(Field::SecondHole, SECOND, None, "blank: the pattern lies square to the table"))
                    (form.length(Field::SecondX, SECOND_X, None, ""))
                    (form.length(Field::SecondY, SECOND_Y, None, ""))
                }
                p { button { "Show the moves" } }
            }
        }
    }
}

fn table(page: &PlacesPage<'_>, planned: &Planned, mill: Option<&MillSetup>) -> Markup {
    let unit = page.unit();
    let moves = &planned.moves;
    let slope = match planned.asked.alignment {
        Alignment::AsDrawn => "the pattern lies square to the table".to_owned(),
        _ => format!("the pattern is turned by {:.3} degrees", moves.angle_deg),
    };
    html! {
        section.panel.next {
            h2 { "From hole " (planned.asked.reference) }
            p { "Center the spindle on hole " b { (planned.asked.reference) } " and set X and Y to 0; " (slope) "." }
            ol.table-moves { @for stop in &moves.moves { (stop_line(stop, mill, unit)) } }
            @if let Some(closure) = moves.closure_mm {
                p { "The two holes are " (number(closure.abs(), unit)) " " (unit)
                    @if closure >= 0.0 { " farther apart" } @else { " closer together" } " than in the pattern." }
            }
            @if mill.is_none() { p.faint { "Set up the mill below to see handwheel turns." } }
            p.caution { b { "Caution: " } "Lock the table before you cut. Check the first move with a pointer over a hole that you know. The machine's manual comes first." }
        }
    }
}

/// A move: what the readout shows, and how to turn the handwheels.
fn stop_line(stop: &Move, mill: Option<&MillSetup>, unit: Unit) -> Markup {
    let wheels = mill.map(|mill| [("X", mill.x, stop.x_wheel), ("Y", mill.y, stop.y_wheel)]);
    html! {
        li {
            p.big { "Hole " (stop.hole) ": X " (number(stop.x_mm, unit)) ", Y " (number(stop.y_mm, unit)) }
            p.faint { "From the last one: X " (signed(stop.by_x_mm, unit)) ", Y " (signed(stop.by_y_mm, unit)) " " (unit) "." }
            @for (name, axis, wheel) in wheels.into_iter().flatten() {
                @if let (Some(axis), Some(wheel)) = (axis, wheel) { p { (wheel_line(name, &axis, &wheel, unit)) } }
            }
        }
    }
}

fn signed(mm: f64, unit: Unit) -> String {
    let text = number(mm, unit);
    match mm > 0.0 && !text.starts_with('-') {
        true => format!("+{text}"),
        false => text,
    }
}

/// `X handwheel: pass 0 on the dial 17 times going up, stop at 159 of 200.`
fn wheel_line(name: &str, axis: &MillAxis, wheel: &WheelMove, unit: Unit) -> String {
    let way = if wheel.turns_from_last < 0 {
        "down"
    } else {
        "up"
    };
    let passes = match wheel.turns_from_last.abs() {
        0 => "do not pass 0 on the dial".to_owned(),
        1 => format!("pass 0 on the dial once going {way}"),
        times => format!("pass 0 on the dial {times} times going {way}"),
    };
    let dial = format!("{:.1}", wheel.dial);
    let dial = dial.trim_end_matches(".0");
    let from = match axis.approach {
        Approach::Rising => "from below",
        Approach::Falling => "from above",
    };
    let past = match wheel.overshoot_mm > 0.0 {
        true => format!(
            " Go {} {unit} past, then come back {from}.",
            number(wheel.overshoot_mm, unit)
        ),
        false => String::new(),
    };
    format!(
        "{name} handwheel: {passes}, stop at {dial} of {}.{past}",
        axis.divisions
    )
}

/// The list as files.
fn files(page: &PlacesPage<'_>, request: &Request) -> Markup {
    let query = query(request);
    let address = |kind: &str| format!("{}{query}", page.path(&format!("moves.{kind}")));
    html! {
        p.row {
            a.button href=(address("csv")) download { "CSV of the moves" }
            a.button href=(address("dxf")) download { "DXF of all centers" }
        }
    }
}

/// What the address asks, for another address: numbers and signs only.
fn query(request: &Request) -> String {
    let fields = [
        Field::Reference,
        Field::SecondHole,
        Field::SecondX,
        Field::SecondY,
    ];
    let pairs = request.query.iter().filter(|(key, value)| {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | ',' | '-');
        fields.iter().any(|field| field.name() == key.as_str()) && value.chars().all(plain)
    });
    let pairs: Vec<String> = pairs.map(|(key, value)| format!("{key}={value}")).collect();
    match pairs.is_empty() {
        true => String::new(),
        false => format!("?{}", pairs.join("&")),
    }
}

/// A file of the list; `None` if there is none.
pub fn file(
    notebook: &Notebook,
    id: FaceId,
    name: &str,
    request: &Request,
    unit: Unit,
) -> Result<Option<Response>, NotebookError> {
    let face = notebook.face(id)?;
    let centers = match notebook.centers_of(&face, None) {
        Ok(centers) => centers,
        Err(NotebookError::Invalid(_)) => return Ok(None),
        Err(error) => return Err(error),
    };
    let (kind, text) = match name {
        "moves.csv" => {
            let mill = notebook.mill()?;
            let mill = mill.0.first().map(|entry| &entry.body);
            let Ok(planned) = planned(&centers, &as_form(request), mill, unit) else {
                return Ok(None);
            };
            let text = csv(&planned.moves, unit == Unit::Inch);
            ("text/csv; charset=utf-8", Some(text))
        }
        _ => ("image/vnd.dxf", dxf(&points(&centers)).ok()),
    };
    Ok(text.map(|text| {
        let mut response = asset(kind, &text);
        let saved = format!("attachment; filename=\"hole-centers-{name}\"");
        response.headers.push(("content-disposition", saved));
        response
    }))
}

fn points(centers: &Centers) -> Vec<HolePoint> {
    let points = centers.holes.iter().map(|center| HolePoint {
        hole: center.number,
        x_mm: center.x_mm,
        y_mm: center.y_mm,
    });
    points.collect()
}
