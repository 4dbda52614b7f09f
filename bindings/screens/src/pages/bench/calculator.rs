//! The frame of every calculator: the list of tools, the form, and the answer below it.

use super::{
    Bench, Tool, cutting, drill, flatness, identify, insert, pattern, remedies, strength, thread,
};
use crate::carrier::Request;
use crate::form::{Form, FormError, RejectedForm};
use crate::labels::sentence;
use crate::page::{Crumb, Page};
use holebook_core::length::in_unit;
use holebook_core::notebook::{Notebook, NotebookError};
use maud::{Markup, html};
use std::cell::Cell;

/// The list of calculators.
pub fn index() -> Page {
    let content = html! {
        h1 { "Bench tables" }
        p { "Calculators without a casting. Nothing is recorded here." }
        ul.cards.tool-cards { @for tool in Tool::ALL {
            li.panel { h2 { a href=(tool.path()) { (tool.name()) } } p { (tool.about()) } }
        } }
    };
    let crumbs = [Crumb::to("Castings", "/"), Crumb::here("Bench tables")];
    Page::new("Bench tables", crumbs, content)
}

/// A calculator: its form, and its answer if something was entered.
pub fn show(tool: Tool, notebook: &Notebook, request: &Request) -> Result<Page, NotebookError> {
    let bench = Bench::of(notebook, request)?;
    let is_asked = bench
        .asked
        .form
        .iter()
        .any(|(_, value)| !value.trim().is_empty());
    let answer = is_asked.then(|| answer(tool, &bench));
    let error = answer.as_ref().and_then(|answer| answer.as_ref().err());
    // What was typed stays in the form either way.
    let typed = RejectedForm {
        form: None,
        request: &bench.asked,
        message: error.map(|error| error.message.clone()).unwrap_or_default(),
        field: error.and_then(|error| error.field),
        questions: &[],
        questions_drawn: Cell::default(),
    };
    let form = Form {
        id: tool.word(),
        unit: bench.unit,
        rejected: is_asked.then_some(&typed),
    };
    let content = html! {
        (tools(tool))
        h1 { (tool.name()) }
        @if let Some(error) = error {
            p.problem role="alert" { (sentence(&in_unit(&error.message, bench.unit))) }
        }
        form.panel.calculator-form method="get" action={ (tool.path()) "#answer" } {
            p.faint { (tool.about()) }
            (fields(tool, &bench, &form))
            p { button.main { (button(tool)) } }
        }
        @if let Some(Ok(answer)) = &answer { div.bench-result #answer { (answer) } }
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to("Bench tables", "/bench"),
        Crumb::here(tool.name()),
    ];
    let title = match error {
        Some(_) => format!("Not calculated: {}", tool.name()),
        None => format!("{}, bench tables", tool.name()),
    };
    let status = if error.is_some() { 422 } else { 200 };
    Ok(Page::new(&title, crumbs, content).with_status(status))
}

/// Links to the other calculators.
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
        Tool::Strength => strength::fields(bench, form),
        Tool::Remedies => remedies::fields(bench, form),
        Tool::Pattern => pattern::fields(form),
        Tool::Flatness => flatness::fields(form),
    }
}

fn answer(tool: Tool, bench: &Bench) -> Result<Markup, FormError> {
    match tool {
        Tool::Thread => thread::answer(bench),
        Tool::Identify => identify::answer(bench),
        Tool::Insert => insert::answer(bench),
        Tool::Drill => drill::answer(bench),
        Tool::Cutting => cutting::answer(bench),
        Tool::Strength => strength::answer(bench),
        Tool::Remedies => remedies::answer(bench),
        Tool::Pattern => pattern::answer(bench),
        Tool::Flatness => flatness::answer(bench),
    }
}

const fn button(tool: Tool) -> &'static str {
    match tool {
        Tool::Identify => "Identify",
        Tool::Strength | Tool::Pattern | Tool::Flatness => "Calculate",
        Tool::Remedies => "Show remedies",
        _ => "Show",
    }
}
