//! `holebook exchange`: this notebook and others brought together over a shelf.

use super::look::Look;
use super::number;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::table::item;
use holebook_core::exchange::{Report, exchange};
use holebook_core::notebook::Notebook;
use std::path::Path;

/// Exchanges the notebook in `folder` with a shelf; a new notebook is made where there is none, to take what the shelf has.
///
/// # Errors
/// Where the notebook or the shelf cannot be reached, read or written, or not all of the shelf could be taken.
pub fn run(folder: &Path, asked: &cli::Exchange, look: Look) -> Result<(), Failure> {
    let notebook = Notebook::open(folder)?;
    let report = exchange(&notebook, &asked.folder)?;
    if look.json {
        out::json(&report)?;
    } else {
        out::say(&words(&report))?;
    }
    match report.problems.len() {
        0 => Ok(()),
        problems => Err(Failure::Said(format!(
            "{} on the shelf {} could not be taken, and all else was; exchange again from the devices that left them",
            number(problems as u64, "file", "files"),
            asked.folder.display()
        ))),
    }
}

fn words(report: &Report) -> String {
    let count = |entries: usize, photos: usize| {
        let entries = number(entries as u64, "entry", "entries");
        format!("{entries} and {}", number(photos as u64, "photo", "photos"))
    };
    let mut text = format!(
        "Taken from the shelf: {}.\nLeft on the shelf: {}.\n",
        count(report.entries_taken, report.photos_taken),
        count(report.entries_left, report.photos_left)
    );
    if report.made_shelf {
        text.push_str("The shelf was new.\n");
    }
    if !report.photos_missing.is_empty() {
        let missing = number(report.photos_missing.len() as u64, "photo is", "photos are");
        text.push_str(&format!(
            "{missing} still with another device; exchange there, then here again.\n"
        ));
    }
    if let Some(device) = report.went_on_as {
        text.push_str(&item(&format!(
            "This notebook was copied or restored from a copy; nothing is lost, and it goes on as device {device}."
        )));
    }
    for problem in &report.problems {
        text.push_str(&item(&problem.to_string()));
    }
    text
}
