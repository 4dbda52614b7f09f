//! `holebook list --order`: the order of the work that changes tools least.

use super::output::OutputOptions;
use super::{count_of, scope};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::plain;
use holebook_core::hole::kit::{HoleName, OpenHole};
use holebook_core::hole::steps::StepKey;
use holebook_core::hole::work_order::HardHoles;
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{Notebook, OrderRun, WorkOrder};
use serde::Serialize;

/// Prints the order of the work on the castings that are named.
///
/// # Errors
/// If there is no such casting, or the notebook cannot be read.
pub fn run(
    notebook: &Notebook,
    args: &cli::List,
    hard: HardHoles,
    output: OutputOptions,
) -> Result<(), Failure> {
    let scope = scope::castings(notebook, &args.casting)?;
    let order = notebook.work_order(&scope, hard)?;
    let unit = output.unit_for_notebook(notebook)?;
    if output.json {
        return out::print_json(&Answer::of(&order, unit));
    }
    out::print(&text(&order, unit))
}

fn text(order: &WorkOrder, unit: Unit) -> String {
    let tools = count_of(order.runs.len() as u64, "tool", "tools");
    let mut text = format!("Order of work: {tools} one after the other");
    if order.hole_by_hole as usize > order.runs.len() {
        text.push_str(&format!(", {} hole by hole", order.hole_by_hole));
    }
    text.push_str("\n\n");
    for (run, number) in order.runs.iter().zip(1..) {
        text.push_str(&format!(
            "{number:>3}  {}\n",
            in_unit(&run.tool.label, unit)
        ));
        text.push_str(&stops(run));
    }
    if !order.others.is_empty() {
        text.push_str("\nNot in the order yet\n");
        for other in &order.others {
            let why = in_unit(&other.why, unit);
            text.push_str(&format!("     {}: {why}\n", place(&other.at)));
        }
    }
    text
}

/// The holes of a run, a line for each face in a row.
fn stops(run: &OrderRun) -> String {
    let mut lines: Vec<(HoleName, Vec<String>)> = Vec::new();
    for step in &run.steps {
        let number = step.at.number.to_string();
        match lines.last_mut().filter(|(at, _)| at.face == step.at.face) {
            Some((_, numbers)) => numbers.push(number),
            None => lines.push((step.at.clone(), vec![number])),
        }
    }
    let lines = lines.into_iter().map(|(at, numbers)| {
        let (casting, face) = (plain(&at.casting_name), plain(&at.face_name));
        format!("     {casting}, {face}: {}\n", numbers.join(", "))
    });
    lines.collect()
}

fn place(at: &HoleName) -> String {
    format!(
        "{}, {}, hole {}",
        plain(&at.casting_name),
        plain(&at.face_name),
        at.number
    )
}

/// The value of `--json`.
#[derive(Serialize)]
struct Answer<'a> {
    tool_changes: usize,
    tool_changes_hole_by_hole: u32,
    runs: Vec<Run<'a>>,
    others: Vec<OpenHole>,
}

#[derive(Serialize)]
struct Run<'a> {
    tool: String,
    face_cut: bool,
    steps: Vec<Step<'a>>,
}

#[derive(Serialize)]
struct Step<'a> {
    #[serde(flatten)]
    at: &'a HoleName,
    step: StepKey,
    title: String,
}

impl Answer<'_> {
    fn of(order: &WorkOrder, unit: Unit) -> Answer<'_> {
        let runs = order.runs.iter().map(|run| Run {
            tool: in_unit(&run.tool.label, unit),
            face_cut: run.is_face_cut,
            steps: run
                .steps
                .iter()
                .map(|step| Step {
                    at: &step.at,
                    step: step.step.key,
                    title: in_unit(&step.step.title, unit),
                })
                .collect(),
        });
        let others = order.others.iter().map(|other| OpenHole {
            at: other.at.clone(),
            why: in_unit(&other.why, unit),
        });
        Answer {
            tool_changes: order.runs.len(),
            tool_changes_hole_by_hole: order.hole_by_hole,
            runs: runs.collect(),
            others: others.collect(),
        }
    }
}
