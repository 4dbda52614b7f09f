//! Takes over the setup of another face.

use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::pages::FormContext;
use holebook_core::notebook::{FaceId, FaceView, Notebook, NotebookError};
use maud::{Markup, html};

/// The most faces that are offered.
const MOST_FACES: usize = 200;

const FROM: &str = "From";

/// The other faces that have a setup; nothing if there are none. Folded once this face has one.
pub fn section(
    notebook: &Notebook,
    face: &FaceView,
    context: FormContext<'_>,
) -> Result<Markup, NotebookError> {
    let others = notebook.faces_with_setup()?;
    let others: Vec<(String, String)> = others
        .into_iter()
        .filter(|other| other.id != face.id)
        .take(MOST_FACES)
        .map(|other| {
            let name = format!("{}: {}", other.casting_name, other.name);
            (other.id.to_string(), name)
        })
        .collect();
    if others.is_empty() {
        return Ok(html! {});
    }
    let form = context.form(FormName::CopySetup);
    let open = face.record.setup.is_empty() || form.is_rejected();
    Ok(html! {
        details.panel open[open] {
            summary { "Copy the setup of another face" }
            form method="post" action=(FormName::CopySetup.address_of(face.id)) {
                (form.select(Field::From, FROM, None, &others))
                p.faint { "What this face has already stays." }
                p { button { "Copy setup" } }
            }
        }
    })
}

/// Copies the setup.
pub fn copy(notebook: &Notebook, id: FaceId, request: &Request) -> Result<(), FormError> {
    let unknown = |_| FormError::of(Field::From, FROM, "there is no such face; pick one");
    let from = required_text(request, Field::From, FROM)?;
    let from: FaceId = from.parse().map_err(unknown)?;
    notebook.copy_setup(from, id)?;
    Ok(())
}
