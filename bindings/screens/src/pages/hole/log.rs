//! The hole's log: its journal entries, newest first, and a form to strike one out.

use super::HolePage;
use crate::carrier::Request;
use crate::form::{FormError, hidden, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::{author, count, date_time};
use crate::notices::{Notice, with_notice};
use crate::page::{Crumb, Page};
use crate::pages::FormContext;
use holebook_core::length::Unit;
use holebook_core::notebook::{EntryId, EntryKind, HoleId, JournalLine, Notebook, NotebookError};
use maud::{Markup, html};

/// Entries on the hole's page; the log's own page has them all.
const LINES: usize = 30;
/// How many of them are not folded on the hole's page: the latest.
const LATEST: usize = 4;

/// The id of the field for a note, which the page's header leads to. The phone's own keyboard comes up
/// with it, and with that its microphone.
pub const NOTE_ID: &str = "note-text";

/// The hole's log, and a form for a note.
pub fn section(notebook: &Notebook, page: &HolePage<'_>) -> Result<Markup, NotebookError> {
    Ok(html! {
        section.panel aria-labelledby="log" {
            h2 #log { "Log" }
            form.row method="post" action=(page.address(FormName::Note)) {
                div.grow { (page.context.form(FormName::Note).text(Field::Text, "Note", None, "")) }
                button { "Add note" }
            }
            (lines(notebook, page.hole.id, None, LATEST, page.context.unit)?)
            (super::number::edit(page))
        }
    })
}

/// A page of the log alone: the entries before `before`, newest first.
pub fn show(
    notebook: &Notebook,
    id: HoleId,
    before: Option<EntryId>,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let hole = notebook.hole(id)?;
    let title = format!("Log of hole {}", hole.number);
    let content = html! {
        h1 { (title) }
        section.panel { (lines(notebook, id, before, LINES, context.unit)?) }
    };
    let assessment = [
        Crumb::to(format!("Hole {}", hole.number), format!("/hole/{id}")),
        Crumb::here("Log"),
    ];
    Ok(Page::new(&title, assessment, content))
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
        ol.journal { @for line in latest { (log_line(line, hole, unit)) } }
        @if !earlier.is_empty() {
            details {
                summary { (count(earlier.len(), "earlier entry", "earlier entries")) }
                ol.journal { @for line in earlier { (log_line(line, hole, unit)) } }
            }
        }
        @if let Some(last) = lines.last().filter(|_| more) {
            p { a.button href=(format!("/hole/{hole}/log?before={}", last.entry)) { "Earlier entries" } }
        }
    })
}

fn log_line(line: &JournalLine, hole: HoleId, unit: Unit) -> Markup {
    html! {
        li.with-row-action {
            div {
                span.struck-out[line.struck_out_by.is_some()] { (crate::journal::entry_text(line, unit)) }
                div.faint { (author(&line.by)) ", " (date_time(&line.at)) @if line.replaced { " · replaced by a later entry" }
                    @if line.unverified { " · not verified: an entry before it is lost" } }
                @if let Some(strike) = &line.struck_out_by { p { "Struck out by " (author(&strike.by)) ": " (strike.reason) } }
            }
            @if line.is_active() && EntryKind::from_name(&line.kind) != Some(EntryKind::StrikeOut) { (strike_out_form("entry", line.entry, hole)) }
        }
    }
}

const REASON: &str = "Reason";

/// A form that strikes out an entry, which stays readable. `place` tells apart forms of one page.
pub fn strike_out_form(place: &str, entry: EntryId, hole: HoleId) -> Markup {
    let id = format!("{place}-{entry}");
    html! {
        details.row-action {
            summary { "Strike out" }
            form method="post" action=(FormName::StrikeOut.address_of(hole)) {
                (hidden(Field::Entry, entry))
                div.field {
                    label for=(id) { (REASON) }
                    input id=(id) name=(Field::Reason.name()) autocomplete="off" required;
                }
                button { "Strike out" }
            }
        }
    }
}

/// Strikes out an entry; returns the address of the next page, which is the face if the entry was
/// the hole itself.
pub fn strike_out(
    notebook: &Notebook,
    hole: HoleId,
    request: &Request,
) -> Result<String, FormError> {
    let face = notebook.hole(hole)?.face;
    let entry = request
        .field(Field::Entry)
        .and_then(|text| text.parse().ok());
    let entry: EntryId = entry
        .ok_or_else(|| FormError::new("This page has an unreadable entry id; reload the page."))?;
    notebook.strike_out(entry, required_text(request, Field::Reason, REASON)?)?;
    Ok(match notebook.hole(hole) {
        Ok(_) => with_notice(&format!("/hole/{hole}"), Notice::StruckOut),
        Err(_) => with_notice(&format!("/face/{face}"), Notice::StruckOut),
    })
}
