//! The castings: the first page.

use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::page::{Crumb, Page, page};
use crate::pages::{Desk, casting::metal_fields, casting::read_metal};
use crate::progress::progress;
use crate::words::count;
use holebook_core::notebook::{CastingBody, CastingId, CastingSummary, Notebook, NotebookError};
use maud::{Markup, html};

/// Every casting, how far it is, and a form for a new one.
pub fn show(notebook: &Notebook, desk: Desk<'_>) -> Result<Page, NotebookError> {
    let castings = notebook.castings()?;
    let content = html! {
        h1 { "Castings" }
        (desk.outcome())
        @if castings.is_empty() { (first_steps()) }
        ul.cards { @for casting in &castings { (card(casting)) } }
        section.leaf.next[castings.is_empty()] {
            h2 { "A new casting" }
            form method="post" action="/casting" {
                div.fields {
                    (desk.form("casting").text("name", "Name", None, "engine, part: as you call it in the shop"))
                    (metal_fields(&desk.form("casting"), None))
                    (desk.form("casting").text("note", "Note", None, ""))
                }
                p { button.main { "Add the casting" } }
            }
        }
    };
    Ok(page(
        &desk.title("Castings"),
        [Crumb::here("Castings")],
        content,
    ))
}

fn first_steps() -> Markup {
    html! {
        p { "This notebook is empty. Write down the casting that lies before you; then its joint face, "
            "a photo of it, and a mark on every hole." }
    }
}

fn card(casting: &CastingSummary) -> Markup {
    html! {
        li.leaf {
            h2 { a href=(format!("/casting/{}", casting.id)) { (casting.name) } }
            @if let Some(note) = &casting.note { p { (note) } }
            p.faint { (count(casting.faces, "face", "faces")) ", " (count(casting.holes.total(), "hole", "holes")) }
            (progress(&casting.holes))
        }
    }
}

/// Records a new casting.
pub fn add(notebook: &Notebook, request: &Request) -> Result<CastingId, Refusal> {
    let body = CastingBody {
        name: needed_text(request, "name", "Name")?.to_owned(),
        note: request.field("note").map(str::to_owned),
        metal: read_metal(request)?,
    };
    Ok(notebook.add_casting(&body)?)
}
