//! One casting: its faces and their progress.

use crate::authors::Authors;
use crate::carrier::Request;
use crate::download::file_name;
use crate::form::{Form, FormError, replaced_entries, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::count;
use crate::newest::{earlier, newest};
use crate::page::{Crumb, Page};
use crate::pages::{FormContext, casting_file};
use crate::progress::progress;
use holebook_core::notebook::{
    CastingBody, CastingId, CastingView, FaceBody, FaceId, FaceSummary, Notebook, NotebookError,
};
use holebook_core::strength::Metal;
use maud::{Markup, html};

/// The casting with its faces, and forms to add a face and to edit the casting.
pub fn show(
    notebook: &Notebook,
    id: CastingId,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let casting = notebook.casting(id)?;
    let authors = Authors::default().and(notebook, &casting.details)?;
    let content = html! {
        h1 { (casting.name) }
        (context.outcome())
        @match casting.details.agreed() {
            Some(body) => {
                p { (metal_label(body.metal)) }
                @if let Some(note) = &body.note { p { (note) } }
            }
            None => (conflict(&casting, &authors)),
        }
        ul.cards { @for face in &casting.faces { (card(face)) } }
        @if casting.faces.iter().any(|face| face.holes.total() > 0) {
            p.row {
                a.button href=(format!("/casting/{id}/runs")) { "Tool runs" }
                a.button href=(format!("/casting/{id}/order")) { "Order of work" }
                a.button href=(format!("/casting/{id}/kit")) { "Kit" }
            }
        }
        section.panel.next[casting.faces.is_empty()] {
            h2 { "New joint face" }
            p.faint { "One machined face and its holes." }
            form method="post" action=(FormName::AddFace.address_of(id)) {
                div.fields {
                    (context.form(FormName::AddFace).text(Field::Name, "Name", None, "pump end, top deck, flange"))
                    (context.form(FormName::AddFace).text(Field::Note, "Note", None, ""))
                }
                p { button.main { "Add face" } }
            }
        }
        (send(id, &casting.name, context))
        (edit(&casting, context))
    };
    let title = context.title(&casting.name);
    let crumbs = [Crumb::to("Castings", "/"), Crumb::here(casting.name)];
    Ok(Page::new(&title, crumbs, content))
}

/// The casting as one page to send.
fn send(id: CastingId, name: &str, context: FormContext<'_>) -> Markup {
    let save = if context.shell.is_some() {
        "Share"
    } else {
        "Save"
    };
    html! {
        details.panel {
            summary { "Send it" }
            p { "The whole casting as one page with its photos, made smaller: as found, what was done, the checks, and the log. It is "
                "read-only and opens in any browser without a network. Anyone who has it can read it." }
            p { a.button href=(format!("/casting/{id}/{}", casting_file::NAME)) download=(file_name(name, "casting", "html")) { (save) " as one page" } }
        }
    }
}

fn card(face: &FaceSummary) -> Markup {
    html! {
        li.panel {
            h2 { a href=(format!("/face/{}", face.id)) { (face.name) } }
            p.faint { (count(face.holes.total() as usize, "hole", "holes")) }
            (progress(&face.holes))
        }
    }
}

fn edit(casting: &CastingView, context: FormContext<'_>) -> Markup {
    let form = context.form(FormName::EditCasting);
    let now = casting.details.0.first().map(|entry| &entry.body);
    let metal = now.and_then(|body| body.metal);
    let note = now.and_then(|body| body.note.as_deref());
    html! {
        details.panel open[context.was_rejected(FormName::EditCasting)] {
            summary { "Edit casting" }
            form method="post" action=(FormName::EditCasting.address_of(casting.id)) {
                (replaced_entries(casting.details.0.iter().map(|entry| entry.entry)))
                div.fields {
                    (form.text(Field::Name, "Name", Some(&casting.name), ""))
                    (metal_fields(&form, metal))
                    (form.text(Field::Note, "Note", note, ""))
                }
                p { button { "Save" } }
            }
        }
    }
}

/// The entries of devices that disagree; saving an edit replaces them all.
fn conflict(casting: &CastingView, authors: &Authors) -> Markup {
    let (shown, before) = newest(&casting.details.0);
    html! {
        section.panel.conflict {
            h2 { "Conflict" }
            p { "Devices disagree about this casting. Edit it below; your version replaces these." }
            div.side-by-side { @for entry in shown {
                div {
                    p.big { (entry.body.name) }
                    p { (metal_label(entry.body.metal)) }
                    p { (authors.describe(entry)) }
                }
            } }
            @if before > 0 { p { (earlier(before)) } }
        }
    }
}

fn metal_label(metal: Option<Metal>) -> String {
    match metal {
        Some(metal) if metal.is_assumed() => {
            format!("{CLASS_UNKNOWN}: strength is figured for ASTM A48 class 20, the weakest.")
        }
        Some(metal) => metal.to_string(),
        None => {
            "Metal unknown: strength is figured for ASTM A48 class 20 iron, the weakest.".to_owned()
        }
    }
}

/// Fields for a casting's metal: a list of grades, or a tensile strength known from elsewhere.
pub fn metal_fields(form: &Form<'_>, now: Option<Metal>) -> Markup {
    let is_stated = |metal: &Metal| matches!(metal, Metal::Stated(..));
    let grade = now
        .filter(|metal| !is_stated(metal))
        .map(|metal| metal.to_string());
    let stated = now.filter(is_stated).map(|metal| metal.to_string());
    html! {
        (form.select(Field::Metal, METAL, grade.as_deref(), &metal_options()))
        (form.text(Field::MetalStrength, STRENGTH, stated.as_deref(), "kind and minimum: steel of 60000 psi, aluminum of 23000 psi"))
    }
}

const METAL: &str = "Metal";
const STRENGTH: &str = "Or its tensile strength";

/// Gray iron without its class, as people read it.
const CLASS_UNKNOWN: &str = "Gray iron, class unknown";

/// The grades to choose from, after an option for unknown.
fn metal_options() -> Vec<(String, String)> {
    let unknown = (String::new(), "unknown".to_owned());
    let grades = Metal::named().map(|metal| {
        let label = if metal.is_assumed() {
            CLASS_UNKNOWN.to_owned()
        } else {
            metal.to_string()
        };
        (metal.to_string(), label)
    });
    std::iter::once(unknown).chain(grades).collect()
}

/// Reads the chosen grade or the typed strength; one of them at most.
pub fn read_metal(request: &Request) -> Result<Option<Metal>, FormError> {
    let read = |field, label| {
        let text = request.field(field)?;
        Some(
            text.parse::<Metal>()
                .map_err(|error| FormError::of(field, label, error)),
        )
    };
    let (grade, strength) = (
        read(Field::Metal, METAL).transpose()?,
        read(Field::MetalStrength, STRENGTH).transpose()?,
    );
    if let (Some(grade), Some(strength)) = (grade, strength) {
        let message = format!("both {grade} and {strength} are given; keep one");
        return Err(FormError::of(Field::MetalStrength, STRENGTH, message));
    }
    Ok(grade.or(strength))
}

/// Records a new face.
pub fn add_face(
    notebook: &Notebook,
    casting: CastingId,
    request: &Request,
) -> Result<FaceId, FormError> {
    let body = FaceBody {
        casting,
        name: required_text(request, Field::Name, "Name")?.to_owned(),
        note: request.field(Field::Note).map(str::to_owned),
    };
    Ok(notebook.add_face(&body)?)
}

/// Records an edit of the casting.
pub fn edit_casting(
    notebook: &Notebook,
    id: CastingId,
    request: &Request,
) -> Result<(), FormError> {
    let body = CastingBody {
        name: required_text(request, Field::Name, "Name")?.to_owned(),
        note: request.field(Field::Note).map(str::to_owned),
        metal: read_metal(request)?,
    };
    notebook.change_casting(id, &body, &crate::form::replaces(request)?)?;
    Ok(())
}
