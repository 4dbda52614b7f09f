//! Tool wear: the holes that each drill and tap cut since it was new or sharpened.

use super::FormContext;
use crate::carrier::Request;
use crate::form::{FormError, hidden, required_text};
use crate::form_names::{Field, FormName};
use crate::labels::count;
use crate::notices::{Notice, with_notice};
use crate::page::{Crumb, Page};
use holebook_core::hole::kit::by_face;
use holebook_core::hole::tool_use::{EDGE_SHARES, ToolUse};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{Notebook, NotebookError, WorkScope};
use maud::{Markup, html};

/// The page's address.
pub const PATH: &str = "/drawer/wear";

/// The page.
pub fn show(notebook: &Notebook, context: FormContext<'_>) -> Result<Page, NotebookError> {
    let tools = notebook.tool_use(&WorkScope::All)?;
    let content = html! {
        h1 { "Tool wear" }
        (context.outcome())
        p { "The holes that each drill and tap cut since you said that it was new or sharpened." }
        @if tools.is_empty() { p { "Nothing was drilled or tapped since." } }
        @for tool in &tools { (one(tool, context.unit)) }
        @if !tools.is_empty() { p.faint { (EDGE_SHARES) } }
    };
    let crumbs = [
        Crumb::to("Castings", "/"),
        Crumb::to("Drawer", super::PATH),
        Crumb::here("Tool wear"),
    ];
    Ok(Page::new(&context.title("Tool wear"), crumbs, content))
}

fn one(tool: &ToolUse, unit: Unit) -> Markup {
    let label = in_unit(&tool.tool, unit);
    let shown = |numbers: &[u32]| {
        let numbers = numbers.iter().map(u32::to_string);
        numbers.collect::<Vec<_>>().join(", ")
    };
    html! {
        section.panel aria-label=(label) {
            h2 { (label) span.faint { ", " (count(tool.holes.len(), "hole", "holes")) } }
            @if let Some(advice) = tool.advice() { p.caution { b { "Caution, judgment: " } (advice) } }
            @for (face, numbers) in by_face(&tool.holes) {
                p.faint { (face.casting_name) ", " (face.face_name) ": " (shown(&numbers)) } }
            form method="post" action=(FormName::RenewTool.address()) {
                (hidden(Field::Tool, &tool.tool))
                button { "New or sharpened" span.visually-hidden { ": " (label) } }
            }
        }
    }
}

/// Records that a tool is new or sharpened; returns the address of the next page.
pub fn renew(notebook: &Notebook, request: &Request) -> Result<String, FormError> {
    notebook.renew_tool(required_text(request, Field::Tool, "Tool")?)?;
    Ok(with_notice(PATH, Notice::ToolRenewed))
}
