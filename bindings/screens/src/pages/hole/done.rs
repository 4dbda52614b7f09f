//! What was done: the hole's lines in the journal, newest first, and striking one.

use super::Leaf;
use crate::carrier::Request;
use crate::form::{Refusal, needed_text};
use crate::page::{Crumb, Page, page};
use crate::pages::Desk;
use crate::said::after;
use crate::words::{count, when};
use holebook_core::length::Unit;
use holebook_core::notebook::{EntryId, HoleId, JournalLine, Notebook, NotebookError};
use maud::{Markup, html};

/// Lines shown on the hole's page; the journal's own page has them all.
const LINES: usize = 30;
/// Lines of them that are not folded away on the hole's page: what was done last.
const LATEST: usize = 4;

/// The hole's journal, and a form for a note.
pub fn leaf(notebook: &Notebook, leaf: &Leaf<'_>) -> Result<Markup, NotebookError> {
    Ok(html! {
        section.leaf aria-labelledby="done" {
            h2 #done { "What was done" }
            form.row method="post" action=(leaf.path("note")) {
                div.grow { (leaf.desk.form("note").text("text", "A note", None, "")) }
                button { "Write it down" }
            }
            (lines(notebook, leaf.hole.id, None, LATEST, leaf.desk.unit)?)
            (super::number::correct(leaf))
        }
    })
}

/// A page of the journal alone: the lines before `before`, newest first.
pub fn journal(
    notebook: &Notebook,
    id: HoleId,
    before: Option<EntryId>,
    desk: Desk<'_>,
) -> Result<Page, NotebookError> {
    let hole = notebook.hole(id)?;
    let title = format!("Journal of hole {}", hole.number);
    let content = html! {
        h1 { (title) }
        section.leaf { (lines(notebook, id, before, LINES, desk.unit)?) }
    };
    let way = [
        Crumb::to(format!("Hole {}", hole.number), format!("/hole/{id}")),
        Crumb::here("Journal"),
    ];
    Ok(page(&title, way, content))
}

fn lines(
    notebook: &Notebook,
    hole: HoleId,
    before: Option<EntryId>,
    open: usize,
    unit: Unit,
) -> Result<Markup, NotebookError> {
    let mut lines = notebook.history(hole.0, LINES + 1, before)?;
    let more = lines.len() > LINES;
    lines.truncate(LINES);
    let (latest, earlier) = lines.split_at(lines.len().min(open));
    Ok(html! {
        ol.journal { @for line in latest { (journal_line(line, hole, unit)) } }
        @if !earlier.is_empty() {
            details {
                summary { (count(earlier.len(), "earlier line", "earlier lines")) }
                ol.journal { @for line in earlier { (journal_line(line, hole, unit)) } }
            }
        }
        @if let Some(last) = lines.last().filter(|_| more) {
            p { a.button href=(format!("/hole/{hole}/journal?before={}", last.entry)) { "Earlier lines" } }
        }
    })
}

fn journal_line(line: &JournalLine, hole: HoleId, unit: Unit) -> Markup {
    html! {
        li.strikable {
            div {
                span.struck[line.struck_by.is_some()] { (crate::journal::words(line, unit)) }
                div.faint { (crate::words::writer(&line.by)) ", " (when(&line.at)) @if line.replaced { " · a later answer stands instead" } }
                @if let Some(strike) = &line.struck_by { p { "Struck by " (crate::words::writer(&strike.by)) ": " (strike.reason) } }
            }
            @if line.stands() && line.kind != "strike" { (strike_form("line", line.entry, hole)) }
        }
    }
}

/// The form that strikes an entry, which stays readable; `place` tells apart the forms of one page.
pub fn strike_form(place: &str, entry: EntryId, hole: HoleId) -> Markup {
    let id = format!("{place}-{entry}");
    html! {
        details.strike {
            summary { "Strike out" }
            form method="post" action=(format!("/hole/{hole}/strike")) {
                input type="hidden" name="entry" value=(entry);
                div.field {
                    label for=(id) { "Why it is wrong" }
                    input id=(id) name="reason" autocomplete="off" required;
                }
                button { "Strike it out" }
            }
        }
    }
}

/// Strikes an entry, and gives where to go on: the face, where the struck entry was the hole itself.
pub fn strike(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<String, Refusal> {
    let face = notebook.hole(hole)?.face;
    let entry = request.field("entry").and_then(|text| text.parse().ok());
    let entry: EntryId = entry.ok_or_else(|| {
        Refusal::new("The entry to strike can't be read; open the page again.".to_owned())
    })?;
    notebook.strike(entry, needed_text(request, "reason", "Why it is wrong")?)?;
    Ok(match notebook.hole(hole) {
        Ok(_) => after(&format!("/hole/{hole}"), "strike"),
        Err(_) => after(&format!("/face/{face}"), "strike"),
    })
}
