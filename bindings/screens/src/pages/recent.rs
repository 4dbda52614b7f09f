//! What was opened last on this device, with what is next there.

use crate::labels::count;
use crate::lengths::no_break;
use crate::pages::hole_list::{first_left, task_label};
use holebook_core::hole::stage::Stage;
use holebook_core::length::{Rounding, Unit};
use holebook_core::notebook::{HoleSummary, Notebook, NotebookError, Opened, RecentlyOpened};
use maud::{Markup, html};

/// Keeps in mind that a page was opened. A notebook that cannot be written is still readable, so a
/// failure is only logged.
pub fn remember(notebook: &Notebook, opened: Opened) {
    if let Err(error) = notebook.remember_opened(opened) {
        tracing::warn!(%error, "not remembered as opened");
    }
}

/// The section; nothing until something was opened.
pub fn section(notebook: &Notebook, unit: Unit) -> Result<Markup, NotebookError> {
    let recent = notebook.recently_opened()?;
    Ok(html! {
        @if !recent.is_empty() {
            section aria-labelledby="recent" {
                h2 #recent { "Recently opened" }
                ul.recent { @for opened in &recent { (line(opened, unit)) } }
            }
        }
    })
}

fn line(recent: &RecentlyOpened, unit: Unit) -> Markup {
    let (path, name, within) = described(recent);
    html! {
        li {
            a href=(path) {
                b { (name) }
                @if let Some(within) = within { " " span.faint { (within) } }
                " " span.next { (next(recent, unit)) }
            }
        }
    }
}

/// The address, the name, and what it is in.
fn described(recent: &RecentlyOpened) -> (String, String, Option<String>) {
    let casting = recent.casting_name.clone();
    let face = recent.face_name.clone().unwrap_or_default();
    match recent.opened {
        Opened::Casting(id) => (format!("/casting/{id}"), casting, None),
        Opened::Face(id) => (format!("/face/{id}"), face, Some(casting)),
        Opened::Hole(id) => {
            let number = recent.holes.first().map_or(0, |hole| hole.number);
            let within = format!("{face}, {casting}");
            (
                format!("/hole/{id}"),
                format!("Hole {number}"),
                Some(within),
            )
        }
    }
}

/// What is next: of a hole its task, of several how far they are and the first task.
fn next(recent: &RecentlyOpened, unit: Unit) -> Markup {
    match (recent.opened, &recent.holes[..]) {
        (Opened::Hole(_), [hole]) => html! {
            "next: " (task(hole, unit))
            @if let Some(depth) = hole.next.depth { ", " (no_break(&depth.rounded(unit, Rounding::Up))) " deep" }
        },
        (_, []) => html! { "no holes yet" },
        (_, holes) => {
            let passed = holes.iter().filter(|hole| hole.stage == Stage::Passed);
            html! {
                (passed.count()) " of " (holes.len()) " passed"
                @if let Some((first, holes)) = first_left(holes) {
                    ", next: " (task(first, unit)) " (" (count(holes, "hole", "holes")) ")"
                }
            }
        }
    }
}

fn task(hole: &HoleSummary, unit: Unit) -> Markup {
    html! {
        (task_label(hole))
        @if let Some(tool) = &hole.next.tool { ", " (tool.show(unit)) }
    }
}
