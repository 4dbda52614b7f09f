//! The castings: the first page.

use crate::carrier::Request;
use crate::form::{FormError, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::{count, sentence};
use crate::page::{Crumb, Page};
use crate::pages::{
    FormContext, casting::metal_fields, casting::read_metal, drawer, recent, reminders, search,
};
use crate::progress::progress;
use holebook_core::notebook::{CastingBody, CastingId, CastingSummary, Notebook, NotebookError};
use maud::{Markup, html};

/// All castings with their progress, and a form for a new one.
pub fn show(notebook: &Notebook, context: FormContext<'_>) -> Result<Page, NotebookError> {
    let castings = notebook.castings()?;
    let form = context.form(FormName::AddCasting);
    let content = html! {
        h1 { "Castings" }
        (context.outcome())
        @for warning in notebook.warnings()? { p.caution { b { "Caution: " } (sentence(&warning.to_string())) } }
        @if castings.is_empty() { (first_steps()) } @else { (search::search_box("")) }
        (reminders::list(notebook, None, context)?)
        (recent::section(notebook, context.unit)?)
        ul.cards { @for casting in &castings { (card(casting)) } }
        p.row {
            a.button href=(drawer::PATH) { "Drawer" }
            @if castings.iter().any(|casting| casting.holes.total() > 0) {
                a.button href="/kit" { "Kit" }
                a.button href="/order" { "Order of work" }
            }
        }
        section.panel.next[castings.is_empty()] {
            h2 { "New casting" }
            form method="post" action=(FormName::AddCasting.address()) {
                div.fields {
                    (form.text(Field::Name, "Name", None, "machine and part, as your shop calls it"))
                    (metal_fields(&form, None))
                    (form.text(Field::Note, "Note", None, ""))
                }
                p { button.main { "Add casting" } }
            }
        }
    };
    Ok(Page::new(
        &context.title("Castings"),
        [Crumb::here("Castings")],
        content,
    ))
}

fn first_steps() -> Markup {
    html! {
        p { "This notebook is empty. Start by adding the casting, then a joint face, a photo of it, "
            "and a mark on every hole." }
    }
}

fn card(casting: &CastingSummary) -> Markup {
    html! {
        li.panel {
            h2 { a href=(format!("/casting/{}", casting.id)) { (casting.name) } }
            @if let Some(note) = &casting.note { p { (note) } }
            p.faint { (count(casting.faces as usize, "face", "faces")) ", " (count(casting.holes.total() as usize, "hole", "holes")) }
            (progress(&casting.holes))
        }
    }
}

/// Records a new casting.
pub fn add(notebook: &Notebook, request: &Request) -> Result<CastingId, FormError> {
    let body = CastingBody {
        name: required_text(request, Field::Name, "Name")?.to_owned(),
        note: request.field(Field::Note).map(str::to_owned),
        metal: read_metal(request)?,
    };
    Ok(notebook.add_casting(&body)?)
}
