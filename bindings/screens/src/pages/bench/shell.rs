//! The frame of every calculator: the list of tools, the form, and the answer under it.

use super::{Bench, Tool, cutting, drill, hold, identify, insert, remedies, thread};
use crate::carrier::Request;
use crate::form::{Form, Refusal};
use crate::page::{Crumb, Page, page};
use crate::pages::Refused;
use crate::words::sentence_case;
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};

/// The list of calculators.
pub fn index() -> Page {
    let content = html! {
        h1 { "Bench tables" }
        p { "The notebook's arithmetic by itself, without a casting. Nothing is recorded here." }
        ul.cards.tool-cards { @for tool in Tool::ALL {
            li.leaf { h2 { a href=(tool.path()) { (tool.name()) } } p { (tool.about()) } }
        } }
    };
    let way = [Crumb::to("Castings", "/"), Crumb::here("Bench tables")];
    page("Bench tables", way, content)
}

/// A calculator: its form, and its answer where something was asked.
pub fn show(tool: Tool, notebook: &Notebook, request: &Request) -> Result<Page, NotebookError> {
    let bench = Bench::of(notebook, request)?;
    let is_asked = bench
        .asked
        .form
        .iter()
        .any(|(_, value)| !value.trim().is_empty());
    let answer = is_asked.then(|| answer(tool, &bench));
    let refusal = answer.as_ref().and_then(|answer| answer.as_ref().err());
    // What was typed stays in the form whatever became of it.
    let typed = Refused {
        form: tool.word(),
        request: &bench.asked,
        sentence: refusal
            .map(|refusal| refusal.sentence.clone())
            .unwrap_or_default(),
        field: refusal.and_then(|refusal| refusal.field.as_deref()),
    };
    let form = Form {
        name: tool.word(),
        unit: bench.unit,
        refused: is_asked.then_some(&typed),
    };
    let content = html! {
        (tools(tool))
        h1 { (tool.name()) }
        @if let Some(refusal) = refusal {
            p.problem role="alert" { (sentence_case(refusal.sentence.trim_end_matches('.'))) "." }
        }
        form.leaf.ask method="get" action={ (tool.path()) "#answer" } {
            p.faint { (tool.about()) }
            (fields(tool, &bench, &form))
            p { button.main { (button(tool)) } }
        }
        @if let Some(Ok(answer)) = &answer { div.bench-answer #answer { (answer) } }
    };
    let way = [
        Crumb::to("Castings", "/"),
        Crumb::to("Bench tables", "/bench"),
        Crumb::here(tool.name()),
    ];
    let title = match refusal {
        Some(_) => format!("Not read: {}", tool.name()),
        None => format!("{}, bench tables", tool.name()),
    };
    let status = if refusal.is_some() { 422 } else { 200 };
    Ok(page(&title, way, content).with_status(status))
}

/// The other calculators, one step away.
fn tools(now: Tool) -> Markup {
    html! {
        nav.bench-tools aria-label="Bench tables" {
            @for tool in Tool::ALL {
                a href=(tool.path()) aria-current=[(tool == now).then_some("page")] { (tool.short()) }
            }
        }
    }
}

fn fields(tool: Tool, bench: &Bench, form: &Form<'_>) -> Markup {
    match tool {
        Tool::Thread => thread::fields(bench, form),
        Tool::Identify => identify::fields(form),
        Tool::Insert => insert::fields(bench, form),
        Tool::Drill => drill::fields(bench, form),
        Tool::Cutting => cutting::fields(form),
        Tool::Hold => hold::fields(bench, form),
        Tool::Remedies => remedies::fields(bench, form),
    }
}

fn answer(tool: Tool, bench: &Bench) -> Result<Markup, Refusal> {
    match tool {
        Tool::Thread => thread::answer(bench),
        Tool::Identify => identify::answer(bench),
        Tool::Insert => insert::answer(bench),
        Tool::Drill => drill::answer(bench),
        Tool::Cutting => cutting::answer(bench),
        Tool::Hold => hold::answer(bench),
        Tool::Remedies => remedies::answer(bench),
    }
}

const fn button(tool: Tool) -> &'static str {
    match tool {
        Tool::Identify => "Say which it may be",
        Tool::Hold => "Work it out",
        Tool::Remedies => "Judge the ways",
        _ => "Look it up",
    }
}
