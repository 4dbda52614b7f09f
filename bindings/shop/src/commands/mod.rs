//! The program's commands, one module each.

pub mod bundle;
pub mod demo;
pub mod devices;
pub mod drill;
pub mod export;
pub mod identify;
pub mod insert;
mod json_file;
pub mod kit;
pub mod list;
mod new_file;
pub mod open;
mod order;
pub mod output;
pub mod pair;
pub mod phrases;
pub mod place;
mod progress;
pub mod remedies;
mod scope;
pub mod sheet;
pub mod sync;
pub mod thread;
pub mod verify;
mod wear;

use crate::failure::Failure;
use crate::folders;
use holebook_core::notebook::Notebook;
use std::io::{self, Write as _};
use std::path::Path;

/// Prints what a person should know about the notebook to standard error.
fn warn(notebook: &Notebook) -> Result<(), Failure> {
    for warning in notebook.warnings()? {
        // If standard error is closed, the message is lost.
        let _ = writeln!(io::stderr(), "holebook: {warning}");
    }
    Ok(())
}

/// Opens the notebook in `folder` without creating one, and prints its warnings.
fn open_existing(folder: &Path) -> Result<Notebook, Failure> {
    if !folders::is_notebook(folder) {
        return Err(Failure::Message(format!(
            "there is no notebook in {}; name its folder with --notebook DIR, or make a new one with `holebook open`",
            folder.display()
        )));
    }
    let notebook = Notebook::open(folder)?;
    warn(&notebook)?;
    Ok(notebook)
}

/// Rejects a blank name of something, which names nothing; `hint` says where its names are.
fn name_given(of: &str, name: &str, hint: &str) -> Result<(), Failure> {
    match name.trim().is_empty() {
        true => Err(Failure::Message(format!("the {of} is empty; {hint}"))),
        false => Ok(()),
    }
}

/// Formats a count with its noun: `1 entry`, `3 entries`.
fn count_of(number: u64, one: &str, several: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { several })
}
