//! `holebook open`: the notebook's screens in the browser.

use super::look::Look;
use crate::failure::Failure;
use crate::out;
use crate::serve::show::show;
use holebook_core::notebook::Notebook;
use serde::Serialize;
use std::path::Path;

/// Opens the notebook in `folder` and shows it until the program is told to stop.
///
/// # Errors
/// Where the notebook cannot be opened or the screens cannot be shown.
pub fn run(folder: &Path, browser: bool, look: Look) -> Result<(), Failure> {
    let notebook = Notebook::open(folder)?;
    show(notebook, folder, browser, |address| {
        if look.json {
            return out::json(&Answer {
                address,
                notebook: folder,
            });
        }
        out::say(&format!(
            "{}\nThe notebook is in {}.\n",
            at(address),
            folder.display()
        ))
    })
}

#[derive(Serialize)]
struct Answer<'a> {
    address: &'a str,
    notebook: &'a Path,
}

/// The words that give the address.
pub fn at(address: &str) -> String {
    format!("Holebook is open on this computer, at\n\n    {address}\n\nStop it with Ctrl-C.")
}
