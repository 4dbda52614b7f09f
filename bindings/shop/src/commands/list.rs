//! `holebook list`: lists the castings, faces, and holes in the notebook, or the order of their work.

use super::output::OutputOptions;
use super::{count_of, order};
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::{Side, Table, plain};
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{HoleListed, List};
use std::path::Path;

/// Prints the contents of the notebook in `folder`, or the order of the work.
///
/// # Errors
/// If there is no notebook, or it cannot be read.
pub fn run(folder: &Path, args: &cli::List, output: OutputOptions) -> Result<(), Failure> {
    let notebook = super::open_existing(folder)?;
    if let Some(hard) = args.order {
        return order::run(&notebook, args, hard.into(), output);
    }
    let list = notebook.list()?;
    if output.json {
        return out::print_json(&list);
    }
    let unit = output.unit_for_notebook(&notebook)?;
    out::print(&list_text(&list, unit))
}

/// Formats the stock that is left to remove from a face.
pub fn stock_text(left: Option<Length>, unit: Unit) -> String {
    let left = left.map_or_else(|| "not set".into(), |left| left.show(unit));
    format!("left to remove: {left}")
}

fn list_text(list: &List, unit: Unit) -> String {
    if list.castings.is_empty() {
        return "The notebook is empty. Add the first casting in the browser with `holebook open`.\n".into();
    }
    let mut text = String::new();
    for casting in &list.castings {
        text.push_str(&format!("{}\n", plain(&casting.name)));
        for face in &casting.faces {
            let holes = count_of(face.holes.len() as u64, "hole", "holes");
            text.push_str(&format!(
                "\n  {}: {holes}, {}\n  id {}\n\n",
                plain(&face.name),
                stock_text(face.left_to_remove, unit),
                face.id
            ));
            text.push_str(&holes_table(&face.holes).to_string());
        }
        text.push('\n');
    }
    text
}

fn holes_table(holes: &[HoleListed]) -> Table {
    let mut table = Table::new(&[
        ("  hole", Side::Right),
        ("thread", Side::Left),
        ("stage", Side::Left),
        ("remedy", Side::Left),
    ]);
    for hole in holes {
        table.row([
            hole.number.to_string(),
            hole.thread
                .map(|thread| thread.designation())
                .unwrap_or_default(),
            stage_label(hole),
            hole.remedy
                .map(|remedy| remedy.to_string())
                .unwrap_or_default(),
        ]);
    }
    table
}

/// The stage, and whether there is a conflict or an open problem.
pub fn stage_label(hole: &HoleListed) -> String {
    let mut text = hole.stage.label_for(hole.remedy).to_owned();
    if hole.conflict {
        text.push_str(", conflict");
    }
    if hole.problems > 0 {
        text.push_str(", open problem");
    }
    text
}
