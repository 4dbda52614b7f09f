//! `holebook demo`: the invented sample casting, its plan, and its screens.

use super::list::state_words;
use super::look::{Look, drill_words};
use super::open::at;
use super::words::length;
use crate::demo::place;
use crate::demo::plan::{CastingPlan, HolePlan, Plan};
use crate::failure::Failure;
use crate::out;
use crate::serve::show::show;
use crate::table::{Side, Table, item, plain};
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
    show(notebook, folder, browser, |address| {
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
        text.push_str(&table(&face.holes, unit).to_string());
        let missing = list("What is missing", &face.holes, |hole| &hole.missing);
        let next = list("What is next", &face.holes, |hole| hole.next.as_slice());
        text.push_str(&format!("{missing}{next}"));
    }
    text
}

/// What is to be said of each hole that something is to be said of, under a heading.
fn list<'a>(
    heading: &str,
    holes: &'a [HolePlan],
    of: impl Fn(&'a HolePlan) -> &'a [String],
) -> String {
    let told = holes.iter().filter(|hole| !of(hole).is_empty());
    let lines: String = told
        .map(|hole| {
            item(&format!(
                "hole {}: {}",
                hole.hole.number,
                of(hole).join("; ")
            ))
        })
        .collect();
    if lines.is_empty() {
        lines
    } else {
        format!("\n{heading}:\n{lines}")
    }
}

fn table(holes: &[HolePlan], unit: Unit) -> Table {
    let mut table = Table::new(&[
        ("hole", Side::Right),
        ("thread", Side::Left),
        ("state", Side::Left),
        ("remedy", Side::Left),
        ("verdict", Side::Left),
        ("drill", Side::Left),
        ("deep now", Side::Right),
        ("after the cut", Side::Right),
    ]);
    for plan in holes {
        table.row([
            plan.hole.number.to_string(),
            plan.hole
                .thread
                .map(|thread| thread.designation())
                .unwrap_or_default(),
            state_words(&plan.hole),
            plan.remedy_words.clone(),
            plan.standing_words.clone(),
            plan.drill
                .map_or_else(String::new, |drill| drill_words(&drill, unit)),
            plan.drill
                .map_or_else(String::new, |_| length(plan.depth_now, unit)),
            plan.drill
                .map_or_else(String::new, |_| length(plan.depth_after_cut, unit)),
        ]);
    }
    table
}
