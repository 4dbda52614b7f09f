//! The order of the work: which tool does which steps at which holes, so that tools are changed least.

use super::work_scope::WorkOf;
use super::{FormContext, open_holes};
use crate::carrier::Request;
use crate::labels::count;
use crate::page::{Crumb, Page};
use holebook_core::hole::kit::OpenHole;
use holebook_core::hole::work_order::HardHoles;
use holebook_core::labels;
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{FaceId, Notebook, NotebookError, OrderRun, OrderedStep, WorkOrder};
use maud::{Markup, html};

/// The page's name in addresses.
pub const WORD: &str = "order";

/// The query parameter for holes with hard metal.
const HARD: &str = "hard";
/// Its value if they come first.
const FIRST: &str = "first";

/// The page.
pub fn show(
    notebook: &Notebook,
    of: WorkOf,
    request: &Request,
    context: FormContext<'_>,
) -> Result<Page, NotebookError> {
    let hard = match request.param(HARD) {
        Some(FIRST) => HardHoles::First,
        _ => HardHoles::Last,
    };
    let order = notebook.work_order(&of.scope(), hard)?;
    let (name, mut crumbs) = of.name_and_crumbs(notebook)?;
    crumbs.push(Crumb::here("Order of work"));
    let content = html! {
        h1 { "Order of work" span.faint { ", " (name) } }
        (summary(&order))
        (choice(of, hard))
        ol.order { @for run in &order.runs { (run_item(run, of, &order.others, context.unit)) } }
        (others(&order.others, context.unit))
    };
    Ok(Page::new(&context.title("Order of work"), crumbs, content))
}

fn summary(order: &WorkOrder) -> Markup {
    let plain = order.hole_by_hole as usize;
    html! {
        @if order.runs.is_empty() { p { "No hole has a step to do." } } @else {
            p { (count(order.runs.len(), "tool", "tools")) " one after the other"
                @if plain > order.runs.len() { ", instead of " (plain) " hole by hole" }
                ". Nothing is installed before its face is cut." }
        }
    }
}

/// The links that choose when holes with hard metal come.
fn choice(of: WorkOf, hard: HardHoles) -> Markup {
    let path = of.path(WORD);
    let last = hard == HardHoles::Last;
    html! {
        nav.row.screen-only aria-label="Holes with hard metal" {
            span { "Holes with hard metal:" }
            a.button href=(path) aria-current=[last.then_some("true")] { @if last { "✓ " } "last" }
            a.button href=(format!("{path}?{HARD}={FIRST}")) aria-current=[(!last).then_some("true")] { @if !last { "✓ " } "first" }
        }
    }
}

fn run_item(run: &OrderRun, of: WorkOf, others: &[OpenHole], unit: Unit) -> Markup {
    let faces = by_face(&run.steps);
    html! {
        li.panel.face-cut[run.is_face_cut] {
            h2 { (in_unit(&run.tool.label, unit)) }
            @for (face, steps) in &faces {
                @if !matches!(of, WorkOf::Face(_)) || run.is_face_cut {
                    p.faint { @if matches!(of, WorkOf::All) { (steps[0].at.casting_name) ", " } (steps[0].at.face_name) }
                }
                @if run.is_face_cut { (before_cut(*face, others)) } @else {
                    ul.order-holes { @for step in steps { (stop(step, unit)) } }
                }
            }
        }
    }
}

/// The steps of a run, those of one face in a row together.
fn by_face(steps: &[OrderedStep]) -> Vec<(FaceId, Vec<&OrderedStep>)> {
    let mut faces: Vec<(FaceId, Vec<&OrderedStep>)> = Vec::new();
    for step in steps {
        match faces.last_mut().filter(|(face, _)| *face == step.at.face) {
            Some((_, same)) => same.push(step),
            None => faces.push((step.at.face, vec![step])),
        }
    }
    faces
}

fn stop(step: &OrderedStep, unit: Unit) -> Markup {
    let depths = step.step.numbers.iter();
    let depths: Vec<String> = depths
        .filter(|number| number.name.ends_with("face as is"))
        .map(|number| labels::number_value(number, unit))
        .collect();
    html! {
        li {
            span.box aria-hidden="true" {}
            a.hole-link href=(format!("/hole/{}#next", step.at.hole)) { b { (step.at.number) } }
            @if !depths.is_empty() { span { (depths.join(", ")) } }
        }
    }
}

/// Holes of the face that nobody decided on: after the cut it may be too late.
fn before_cut(face: FaceId, others: &[OpenHole]) -> Markup {
    let undecided: Vec<String> = others
        .iter()
        .filter(|other| other.at.face == face)
        .map(|other| other.at.number.to_string())
        .collect();
    html! {
        p { "With every insert out." }
        @if !undecided.is_empty() {
            p.caution { b { "Caution: " } "not in this order yet, decide before the cut: "
                @if undecided.len() == 1 { "hole " } @else { "holes " } (undecided.join(", ")) "." }
        }
    }
}

fn others(others: &[OpenHole], unit: Unit) -> Markup {
    html! {
        @if !others.is_empty() {
            section.panel aria-labelledby="others" {
                h2 #others { "Not in the order yet" }
                (open_holes::list(others, unit))
            }
        }
    }
}
