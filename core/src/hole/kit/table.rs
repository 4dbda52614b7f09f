//! The kit as CSV (RFC 4180), for a spreadsheet or a store's order form.

use super::{Kit, KitLine, OpenHole, hole_numbers};
use crate::csv_text::not_a_formula;
use crate::length::{Unit, in_unit};
use csv::{Terminator, WriterBuilder};

/// Names of the columns.
const COLUMNS: [&str; 8] = [
    "group",
    "item",
    "needed",
    "spares",
    "on hand",
    "buy",
    "holes",
    "why spares (judgment)",
];

/// The group of a row for a hole that the kit does not cover.
const OPEN: &str = "open";

/// Returns the kit as CSV in UTF-8, one row for each line, and one for each open hole. Lengths are in
/// the reader's unit.
///
/// A text that a spreadsheet would take for a formula begins with an apostrophe.
///
/// # Errors
/// If a row cannot be written, which memory alone could cause.
pub fn csv(kit: &Kit, unit: Unit) -> Result<String, csv::Error> {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    writer.write_record(COLUMNS)?;
    for line in &kit.lines {
        writer.write_record(
            of_line(kit, line, unit)
                .iter()
                .map(|cell| not_a_formula(cell)),
        )?;
    }
    for open in &kit.open {
        writer.write_record(of_open(open, unit).iter().map(|cell| not_a_formula(cell)))?;
    }
    let bytes = writer.into_inner().map_err(|error| error.into_error())?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn of_line(kit: &Kit, line: &KitLine, unit: Unit) -> [String; 8] {
    [
        line.group.word().to_owned(),
        line.label(unit),
        line.needed.to_string(),
        line.spares.to_string(),
        line.on_hand
            .map_or(String::new(), |count| count.to_string()),
        line.buy.to_string(),
        hole_numbers(&line.holes, kit),
        line.judgment.join(" "),
    ]
}

fn of_open(open: &OpenHole, unit: Unit) -> [String; 8] {
    let hole = &open.at;
    let mut cells = [const { String::new() }; 8];
    cells[0] = OPEN.to_owned();
    cells[1] = in_unit(&open.why, unit);
    cells[6] = format!("{}, {}: {}", hole.casting_name, hole.face_name, hole.number);
    cells
}
