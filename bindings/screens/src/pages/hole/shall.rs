//! What it shall be: the wanted thread, and the remedy.

use super::{Leaf, ways};
use crate::carrier::Request;
use crate::form::Refusal;
use holebook_core::hole::record::Wanted;
use holebook_core::hole::situation::SituationError;
use holebook_core::notebook::{HoleId, Notebook, Saying};
use holebook_core::strength::Grade;
use holebook_core::thread::{Thread, standard_threads};
use maud::{Markup, html};

/// The wanted thread with its form, and the remedies.
pub fn leaf(leaf: &Leaf<'_>) -> Markup {
    html! {
        section.leaf.next[leaf.is_next("wanted") || leaf.is_next("choose")] aria-labelledby="shall" {
            h2 #shall { "What it shall be" }
            (wanted(leaf))
            (ways::choose(leaf))
        }
    }
}

fn wanted(leaf: &Leaf<'_>) -> Markup {
    let answers = &leaf.hole.record.wanted;
    let now = answers.settled();
    let open = leaf.is_next("wanted") || leaf.desk.was_refused("wanted");
    html! {
        @if let Some(wanted) = now {
            dl.facts {
                dt { "Thread" } dd { (wanted.thread.designation()) }
                dt { "Bolt" } dd { (wanted.bolt.map_or("grade not known".to_owned(), |grade| grade.to_string())) }
                dt { "Hole" } dd { (through_words(wanted.through)) }
            }
        } @else { p.faint {
            @if answers.differ() { "Two answers stand; see above." } @else { "The wanted thread is not said yet." }
        } }
        details id=[(leaf.is_next("wanted")).then_some("next")] open[open] {
            summary { @if now.is_some() { "Change what it shall be" } @else { "Say what it shall be" } }
            form method="post" action=(leaf.path("wanted")) {
                (leaf.over(&answers.0))
                (wanted_fields(now.or(leaf.neighbour.as_ref()), leaf))
                p { button.main { "Record it" } }
            }
        }
    }
}

fn wanted_fields(now: Option<&Wanted>, leaf: &Leaf<'_>) -> Markup {
    let form = leaf.desk.form("wanted");
    let thread = now.map(|wanted| wanted.thread.designation());
    let bolt = now
        .and_then(|wanted| wanted.bolt)
        .map(|grade| grade.to_string());
    html! {
        div.fields {
            (form.text_from("thread", "Thread of the bolt", thread.as_deref(), "", Some("threads")))
            (form.choose("bolt", "Bolt's grade", bolt.as_deref(), &grades()))
            (form.choose("through", "Hole", Some(through_key(now.and_then(|wanted| wanted.through))), &throughs()))
        }
        datalist #threads { @for thread in standard_threads().filter(|thread| !thread.is_pipe()) { option value=(thread.designation()) {} } }
    }
}

/// The grades to choose from; the first says that it is not known.
pub fn grades() -> Vec<(String, String)> {
    let unknown = (String::new(), "not known".to_owned());
    std::iter::once(unknown)
        .chain(
            Grade::ALL
                .iter()
                .map(|grade| (grade.to_string(), grade.to_string())),
        )
        .collect()
}

/// Blind, through, or not known.
pub fn throughs() -> Vec<(String, String)> {
    [None, Some(false), Some(true)]
        .map(|through| {
            (
                through_key(through).to_owned(),
                through_words(through).to_owned(),
            )
        })
        .to_vec()
}

fn through_key(through: Option<bool>) -> &'static str {
    match through {
        Some(true) => "through",
        Some(false) => "blind",
        None => "",
    }
}

/// Whether it goes through, in words.
pub fn through_words(through: Option<bool>) -> &'static str {
    match through {
        Some(true) => "goes through",
        Some(false) => "blind",
        None => "blind or through not known",
    }
}

/// Records the wanted thread.
pub fn record_wanted(notebook: &Notebook, hole: HoleId, request: &Request) -> Result<(), Refusal> {
    let label = "Thread of the bolt";
    let text = request.field("thread").ok_or_else(|| {
        Refusal::of(label, "nothing is written; write one such as 3/8-16 or M10").at("thread")
    })?;
    let thread = Thread::parse(text).map_err(|error| Refusal::of(label, error).at("thread"))?;
    if thread.is_pipe() {
        let why = SituationError::PipeThread { thread };
        return Err(Refusal::of(label, why).at("thread"));
    }
    let wanted = Wanted {
        thread,
        bolt: request
            .field("bolt")
            .map(|text| {
                text.parse()
                    .map_err(|error| Refusal::of("Bolt's grade", error))
            })
            .transpose()?,
        through: read_through(request),
    };
    notebook.say(hole, Saying::Wanted(wanted), &crate::form::over(request)?)?;
    Ok(())
}

/// Whether it goes through, as it was chosen.
pub fn read_through(request: &Request) -> Option<bool> {
    match request.field("through") {
        Some("through") => Some(true),
        Some("blind") => Some(false),
        _ => None,
    }
}
