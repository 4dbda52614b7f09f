//! Entries of a setup that disagree, each with a button that takes it out.

use super::{value, wanted_line};
use crate::authors::Authors;
use crate::carrier::Request;
use crate::form::{FormError, hidden, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::quantity;
use crate::newest::{earlier, newest};
use crate::pages::FormContext;
use holebook_core::hole::face_setup::USUAL_QUANTITIES;
use holebook_core::hole::record::{FactEntries, Recorded};
use holebook_core::notebook::{FaceId, FaceView, Notebook, NotebookError, SetupChange};
use maud::{Markup, html};

/// What disagrees; nothing if all agrees.
pub fn section(
    notebook: &Notebook,
    face: &FaceView,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let setup = &face.record.setup;
    if !setup.differs() {
        return Ok(html! {});
    }
    let mut parts = Vec::new();
    if setup.thread.differ() {
        parts.push(choices(
            notebook,
            face,
            "Thread",
            &setup.thread,
            wanted_line,
        )?);
    }
    for what in USUAL_QUANTITIES {
        let usual = FactEntries(setup.usual(what).cloned().collect());
        if usual.differ() {
            let show = |reading: &_| value(reading, context.unit);
            parts.push(choices(notebook, face, quantity(what), &usual, show)?);
        }
    }
    Ok(html! {
        section.panel.conflict aria-labelledby="conflicts" {
            h2 #conflicts { "Resolve conflict" }
            p { "Devices disagree. Take out what is wrong, or save the right value below: it replaces all of them." }
            @for part in parts { (part) }
        }
    })
}

fn choices<T: PartialEq>(
    notebook: &Notebook,
    face: &FaceView,
    heading: &str,
    entries: &FactEntries<T>,
    show: impl Fn(&T) -> String,
) -> Result<Markup, NotebookError> {
    let authors = Authors::default().and(notebook, entries)?;
    let (shown, before) = newest(&entries.0);
    let one = |entry: &Recorded<T>| {
        html! {
            form method="post" action=(FormName::RemoveUsual.address_of(face.id)) {
                (hidden(Field::Entry, entry.entry))
                p.big { (show(&entry.body)) }
                p { (authors.describe(entry)) }
                button { "Take this out" span.visually-hidden { ": " (heading) " " (show(&entry.body)) } }
            }
        }
    };
    Ok(html! {
        h3 { (heading) }
        div.side-by-side { @for entry in shown { (one(entry)) } }
        p { (earlier(before)) }
    })
}

/// Takes an entry out of the setup.
pub fn remove(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), FormError> {
    let unreadable = |_| FormError::new("This page has an unreadable entry id; reload the page.");
    let entry = required_text(request, Field::Entry, "Entry")?;
    let entry = entry.parse().map_err(unreadable)?;
    notebook.change_setup(id, &[SetupChange::Remove { entry }])?;
    Ok(())
}
