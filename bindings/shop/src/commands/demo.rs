//! `holebook demo`: makes the invented sample notebook, prints its plan, and opens its screens.

use super::list::{stage_label, stock_text};
use super::open::open_text;
use super::output::OutputOptions;
use super::phrases::drill_depth;
use crate::cli;
use crate::demo::plan::{CastingPlan, HolePlan, Plan};
use crate::demo::sample_folder;
use crate::failure::Failure;
use crate::out;
use crate::serve::run::{ServeOptions, serve_screens};
use crate::table::{hanging, plain};
use holebook_core::length::Unit;
use holebook_core::notebook::Notebook;
use serde::Serialize;
use std::path::Path;

const INVENTED: &str =
    "This is a sample: the casting, its people, and all its figures are invented.";

/// Makes the sample notebook in `folder` if needed, prints its plan, and opens its screens unless
/// asked not to.
///
/// # Errors
/// If `folder` holds something else or cannot be written, or the screens cannot be served.
pub fn run(folder: &Path, screens: &cli::Screens, output: OutputOptions) -> Result<(), Failure> {
    sample_folder::prepare(folder)?;
    let notebook = Notebook::open(folder)?;
    let unit = output.unit_for_notebook(&notebook)?;
    let plan = Plan::of(&notebook, unit)?;
    if screens.no_open {
        return if output.json {
            out::print_json(&plan)
        } else {
            out::print(&plan_text(&plan, folder, unit))
        };
    }
    // The sample is only for looking at, so no device syncs with it.
    let sample = ServeOptions {
        notebook,
        folder,
        browser: true,
        host: screens.host(),
        lan_port: None,
    };
    serve_screens(sample, |address, _| {
        if output.json {
            return out::print_json(&Shown {
                plan: &plan,
                address,
            });
        }
        out::print(&format!(
            "{}\n{}\n",
            plan_text(&plan, folder, unit),
            open_text(address)
        ))
    })
}

#[derive(Serialize)]
struct Shown<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    address: &'a str,
}

fn plan_text(plan: &Plan, folder: &Path, unit: Unit) -> String {
    let mut text = format!("{INVENTED}\nIts notebook is in {}.\n", folder.display());
    for casting in &plan.castings {
        text.push_str(&casting_text(casting, unit));
    }
    text
}

fn casting_text(casting: &CastingPlan, unit: Unit) -> String {
    let mut text = String::new();
    for face in &casting.faces {
        let cut = stock_text(face.left_to_remove, unit);
        text.push_str(&format!(
            "\n{}, {}; {cut}\n\n",
            plain(&casting.name),
            plain(&face.name)
        ));
        let holes = face.holes.iter().map(|hole| hole_text(hole, unit));
        text.extend(holes);
    }
    text
}

/// Width of the column of labels.
const MARGIN: usize = 18;

/// Formats one hole: thread, stage, remedy, drill depth, missing readings, next step.
fn hole_text(plan: &HolePlan, unit: Unit) -> String {
    let thread = plan.hole.thread.map(|thread| thread.designation());
    let thread = thread.unwrap_or_else(|| "thread not set".to_owned());
    let mut text = format!(
        "Hole {:<3} {thread}, {}\n",
        plan.hole.number,
        stage_label(&plan.hole)
    );
    let mut line = |label: &str, value: &str| {
        if !value.is_empty() {
            text.push_str(&hanging(&format!("         {label}"), MARGIN, value));
        }
    };
    let remedy = if plan.remedy_text.is_empty() {
        plan.verdict_text.clone()
    } else {
        format!("{} ({})", plan.remedy_text, plan.verdict_text)
    };
    line("remedy", &remedy);
    let drilled = plan.drill.map(|drill| {
        format!(
            "{}, {} deep from the face as is, {} from the finished face",
            drill.show(unit),
            drill_depth(plan.depth_now, unit),
            drill_depth(plan.depth_after_cut, unit)
        )
    });
    line("drill", &drilled.unwrap_or_default());
    line("missing", &plan.missing.join("; "));
    line("next", plan.next.as_deref().unwrap_or_default());
    text
}
