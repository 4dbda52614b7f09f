//! What was done: the hole's lines in the journal, newest first, and striking one.

use super::Leaf;
use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::words::when;
use holebook_core::notebook::{EntryId, JournalLine, Notebook, NotebookError};
use maud::{Markup, html};

/// Lines shown on the hole's page; all of them are on the journal's own page.
const LINES: usize = 40;

/// The hole's journal, and a form for a note.
pub fn leaf(notebook: &Notebook, leaf: &Leaf<'_>) -> Result<Markup, NotebookError> {
    let lines = notebook.history(leaf.hole.id.0, LINES, None)?;
    Ok(html! {
        section.leaf aria-labelledby="done" {
            h2 #done { "What was done" }
            ol.journal { @for line in &lines { (journal_line(line, leaf)) } }
            form.row method="post" action=(leaf.path("note")) {
                div.grow { (leaf.desk.form("note").text("text", "A note", None, "")) }
                button { "Write it down" }
            }
        }
    })
}

fn journal_line(line: &JournalLine, leaf: &Leaf<'_>) -> Markup {
    html! {
        li.strikable {
            div {
                span.struck[line.struck_by.is_some()] { (crate::journal::words(line, leaf.desk.unit)) }
                div.faint { (line.by) ", " (when(&line.at)) @if line.replaced { " · a later answer stands instead" } }
                @if let Some(strike) = &line.struck_by { p { "Struck by " (strike.by) ": " (strike.reason) } }
            }
            @if line.stands() && line.kind != "strike" { (strike_form(line.entry, leaf)) }
        }
    }
}

/// The form that strikes an entry; it stays readable.
pub fn strike_form(entry: EntryId, leaf: &Leaf<'_>) -> Markup {
    let id = format!("strike-{entry}");
    html! {
        details.strike {
            summary { "Strike" }
            form method="post" action=(leaf.path("strike")) {
                input type="hidden" name="entry" value=(entry);
                div.field {
                    label for=(id) { "Why it is wrong" }
                    input id=(id) name="reason" autocomplete="off";
                }
                button { "Strike it" }
            }
        }
    }
}

/// Strikes an entry.
pub fn strike(notebook: &Notebook, request: &Request) -> Result<(), Refusal> {
    let entry = request.field("entry").and_then(|text| text.parse().ok());
    let entry: EntryId = entry.ok_or_else(|| {
        Refusal("The entry to strike can't be read; open the page again.".to_owned())
    })?;
    notebook.strike(entry, needed_text(request, "reason", "Why it is wrong")?)?;
    Ok(())
}
