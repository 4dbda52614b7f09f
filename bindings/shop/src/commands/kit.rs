//! `holebook kit`: what the open work takes, counted against the drawer.

use super::output::OutputOptions;
use super::{count_of, new_file, open_existing, scope, wear};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::plain;
use holebook_core::hole::kit::{self, Kit, KitLine, OpenHole};
use holebook_core::length::{Unit, in_unit};
use serde::Serialize;
use std::path::Path;

/// Marks a file as UTF-8 for spreadsheets that guess.
const BYTE_ORDER_MARK: &str = "\u{feff}";

/// Prints or writes the kit.
///
/// # Errors
/// If there is no notebook or casting, or the file cannot be written.
pub fn run(folder: &Path, args: &cli::Kit, output: OutputOptions) -> Result<(), Failure> {
    let notebook = open_existing(folder)?;
    if let Some(tool) = &args.renewed {
        return wear::renewed(&notebook, tool, output);
    }
    if args.wear {
        return wear::run(&notebook, args, output);
    }
    let kit = notebook.kit(&scope::castings(&notebook, &args.casting)?)?;
    let unit = output.unit_for_notebook(&notebook)?;
    let text = match args.csv {
        true => kit::csv(&kit, unit).map_err(|error| Failure::Message(error.to_string()))?,
        false => kit::text(&kit, &title(&kit), unit),
    };
    let Some(file) = &args.out else {
        return match (output.json, args.csv) {
            (true, _) => out::print_json(&Answer::of(&kit, unit)),
            (false, true) => out::print(&text),
            (false, false) => out::print(&lines(&text)),
        };
    };
    let mark = if args.csv { BYTE_ORDER_MARK } else { "" };
    new_file::write(file, format!("{mark}{text}").as_bytes(), args.replace)
        .map_err(|error| new_file::failure("the kit", "writing the kit to", file, &error))?;
    if output.json {
        return out::print_json(&Written { file });
    }
    out::print(&format!("The kit is in {}.\n", file.display()))
}

fn title(kit: &Kit) -> String {
    let castings = count_of(u64::from(kit.castings), "casting", "castings");
    let holes = count_of(u64::from(kit.holes), "hole", "holes");
    format!("Kit for {holes} of {castings}")
}

/// The text with names that cannot control the terminal.
fn lines(text: &str) -> String {
    let lines: Vec<String> = text.lines().map(plain).collect();
    lines.join("\n") + "\n"
}

#[derive(Serialize)]
struct Written<'a> {
    file: &'a Path,
}

/// The value of `--json`.
#[derive(Serialize)]
struct Answer<'a> {
    castings: u32,
    faces: u32,
    holes: u32,
    lines: Vec<Line<'a>>,
    open: Vec<OpenHole>,
}

#[derive(Serialize)]
struct Line<'a> {
    name: String,
    #[serde(flatten)]
    line: &'a KitLine,
}

impl Answer<'_> {
    fn of(kit: &Kit, unit: Unit) -> Answer<'_> {
        let lines = kit.lines.iter().map(|line| Line {
            name: line.label(unit),
            line,
        });
        let open = kit.open.iter().map(|open| OpenHole {
            at: open.at.clone(),
            why: in_unit(&open.why, unit),
        });
        Answer {
            castings: kit.castings,
            faces: kit.faces,
            holes: kit.holes,
            lines: lines.collect(),
            open: open.collect(),
        }
    }
}
