//! `holebook kit --wear` and `--renewed`: how far drills and taps are worn, and that one is new or
//! sharpened.

use super::output::OutputOptions;
use super::{count_of, name_given, scope};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::plain;
use holebook_core::hole::kit::{HoleName, by_face};
use holebook_core::hole::tool_use::{EDGE_SHARES, ToolUse};
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{Notebook, WorkScope};
use serde::Serialize;

/// Prints the drills and taps that cut holes of the castings that are named.
///
/// # Errors
/// If there is no such casting, or the notebook cannot be read.
pub fn run(notebook: &Notebook, args: &cli::Kit, output: OutputOptions) -> Result<(), Failure> {
    let tools = notebook.tool_use(&scope::castings(notebook, &args.casting)?)?;
    let unit = output.unit_for_notebook(notebook)?;
    if output.json {
        return out::print_json(&Answer {
            tools: tools.iter().map(|tool| Tool::of(tool, unit)).collect(),
        });
    }
    out::print(&text(&tools, unit))
}

/// Records that a tool is new or sharpened.
///
/// # Errors
/// If the name is blank, no hole was cut with such a tool since it was new, or the notebook cannot be written.
pub fn renewed(notebook: &Notebook, named: &str, output: OutputOptions) -> Result<(), Failure> {
    let names = "`holebook kit --wear` names those in use";
    name_given("name of the tool", named, names)?;
    let unit = output.unit_for_notebook(notebook)?;
    let tools = notebook.tool_use(&WorkScope::All)?;
    let mut all = tools.iter();
    let tool = all.find(|it| it.tool == named || in_unit(&it.tool, unit) == named);
    let tool = tool.ok_or_else(|| {
        Failure::Message(format!(
            "no hole was cut with a tool called `{}` since it was new; {names}",
            plain(named)
        ))
    })?;
    notebook.renew_tool(&tool.tool)?;
    let name = in_unit(&tool.tool, unit);
    if output.json {
        return out::print_json(&Renewed { renewed: name });
    }
    let holes = count_of(tool.holes.len() as u64, "hole", "holes");
    out::print(&format!(
        "Recorded: the {} is new or sharpened; the {holes} that it cut no longer count.\n",
        plain(&name)
    ))
}

fn text(tools: &[ToolUse], unit: Unit) -> String {
    if tools.is_empty() {
        return "Nothing was drilled or tapped since every drill and tap was new.\n".to_owned();
    }
    let mut text = "Holes that each drill and tap cut since it was new or sharpened\n".to_owned();
    for tool in tools {
        let holes = count_of(tool.holes.len() as u64, "hole", "holes");
        text.push_str(&format!(
            "\n{}: {holes}\n",
            plain(&in_unit(&tool.tool, unit))
        ));
        if let Some(advice) = tool.advice() {
            text.push_str(&format!("  Caution, judgment: {advice}\n"));
        }
        for (face, numbers) in by_face(&tool.holes) {
            let (casting, face) = (plain(&face.casting_name), plain(&face.face_name));
            let numbers: Vec<String> = numbers.iter().map(u32::to_string).collect();
            text.push_str(&format!("  {casting}, {face}: {}\n", numbers.join(", ")));
        }
    }
    text.push_str(&format!("\n{EDGE_SHARES}\n"));
    text
}

/// The value of `--json`.
#[derive(Serialize)]
struct Answer<'a> {
    tools: Vec<Tool<'a>>,
}

#[derive(Serialize)]
struct Tool<'a> {
    tool: String,
    holes: &'a [HoleName],
    worn: f64,
    dull: bool,
    advice: Option<&'static str>,
}

impl Tool<'_> {
    fn of(tool: &ToolUse, unit: Unit) -> Tool<'_> {
        Tool {
            tool: in_unit(&tool.tool, unit),
            holes: &tool.holes,
            worn: tool.worn,
            dull: tool.is_dull(),
            advice: tool.advice(),
        }
    }
}

#[derive(Serialize)]
struct Renewed {
    renewed: String,
}
