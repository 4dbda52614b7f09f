//! A program that writes readings into a notebook until it is done or killed. Each line that it
//! prints is the id of an acknowledged entry.
//!
//! `notebook-writer DIR COUNT`

use holebook_core::hole::record::{Quantity, Reading};
use holebook_core::length::Length;
use holebook_core::notebook::{HoleEntry, HoleId, Notebook, NotebookError};
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let (Some(dir), Some(Ok(count))) = (words.first(), words.get(1).map(|count| count.parse()))
    else {
        let _ = writeln!(io::stderr(), "usage: notebook-writer DIR COUNT");
        return ExitCode::from(2);
    };
    match write(Path::new(dir), count) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let _ = writeln!(io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}

fn write(dir: &Path, count: i64) -> Result<(), NotebookError> {
    let notebook = Notebook::open(dir)?;
    let hole = first_hole(&notebook)?;
    for turn in 1..=count {
        let reading = Reading {
            quantity: Quantity::Depth,
            value: Length::from_nm(turn),
            tolerance: None,
            instrument: None,
        };
        let entry = notebook.record(hole, HoleEntry::Reading(reading), &[])?;
        // One write call, so that a line is complete or missing.
        let _ = io::stdout().write_all(format!("{entry}\n").as_bytes());
    }
    Ok(())
}

fn first_hole(notebook: &Notebook) -> Result<HoleId, NotebookError> {
    let list = notebook.list()?;
    let hole = list
        .castings
        .iter()
        .flat_map(|casting| &casting.faces)
        .flat_map(|face| &face.holes)
        .next();
    hole.map(|hole| hole.id)
        .ok_or_else(|| NotebookError::Invalid("the notebook has no hole; add one".to_owned()))
}
