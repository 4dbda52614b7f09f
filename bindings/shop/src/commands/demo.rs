//! `holebook demo`: the invented sample casting, its plan, and its screens.

use super::list::state_words;
use super::look::{Look, drill_words};
use super::open::at;
use super::words::length;
use crate::demo::place;
use crate::demo::plan::{CastingPlan, HolePlan, Plan};
use crate::failure::Failure;
use crate::out;
use crate::serve::show::{Show, show};
use crate::table::{hanging, plain};
use holebook_core::length::Unit;
use holebook_core::notebook::Notebook;
use serde::Serialize;
use std::path::Path;

const INVENTED: &str =
    "This is a sample: the casting, its people and every figure of it are invented.";

/// Makes the sample notebook in `folder` where it is not there yet, prints its plan, and shows its screens if `browser` says so.
///
/// # Errors
/// Where `folder` holds something else or cannot be written, or the screens cannot be shown.
pub fn run(folder: &Path, browser: bool, look: Look) -> Result<(), Failure> {
    place::ready(folder)?;
    let notebook = Notebook::open(folder)?;
    let unit = look.unit_of(&notebook)?;
    let plan = Plan::of(&notebook, unit)?;
    if !browser {
        return if look.json {
            out::json(&plan)
        } else {
            out::say(&words(&plan, folder, unit))
        };
    }
    // A sample is for looking at; nobody's devices exchange with it.
    let sample = Show {
        notebook,
        folder,
        browser,
        shelf: None,
    };
    show(sample, |address, _| {
        if look.json {
            return out::json(&Shown {
                plan: &plan,
                address,
            });
        }
        out::say(&format!(
            "{}\n{}\n",
            words(&plan, folder, unit),
            at(address)
        ))
    })
}

#[derive(Serialize)]
struct Shown<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    address: &'a str,
}

fn words(plan: &Plan, folder: &Path, unit: Unit) -> String {
    let mut text = format!("{INVENTED}\nIts notebook is in {}.\n", folder.display());
    for casting in &plan.castings {
        text.push_str(&casting_words(casting, unit));
    }
    text
}

fn casting_words(casting: &CastingPlan, unit: Unit) -> String {
    let mut text = String::new();
    for face in &casting.faces {
        let cut = length(face.face_cut, unit);
        text.push_str(&format!(
            "\n{}, {}; to come off the face: {cut}\n\n",
            plain(&casting.name),
            plain(&face.name)
        ));
        let holes = face.holes.iter().map(|hole| hole_words(hole, unit));
        text.extend(holes);
    }
    text
}

/// Columns before the words of a line.
const MARGIN: usize = 18;

/// A hole's lines: what it is, its remedy, how deep to drill, what is missing, what is next.
fn hole_words(plan: &HolePlan, unit: Unit) -> String {
    let thread = plan.hole.thread.map(|thread| thread.designation());
    let thread = thread.unwrap_or_else(|| "thread not said".to_owned());
    let mut text = format!(
        "Hole {:<3} {thread}, {}\n",
        plan.hole.number,
        state_words(&plan.hole)
    );
    let mut line = |label: &str, words: &str| {
        if !words.is_empty() {
            text.push_str(&hanging(&format!("         {label}"), MARGIN, words));
        }
    };
    let remedy = if plan.remedy_words.is_empty() {
        plan.standing_words.clone()
    } else {
        format!("{} ({})", plan.remedy_words, plan.standing_words)
    };
    line("remedy", &remedy);
    let drilled = plan.drill.map(|drill| {
        let (now, after) = (
            length(plan.depth_now, unit),
            length(plan.depth_after_cut, unit),
        );
        format!(
            "{}, {now} deep now, {after} after the face cut",
            drill_words(&drill, unit)
        )
    });
    line("drill", &drilled.unwrap_or_default());
    line("missing", &plan.missing.join("; "));
    line("next", plan.next.as_deref().unwrap_or_default());
    text
}
