//! The readings of a hole, and a form to add measurements.

use super::HolePage;
use super::ask::read_tool;
use super::log::strike_out_form;
use super::unusual::questions;
use crate::carrier::Request;
use crate::form::{Form, FormError, ask, hidden, length, replaces};
use crate::form_names::{Field, FormName};
use crate::labels::{QUANTITIES, author, date_time, quantity, quantity_hint, sources};
use crate::lengths::no_break;
use crate::pages::face_setup::tools;
use holebook_core::hole::plausibility::{self, Known};
use holebook_core::hole::record::{Quantity, Reading, Recorded};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{EntryId, HoleEntry, HoleId, Notebook};
use maud::{Markup, html};

/// The active readings, and a form for more.
pub fn section(page: &HolePage<'_>) -> Markup {
    let readings = &page.hole.record.readings;
    let unit = page.context.unit;
    let open = page.long_form(FormName::Readings).is_rejected();
    let list_open = page.hole.conflict || page.context.was_rejected(FormName::StrikeOut);
    html! {
        h3 { "Readings" }
        (usual(page))
        @if readings.is_empty() { p.faint { @if page.plan.inherited.readings.is_empty() { "None yet." } @else { "None measured at this hole yet." } } } @else {
            ul.value-list { @for entry in readings { li { (quantity(entry.body.quantity)) " " b { (reading_value(&entry.body, unit)) } } } }
            details open[list_open] {
                summary { "Instruments, correct, strike out" }
                ul.journal { @for entry in readings { (line(entry, page)) } }
            }
        }
        details open[open] {
            summary { "Add measurements" }
            (form(page))
        }
    }
}

/// The usual values of the face that count because nothing was measured here.
fn usual(page: &HolePage<'_>) -> Markup {
    let setup = &page.hole.face_record.setup;
    let readings = page.plan.record.readings.iter();
    let usual: Vec<&Recorded<Reading>> = readings.filter(|entry| setup.gave(entry.entry)).collect();
    html! {
        @if !usual.is_empty() {
            ul.value-list { @for entry in usual {
                @let as_is = Reading { value: entry.value_as_is(&page.hole.face_record), ..entry.body.clone() };
                li { (quantity(entry.body.quantity)) " " b { (reading_value(&as_is, page.context.unit)) } " " (page.setup_link()) }
            } }
        }
    }
}

/// A reading's value with its tolerance.
pub fn reading_value(reading: &Reading, unit: Unit) -> String {
    let shown = match reading.tolerance {
        Some(tolerance) => reading.value.show_tolerance(tolerance, unit),
        None if reading.is_at_least() => format!("{} or more", reading.value.show(unit)),
        None => reading.value.show(unit),
    };
    no_break(&shown)
}

fn line(entry: &Recorded<Reading>, page: &HolePage<'_>) -> Markup {
    let reading = &entry.body;
    html! {
        li.with-row-action {
            div {
                (quantity(reading.quantity)) " " b { (reading_value(reading, page.context.unit)) }
                div.faint { (reading.instrument.as_deref().unwrap_or("no instrument given")) " · " (author(&entry.by)) ", " (date_time(&entry.at)) }
            }
            div {
                (correct_form(entry, page))
                (strike_out_form("reading", entry.entry, page.hole.id))
            }
        }
    }
}

/// A form that corrects a mistyped reading: its value again, and nothing else to fill in.
fn correct_form(entry: &Recorded<Reading>, page: &HolePage<'_>) -> Markup {
    let what = entry.body.quantity;
    let is_this =
        |request: &Request| request.field(Field::Entry) == Some(entry.entry.to_string().as_str());
    let id = entry.entry.to_string();
    let form = page
        .context
        .form_where(&id, FormName::CorrectReading, is_this);
    let tolerance = entry.body.tolerance;
    html! {
        details.row-action open[form.is_rejected()] {
            summary { "Correct" }
            form method="post" action=(page.address(FormName::CorrectReading)) {
                (hidden(Field::Entry, entry.entry))
                (form.length(Field::Reading(what), quantity(what), Some(entry.body.value), ""))
                (form.length(Field::Tolerance(what), TOLERANCE, tolerance, ""))
                p { button.main { "Save correction" } }
                (form.questions())
            }
        }
    }
}

/// Readings that differ, each with a button to use it.
pub fn differing(entries: &[EntryId], page: &HolePage<'_>) -> Markup {
    let readings = page.hole.record.readings.iter();
    let differ = readings.filter(|reading| entries.contains(&reading.entry));
    html! {
        div.side-by-side {
            @for reading in differ {
                form method="post" action=(page.address(FormName::UseReading)) {
                    p.big { (reading_value(&reading.body, page.context.unit)) }
                    p { (author(&reading.by)) ", " (date_time(&reading.at)) }
                    @for entry in entries { (hidden(Field::Replaces, entry)) }
                    (hidden(Field::Entry, reading.entry))
                    button { "Use this one" span.visually-hidden { ": " (quantity(reading.body.quantity)) } }
                }
            }
        }
    }
}

/// The entry that a form names.
fn named_entry(request: &Request) -> Result<EntryId, FormError> {
    let id = request
        .field(Field::Entry)
        .and_then(|text| text.parse().ok());
    id.ok_or_else(|| FormError::new("This page has an unreadable entry id; reload the page."))
}

/// Records the correction of a reading.
pub fn correct(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let wrong = named_entry(request)?;
    let view = notebook.hole(hole)?;
    let record = &view.record;
    let old = record
        .readings
        .iter()
        .find(|reading| reading.entry == wrong);
    let old = old.ok_or_else(|| {
        FormError::new("That reading was replaced or struck out; look at the page again.")
    })?;
    let what = old.body.quantity;
    let Some(read) = read_quantity(what, request, unit)? else {
        return Err(FormError::of(
            Field::Reading(what),
            quantity(what),
            "required; enter the right value, or strike the reading out",
        ));
    };
    let corrected = Reading {
        instrument: old.body.instrument.clone(),
        ..read
    };
    let unusual = plausibility::reading(&corrected, &Known::of(record, &view.face_record));
    ask(request, questions(unusual, (&[], &[])))?;
    notebook.correct(hole, HoleEntry::Reading(corrected), wrong)?;
    Ok(())
}

/// Uses one of several readings that differ: the others are struck out.
pub fn use_one(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), FormError> {
    let used = named_entry(request)?;
    let differ = replaces(request)?;
    let record = notebook.hole(hole)?.record;
    let active = |entry: &EntryId| record.readings.iter().any(|one| one.entry == *entry);
    if !differ.iter().all(active) {
        return Err(FormError::new(
            "The readings have changed since this page was opened; look at them again.",
        ));
    }
    for other in differ.into_iter().filter(|entry| *entry != used) {
        notebook.strike_out(other, "another reading was used in a conflict")?;
    }
    Ok(())
}

fn form(page: &HolePage<'_>) -> Markup {
    let form = page.long_form(FormName::Readings);
    html! {
        form.measurement-form method="post" action=(page.address(FormName::Readings)) {
            p.faint { "Fill in what you measured. An earlier reading is kept; the one that leaves less metal counts until you strike it out." }
            @if page.hole.face_record.setup.tools().is_empty() { (tolerance_hint(page.context.unit)) } @else {
                p.faint { "Blank = the tolerance of the tool. Fits are checked at the worst case." }
            }
            @let (usual, more): (Vec<Quantity>, Vec<Quantity>) = QUANTITIES.iter().partition(|what| is_usual(**what));
            @for what in usual { (quantity_fields(what, form, page)) }
            details open[form.any_typed(&fields_of(&more))] {
                summary { "Bolt, mating part, and more" }
                @for what in more { (quantity_fields(what, form, page)) }
            }
            (tools::list(&page.hole.face_record.setup, page.context.unit))
            (tolerance_sources())
            p { button.main { "Record measurements" } }
            (form.questions())
        }
    }
}

/// Whether a quantity is measured at most holes; the others are folded.
const fn is_usual(what: Quantity) -> bool {
    matches!(
        what,
        Quantity::Depth
            | Quantity::Floor
            | Quantity::NearestEdge
            | Quantity::NearestHole
            | Quantity::Bore
    )
}

/// The fields of some quantities.
fn fields_of(quantities: &[Quantity]) -> Vec<Field> {
    let fields = |what: &Quantity| {
        [
            Field::Reading(*what),
            Field::Tolerance(*what),
            Field::Instrument(*what),
        ]
    };
    quantities.iter().flat_map(fields).collect()
}

/// Label of a field for a reading's tolerance.
pub const TOLERANCE: &str = "Tolerance ±";

/// Usual tolerances, as a hint beside the fields for them.
pub(super) fn tolerance_hint(unit: Unit) -> Markup {
    let (caliper, rule) = match unit {
        Unit::Inch => (".001 in", "1/64 in"),
        Unit::Millimeter => ("0.03 mm", "0.5 mm"),
    };
    html! {
        p.faint { "Blank = no tolerance. Fits are checked at the worst case. Usual: caliper " (no_break(caliper)) ", rule " (no_break(rule)) "." }
    }
}

/// The source of those tolerances, once per form.
pub fn tolerance_sources() -> Markup {
    sources(["Usual tolerances: judgment".to_owned()])
}

fn quantity_fields(what: Quantity, form: Form<'_>, page: &HolePage<'_>) -> Markup {
    let active = page
        .hole
        .record
        .readings
        .iter()
        .filter(|entry| entry.body.quantity == what);
    html! {
        fieldset {
            legend { (quantity(what)) span.faint { ", " (quantity_hint(what)) } }
            @for entry in active {
                p.faint { "Now: " (reading_value(&entry.body, page.context.unit)) }
            }
            div.fields {
                (form.length(Field::Reading(what), "Reading", None, ""))
                (form.length(Field::Tolerance(what), TOLERANCE, None, ""))
                (form.text_from(Field::Instrument(what), "Measured with", None, "", Some("tools")))
            }
        }
    }
}

/// Records all readings that were filled in, or none.
pub fn record(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
    unit: Unit,
) -> Result<(), FormError> {
    let view = notebook.hole(hole)?;
    let setup = &view.face_record.setup;
    let mut readings = Vec::new();
    for what in QUANTITIES {
        let read = read_quantity(what, request, unit)?;
        readings.extend(read.map(|reading| setup.complete(reading)));
    }
    if readings.is_empty() {
        return Err(FormError::new(
            "No reading was entered; fill in at least one field.",
        ));
    }
    let known = Known::of(&view.record, &view.face_record);
    let unusual = readings
        .iter()
        .flat_map(|reading| plausibility::reading(reading, &known));
    ask(request, questions(unusual, (&[], &[])))?;
    let mut entries: Vec<HoleEntry> = readings.into_iter().map(HoleEntry::Reading).collect();
    let coarse = replaces(request)?;
    if coarse.is_empty() {
        notebook.record_all(hole, &entries)?;
    } else if let (Some(closer), true) = (entries.pop(), entries.is_empty()) {
        notebook.record(hole, closer, &coarse)?;
    }
    Ok(())
}

/// Reads one quantity of a form; `None` if nothing was entered.
pub fn read_quantity(
    what: Quantity,
    request: &Request,
    unit: Unit,
) -> Result<Option<Reading>, FormError> {
    let field = Field::Reading(what);
    let Some(value) = length(request, field, quantity(what), unit)? else {
        return without_value(what, request);
    };
    if !value.is_positive() {
        let typed = request.field(field).unwrap_or_default();
        let message =
            format!("'{typed}' is not more than 0; enter what was measured, or leave it blank");
        return Err(FormError::of(field, quantity(what), message));
    }
    let field = Field::Tolerance(what);
    let label = format!("{}, tolerance", quantity(what));
    let tolerance = length(request, field, &label, unit)?;
    if tolerance.is_some_and(|tolerance| tolerance < Length::ZERO) {
        return Err(FormError::of(
            field,
            &label,
            "it is below 0; enter it without a sign",
        ));
    }
    let picked = read_tool(request);
    let instrument = request.field(Field::Instrument(what)).map(str::to_owned);
    Ok(Some(Reading {
        quantity: what,
        value,
        tolerance: tolerance.or_else(|| picked.as_ref()?.tolerance),
        instrument: instrument.or_else(|| Some(picked?.name)),
    }))
}

/// No reading; an error if only its tolerance or instrument was filled in.
fn without_value(what: Quantity, request: &Request) -> Result<Option<Reading>, FormError> {
    let beside = [Field::Tolerance(what), Field::Instrument(what)];
    if beside.iter().all(|field| request.field(*field).is_none()) {
        return Ok(None);
    }
    let message = "the reading is missing; enter it, or clear the fields beside it";
    Err(FormError::of(Field::Reading(what), quantity(what), message))
}
