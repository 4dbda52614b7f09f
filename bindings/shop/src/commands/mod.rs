//! The program's commands, one a module.

pub mod bundle;
pub mod demo;
pub mod devices;
pub mod drill;
pub mod exchange;
pub mod identify;
pub mod insert;
pub mod list;
pub mod look;
pub mod open;
pub mod pair;
pub mod remedies;
pub mod sheet;
pub mod thread;
mod underway;
pub mod verify;
pub mod words;

use crate::failure::Failure;
use crate::place;
use holebook_core::notebook::Notebook;
use std::path::Path;

/// Opens the notebook in `folder`, and makes none where there is none.
fn existing(folder: &Path) -> Result<Notebook, Failure> {
    if !place::is_notebook(folder) {
        return Err(Failure::Said(format!(
            "there is no notebook in {}; name its folder with --notebook DIR, or make a new one with `holebook open`",
            folder.display()
        )));
    }
    Ok(Notebook::open(folder)?)
}

/// A number with its word.
fn number(number: u64, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { several })
}
