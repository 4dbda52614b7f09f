//! The setup of a face: what its holes have in common, and the measuring tools in use.
//!
//! One form for all of it, in which nothing is required. Only what was changed is recorded, so that
//! the holes that inherit the rest are not judged anew.

pub mod alike;
mod conflicts;
mod copy;
mod read;
pub mod tools;

use crate::carrier::Request;
use crate::form::{Form, FormError, replaced_entries};
use crate::form_names::{Field, FormName};
use crate::labels::{quantity, quantity_hint};
use crate::lengths::no_break;
use crate::notices::{Notice, with_notice};
use crate::page::Page;
use crate::pages::hole::readings::{TOLERANCE, tolerance_sources};
use crate::pages::hole::wanted_thread::{
    GRADE, PRESSURE, THREAD, grade_options, through_label, through_value,
};
use crate::pages::{FormContext, below_face};
use holebook_core::hole::face_setup::{FaceSetup, USUAL_QUANTITIES};
use holebook_core::hole::record::{FaceRecord, Quantity, Reading, WantedThread};
use holebook_core::length::Unit;
use holebook_core::notebook::{EntryId, FaceId, FaceView, Notebook, NotebookError};
use holebook_core::thread::{Thread, standard_threads};
use maud::{Markup, html};

/// The page.
pub fn show(
    notebook: &Notebook,
    id: FaceId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let face = notebook.face(id)?;
    let setup = &face.record.setup;
    let title = "Setup";
    let content = html! {
        h1 { (title) }
        (context.outcome())
        p { "What the holes of this face have in common. A hole takes each value over until it has its own. Leave blank what differs." }
        (conflicts::section(notebook, &face, context)?)
        (copy::section(notebook, &face, context)?)
        form method="post" action=(FormName::Setup.address_of(id)) {
            (replaced_entries(entries(setup)))
            (thread_fields(setup, context))
            (tools::fields(setup, context))
            (usual_fields(&face.record, context))
            p { button.main { "Save setup" } }
            (context.form(FormName::Setup).questions())
        }
        section.panel {
            h2 { "Holes that differ" }
            p { "Some holes share another thread, or were measured alike?" }
            p { a.button href=(format!("/face/{id}/alike")) { "Several holes at once" } }
        }
    };
    Ok(below_face::page(&face, title, context, content))
}

/// The setup on the face's page: what is set, and the way to change it. It stands out while the face
/// is new.
pub fn summary(face: &FaceView, unit: Unit) -> Markup {
    let setup = &face.record.setup;
    let set = |quantity: Quantity| least(setup, quantity).map(|usual| (quantity, usual));
    let usual: Vec<(Quantity, &Reading)> = USUAL_QUANTITIES.into_iter().filter_map(set).collect();
    let new = setup.is_empty() && !face.photos.is_empty();
    html! {
        section.panel.next[new] #setup {
            h2 { "Setup" }
            @if setup.is_empty() {
                p { "Same thread or depth at most holes? Set it once." }
            } @else {
                dl.facts {
                    @if let Some(wanted) = setup.thread.agreed() {
                        dt { "Thread" } dd { (wanted_line(wanted)) }
                    }
                    @for (what, reading) in usual { dt { (quantity(what)) } dd { (value(reading, unit)) } }
                    @if !setup.tools().is_empty() { dt { "Tools" } dd { (tools::names(setup)) } }
                }
                @if setup.differs() { p { b { "Conflict: " } "devices disagree." } }
            }
            p { a.button.main[new] href=(format!("/face/{}/setup", face.id)) {
                @if setup.is_empty() { "Set up the face" } @else { "Change setup" }
            } }
        }
    }
}

/// A thread with its bolt: `3/8-16 UNC, SAE J429 grade 5, blind`.
fn wanted_line(wanted: &WantedThread) -> String {
    let thread = Some(wanted.thread.designation());
    let grade = wanted.bolt.map(|grade| grade.to_string());
    let through = wanted
        .through
        .map(|_| through_label(wanted.through).to_owned());
    let pressure = wanted.pressure.then(|| "pressure behind it".to_owned());
    let parts = [thread, grade, through, pressure];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// A value with its tolerance.
fn value(reading: &Reading, unit: Unit) -> String {
    no_break(&match reading.tolerance {
        Some(tolerance) => reading.value.show_tolerance(tolerance, unit),
        None => reading.value.show(unit),
    })
}

/// The usual value that leaves least metal, if there are several.
fn least(setup: &FaceSetup, quantity: Quantity) -> Option<&Reading> {
    let usual = setup.usual(quantity).map(|usual| &usual.body);
    usual.min_by_key(|reading| reading.value)
}

/// All entries of the setup: those that the page shows.
fn entries(setup: &FaceSetup) -> Vec<EntryId> {
    let threads = setup.thread.0.iter().map(|entry| entry.entry);
    let readings = setup.readings.iter().map(|entry| entry.entry);
    let tools = setup.tools.0.iter().map(|entry| entry.entry);
    threads.chain(readings).chain(tools).collect()
}

/// Threads that are offered by name: the bolts of joints, in the reader's system.
fn common_threads(unit: Unit) -> Vec<String> {
    let names: &[&str] = match unit {
        Unit::Inch => &[
            "1/4-20", "5/16-18", "3/8-16", "7/16-14", "1/2-13", "5/8-11", "3/4-10",
        ],
        Unit::Millimeter => &["M6", "M8", "M10", "M12", "M16", "M20"],
    };
    let threads = names.iter().filter_map(|name| Thread::parse(name).ok());
    threads.map(|thread| thread.designation()).collect()
}

fn thread_fields(setup: &FaceSetup, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Setup);
    let now = setup.thread.0.first().map(|entry| &entry.body);
    let designation = now.map(|wanted| wanted.thread.designation());
    let mut offered = common_threads(context.unit);
    if let Some(other) = designation.as_ref().filter(|now| !offered.contains(now)) {
        offered.insert(0, other.clone());
    }
    let mut options = vec![("", "not the same")];
    options.extend(offered.iter().map(|name| (name.as_str(), name.as_str())));
    let through = through_value(now.and_then(|wanted| wanted.through));
    let bolt = now
        .and_then(|wanted| wanted.bolt)
        .map(|grade| grade.to_string());
    html! {
        section.panel {
            h2 { "Thread and bolt" }
            (form.radios_from(Field::Thread, THREAD, designation.as_deref(), &options))
            div.fields {
                (form.text_from(Field::OtherThread, "Another thread", None, "", Some("threads")))
                (form.select(Field::Bolt, GRADE, bolt.as_deref(), &grade_options()))
            }
            (form.radios_from(Field::Through, "Holes", Some(through), &THROUGH))
            (form.checkbox(Field::Pressure, PRESSURE, now.is_some_and(|wanted| wanted.pressure)))
            (thread_list())
        }
    }
}

const THROUGH: [(&str, &str); 3] = [("blind", "blind"), ("through", "through"), ("", "unknown")];

/// The threads that a field suggests.
fn thread_list() -> Markup {
    html! {
        datalist #threads { @for thread in standard_threads().filter(|thread| !thread.is_pipe()) {
            option value=(thread.designation()) {}
        } }
    }
}

fn usual_fields(face: &FaceRecord, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::Setup);
    let (first, more) = USUAL_QUANTITIES.split_at(4);
    let set = USUAL_QUANTITIES.into_iter();
    let set = set.filter(|what| face.setup.usual(*what).next().is_some());
    let set: Vec<&str> = set.map(quantity).collect();
    html! {
        section.panel.measurement-form {
            h2 { "Usual measurements" }
            p.faint { "Measured at a hole or two, with a tolerance that covers the rest. A remedy that cuts metal asks to measure its own hole first." }
            @if !set.is_empty() { p { "Set: " (set.join(", ")) "." } }
            (folded("Depth and distances", first, face, form, context.unit))
            (folded("Bolt and mating part", more, face, form, context.unit))
            (tools::list(&face.setup, context.unit))
            (tolerance_sources())
        }
    }
}

/// The fields of some usual values, folded: they are long. They open if one was typed.
fn folded(label: &str, what: &[Quantity], face: &FaceRecord, form: Form<'_>, unit: Unit) -> Markup {
    let fields = |what: &Quantity| {
        [
            Field::Reading(*what),
            Field::Tolerance(*what),
            Field::Instrument(*what),
        ]
    };
    let typed: Vec<Field> = what.iter().flat_map(fields).collect();
    html! {
        details open[form.any_typed(&typed)] {
            summary { (label) }
            @for what in what { (usual_field(*what, face, form, unit)) }
        }
    }
}

/// The fields of one usual value; a depth is shown from the face as is.
fn usual_field(what: Quantity, face: &FaceRecord, form: Form<'_>, unit: Unit) -> Markup {
    let now = face.setup.usual(what).min_by_key(|usual| usual.body.value);
    let as_is = now
        .map(|usual| usual.value_as_is(face))
        .filter(|value| value.is_positive());
    let milled = now.filter(|usual| Some(usual.body.value) != as_is);
    let body = now.map(|usual| &usual.body);
    let instrument = body.and_then(|body| body.instrument.as_deref());
    html! {
        fieldset {
            legend { (quantity(what)) span.faint { ", " (quantity_hint(what)) } }
            @if let Some(usual) = milled {
                p.faint { "Recorded as " (value(&usual.body, unit)) " before the face was cut." }
            }
            div.fields {
                (form.length(Field::Reading(what), "Usual", as_is, ""))
                (form.length(Field::Tolerance(what), TOLERANCE, body.and_then(|body| body.tolerance), ""))
                (form.text_from(Field::Instrument(what), "Measured with", instrument, "", Some("tools")))
            }
        }
    }
}

/// Records a form of these pages; returns the address of the next page.
pub fn submit(
    notebook: &Notebook,
    id: FaceId,
    form: FormName,
    request: &Request,
    unit: Unit,
) -> Result<String, FormError> {
    let (face, setup) = (format!("/face/{id}"), format!("/face/{id}/setup"));
    Ok(match form {
        FormName::Setup => {
            read::save(notebook, id, request, unit)?;
            with_notice(&face, Notice::SetupSaved)
        }
        FormName::CopySetup => {
            copy::copy(notebook, id, request)?;
            with_notice(&setup, Notice::SetupCopied)
        }
        FormName::Alike => {
            alike::save(notebook, id, request, unit)?;
            with_notice(&face, Notice::Alike)
        }
        _ => {
            conflicts::remove(notebook, id, request)?;
            with_notice(&setup, Notice::StruckOut)
        }
    })
}
