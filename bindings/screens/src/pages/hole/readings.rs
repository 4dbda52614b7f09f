//! What was read off the hole, and a form for readings.

use super::Leaf;
use crate::carrier::Request;
use crate::form::{Form, Refusal, length};
use crate::words::{QUANTITIES, quantity, quantity_hint, quantity_key, when};
use holebook_core::hole::record::{Quantity, Reading, Said};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{EntryId, HoleId, Notebook, Saying};
use maud::{Markup, html};

/// Instruments offered by name; any other can be written.
const INSTRUMENTS: [&str; 6] = [
    "depth gauge",
    "caliper",
    "steel rule",
    "telescoping gauge",
    "wire feeler",
    "drill shank",
];

/// The readings that stand, and a form for those still to take.
pub fn leaf(leaf: &Leaf<'_>) -> Markup {
    let readings = &leaf.hole.record.readings;
    let open = leaf.is_next("reading") || leaf.desk.was_refused("reading");
    html! {
        h3 { "Readings" }
        @if readings.is_empty() { p.faint { "None yet." } } @else {
            ul.read { @for said in readings { li { (quantity(said.body.quantity)) " " b { (value(&said.body, leaf.desk.unit)) } } } }
            details open[leaf.hole.in_question || leaf.desk.was_refused("strike")] {
                summary { "How they were read, and striking one out" }
                ul.journal { @for reading in readings { (line(reading, leaf)) } }
            }
        }
        details id=[(leaf.is_next("reading")).then_some("next")] open[open] {
            summary { "Write down readings" }
            (form(leaf))
        }
    }
}

/// A reading's value, and how far it may be off.
fn value(reading: &Reading, unit: Unit) -> String {
    let mut words = reading.value.show(unit);
    if let Some(error) = reading.error {
        words.push_str(&format!(" ± {}", error.show(unit)));
    }
    words.replace(' ', "\u{a0}")
}

fn line(said: &Said<Reading>, leaf: &Leaf<'_>) -> Markup {
    let reading = &said.body;
    let unit = leaf.desk.unit;
    html! {
        li.strikable {
            div {
                (quantity(reading.quantity)) " " b { (value(reading, unit)) }
                div.faint { (reading.instrument.as_deref().unwrap_or("instrument not said")) " · " (crate::words::writer(&said.by)) ", " (when(&said.at)) }
            }
            (super::done::strike_form("reading", EntryId(said.entry), leaf.hole.id))
        }
    }
}

fn form(leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("reading");
    html! {
        form.measure method="post" action=(leaf.path("reading")) {
            p.faint { "Fill what you measured; leave the rest empty. A reading that stands already is kept beside the new one, "
                "and the one that leaves less metal counts, until you strike it." }
            p.faint { (usual_errors(leaf.desk.unit)) " What fits must fit at the worst of them." }
            @for what in QUANTITIES { (quantity_fields(what, form, leaf)) }
            datalist #instruments { @for name in INSTRUMENTS { option value=(name) {} } }
            p { button.main { "Record the readings" } }
        }
    }
}

/// How far readings usually are off, as a hint beside fields for that (judgement).
pub(super) fn usual_errors(unit: Unit) -> String {
    let [caliper, rule] = [CALIPER, RULE].map(|error| error.show(unit));
    format!(
        "How far a reading may be off, either way: with a caliper some {caliper}, with a steel rule {rule} (judgement). Left empty, none is reckoned with."
    )
}

/// 0.05 mm, and 0.5 mm.
const CALIPER: Length = Length::from_nm(50_000);
const RULE: Length = Length::from_nm(500_000);

fn quantity_fields(what: Quantity, form: Form<'_>, leaf: &Leaf<'_>) -> Markup {
    let key = quantity_key(what);
    let standing = leaf
        .hole
        .record
        .readings
        .iter()
        .filter(|said| said.body.quantity == what);
    html! {
        fieldset {
            legend { (quantity(what)) span.faint { ", " (quantity_hint(what)) } }
            @for said in standing {
                p.faint { "Stands: " (said.body.value.show(leaf.desk.unit)) }
            }
            div.fields {
                (form.length(key, "Reading", None, ""))
                (form.length(&error_key(what), "May be off by ±", None, ""))
                (form.text_from(&instrument_key(what), "Measured with", None, "", Some("instruments")))
            }
        }
    }
}

fn error_key(what: Quantity) -> String {
    format!("{}-error", quantity_key(what))
}

fn instrument_key(what: Quantity) -> String {
    format!("{}-instrument", quantity_key(what))
}

/// Records every reading that was filled in, or none.
pub fn record(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
    unit: Unit,
) -> Result<(), Refusal> {
    let mut readings = Vec::new();
    for what in QUANTITIES {
        readings.extend(read_quantity(what, request, unit)?);
    }
    if readings.is_empty() {
        return Err(Refusal::new(
            "No reading was written; fill at least one field.".to_owned(),
        ));
    }
    let sayings: Vec<Saying> = readings.into_iter().map(Saying::Reading).collect();
    notebook.say_all(hole, &sayings)?;
    Ok(())
}

fn read_quantity(
    what: Quantity,
    request: &Request,
    unit: Unit,
) -> Result<Option<Reading>, Refusal> {
    let key = quantity_key(what);
    let Some(value) = length(request, key, quantity(what), unit)? else {
        return only_beside(what, request);
    };
    if !value.is_positive() {
        let sentence = "a reading is more than 0; write what was measured, or leave it empty";
        return Err(Refusal::of(
            quantity(what),
            format!(
                "'{}' is written; {sentence}",
                request.field(key).unwrap_or_default()
            ),
        )
        .at(key));
    }
    let error_label = format!("{}, may be off by", quantity(what));
    let error = length(request, &error_key(what), &error_label, unit)?;
    if error.is_some_and(|error| error < Length::ZERO) {
        let sentence = "it is less than 0; write how far the reading may be off either way";
        return Err(Refusal::of(&error_label, sentence).at(&error_key(what)));
    }
    Ok(Some(Reading {
        quantity: what,
        value,
        error,
        instrument: request.field(&instrument_key(what)).map(str::to_owned),
    }))
}

/// No reading of a quantity, unless something was written beside its empty field: then the value was forgotten.
fn only_beside(what: Quantity, request: &Request) -> Result<Option<Reading>, Refusal> {
    let beside = [error_key(what), instrument_key(what)];
    if beside.iter().all(|field| request.field(field).is_none()) {
        return Ok(None);
    }
    let sentence = "the reading itself is not written; write it, or empty the fields beside it";
    Err(Refusal::of(quantity(what), sentence).at(quantity_key(what)))
}
