//! What is left to do on a face: its holes counted by the next task and its tool, in the order of
//! the work. It is worked out from the entries; nobody ticks anything off.

use super::facet::{Facet, task_key, task_label};
use crate::labels::count;
use form_urlencoded::Serializer;
use holebook_core::hole::next::NextAction;
use holebook_core::length::Unit;
use holebook_core::notebook::HoleSummary;
use maud::{Markup, html};

/// Holes with the same next task.
struct Group<'h> {
    /// One of them.
    first: &'h HoleSummary,
    tool: Option<String>,
    holes: usize,
}

/// The groups, each a link that shows its holes only.
pub fn section(holes: &[HoleSummary], path: &str, unit: Unit) -> Markup {
    let groups = groups(holes);
    html! {
        @if !groups.is_empty() {
            ul.left aria-label="What is left to do" { @for group in &groups { (line(group, path, unit)) } }
        } @else if !holes.is_empty() {
            p { b { "Nothing is left to do on this face." } }
        }
    }
}

fn line(group: &Group<'_>, path: &str, unit: Unit) -> Markup {
    let hole = group.first;
    let mut query = Serializer::new(String::new());
    query.append_pair(Facet::Next.param(), &task_key(&hole.next.action));
    if let Some(tool) = &group.tool {
        query.append_pair(Facet::Tool.param(), tool);
    }
    html! {
        li {
            a href=(format!("{path}?{}#hole-list", query.finish())) {
                b { (group.holes) } span.visually-hidden { (count(group.holes, " hole: ", " holes: ").trim_start_matches(char::is_numeric)) }
                span { (task_label(hole)) @if let Some(tool) = &hole.next.tool { " · " (tool.show(unit)) } }
            }
        }
    }
}

/// A hole whose task comes first of what is left, and how many holes have the same.
pub fn first_left(holes: &[HoleSummary]) -> Option<(&HoleSummary, usize)> {
    let first = groups(holes).into_iter().next()?;
    Some((first.first, first.holes))
}

fn groups(holes: &[HoleSummary]) -> Vec<Group<'_>> {
    let mut open: Vec<&HoleSummary> = holes
        .iter()
        .filter(|hole| hole.next.action != NextAction::Done)
        .collect();
    open.sort_by_key(|hole| hole.next.action.place());
    let mut groups: Vec<Group<'_>> = Vec::new();
    for hole in open {
        let tool = hole.next.tool.as_ref().map(ToString::to_string);
        let same = groups.iter_mut().find(|group| {
            let action = &group.first.next.action;
            action.place() == hole.next.action.place() && group.tool == tool
        });
        match same {
            Some(group) => group.holes += 1,
            None => groups.push(Group {
                first: hole,
                tool,
                holes: 1,
            }),
        }
    }
    groups
}
