//! Makers' sheets: the figures printed on the card of an insert, in place of the standard's.

use super::{FormContext, add, at};
use crate::carrier::Request;
use crate::form::{Form, FormError, hidden, length, required_text};
use crate::form_names::{Field, FormName};
use crate::notices::Notice;
use holebook_core::drawer::{Group, MakersSheet};
use holebook_core::drill::Drill;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};

const SOURCE: &str = "Where the figures are from";

/// The sheets that were entered, and the form for another one.
pub fn section(notebook: &Notebook, context: FormContext<'_>) -> Result<Markup, NotebookError> {
    let files = notebook.inserts()?;
    let form = context.form(FormName::MakersSheet);
    Ok(html! {
        @if !files.is_empty() {
            h3 { "Makers' sheets" }
            p.faint { "These figures replace the standard's for their inserts." }
            @for file in &files {
                form.row method="post" action=(FormName::RemoveSheet.address()) {
                    (hidden(Field::Name, &file.body.name))
                    span.grow { (file.body.name) }
                    button { "Take out" span.visually-hidden { ": " (file.body.name) } }
                }
            }
        }
        details open[form.is_rejected()] {
            summary { "Enter a maker's sheet" }
            form method="post" action=(FormName::MakersSheet.address()) {
                div.fields { (fields(form)) }
                p.faint { "A wire thread insert takes its hole from its thread: enter its drill, and leave the other figures blank." }
                p { button { "Save sheet" } }
            }
        }
    })
}

fn fields(form: Form<'_>) -> Markup {
    let two = |least, most, label: &str| {
        html! {
            (form.length(least, &format!("{label}, least"), None, ""))
            (form.length(most, &format!("{label}, largest"), None, ""))
        }
    };
    html! {
        (form.select(Field::Family, "Kind of insert", None, &add::families()))
        (form.text(Field::Thread, "Thread", None, "for the bolt: 3/8-16, M10"))
        (form.text(Field::OtherThread, "Thread in the casting", None, "blank = the one in the tables"))
        (form.length(Field::ItemLength, "Length", None, ""))
        (two(Field::HoleLeast, Field::HoleMost, "Hole before tapping"))
        (form.text(Field::DrillName, "Drill", None, "29/64, #7, X; blank = nearest"))
        (form.length(Field::FullThread, "Full thread, least depth", None, ""))
        (two(Field::CountersinkLeast, Field::CountersinkMost, "Countersink"))
        (two(Field::BelowLeast, Field::BelowMost, "Below the face"))
        (form.text(Field::KeyCount, "Keys", None, "blank = none"))
        (form.text(Field::Source, SOURCE, None, "card in the box"))
    }
}

/// Records a sheet; returns the address of the next page.
pub fn add(notebook: &Notebook, request: &Request, unit: Unit) -> Result<String, FormError> {
    let drill = request
        .field(Field::DrillName)
        .map(Drill::parse)
        .transpose();
    let drill = drill.map_err(|error| FormError::of(Field::DrillName, "Drill", error))?;
    let keys = request.field(Field::KeyCount).map(str::parse).transpose();
    let keys =
        keys.map_err(|_| FormError::of(Field::KeyCount, "Keys", "enter a number up to 8"))?;
    let sheet = MakersSheet {
        insert: add::read_insert(notebook, request, unit)?,
        source: required_text(request, Field::Source, SOURCE)?.to_owned(),
        hole: pair(
            request,
            Field::HoleLeast,
            Field::HoleMost,
            "Hole before tapping",
            unit,
        )?,
        drill,
        full_thread: length(request, Field::FullThread, "Full thread", unit)?,
        countersink: pair(
            request,
            Field::CountersinkLeast,
            Field::CountersinkMost,
            "Countersink",
            unit,
        )?,
        set_below: pair(
            request,
            Field::BelowLeast,
            Field::BelowMost,
            "Below the face",
            unit,
        )?,
        keys: keys.unwrap_or(0),
    };
    notebook.add_makers_sheet(&sheet)?;
    Ok(at(Group::Inserts, Notice::SheetAdded))
}

/// Reads a least and a largest length: both or neither.
fn pair(
    request: &Request,
    least: Field,
    most: Field,
    label: &str,
    unit: Unit,
) -> Result<Option<(Length, Length)>, FormError> {
    let read = |field| length(request, field, label, unit);
    match (read(least)?, read(most)?) {
        (Some(least), Some(most)) => Ok(Some((least, most))),
        (None, None) => Ok(None),
        (Some(_), None) => Err(FormError::of(most, label, "enter the largest too")),
        (None, Some(_)) => Err(FormError::of(least, label, "enter the least too")),
    }
}

/// Takes a file of inserts out; returns the address of the next page.
pub fn remove(notebook: &Notebook, request: &Request) -> Result<String, FormError> {
    let name = required_text(request, Field::Name, "Sheet")?;
    notebook.remove_inserts(name, "taken out of the drawer")?;
    Ok(at(Group::Inserts, Notice::SheetRemoved))
}
