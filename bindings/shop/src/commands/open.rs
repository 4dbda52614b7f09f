//! `holebook open`: the notebook's screens in the browser, and its shelf for paired devices.

use super::look::Look;
use crate::cli;
use crate::failure::Failure;
use crate::meet::lan::{Reach, addresses};
use crate::out;
use crate::serve::show::{Show, show};
use crate::table::paragraph;
use holebook_core::notebook::Notebook;
use serde::Serialize;
use std::io::{self, Write as _};
use std::path::Path;

/// Opens the notebook in `folder` and shows it until the program is told to stop.
///
/// # Errors
/// Where the notebook cannot be opened or the screens cannot be shown.
pub fn run(folder: &Path, asked: &cli::Open, look: Look) -> Result<(), Failure> {
    let notebook = Notebook::open(folder)?;
    let open = Show {
        notebook,
        folder,
        browser: !asked.screens.no_open,
        shelf: (!asked.no_shelf).then_some(asked.port),
    };
    show(open, |address, reach| {
        if let Some(Reach::Not(why)) = reach {
            // The screens work all the same, so it is said and nothing fails.
            let _ = writeln!(io::stderr(), "holebook: {why}");
        }
        let port = match reach {
            Some(Reach::At(port)) => Some(*port),
            _ => None,
        };
        if look.json {
            return out::json(&Answer {
                address,
                notebook: folder,
                shelf_port: port,
            });
        }
        let shelf = port.map(shelf_words).unwrap_or_default();
        out::say(&format!(
            "{}\nThe notebook is in {}.\n{shelf}",
            at(address),
            folder.display()
        ))
    })
}

fn shelf_words(port: u16) -> String {
    let first = addresses(port).into_iter().next();
    let place = match first {
        Some(address) if !address.ip().is_loopback() => format!("at {address}"),
        _ => format!("on port {port} of this computer alone, as it is on no network"),
    };
    paragraph(&format!(
        "Devices that are paired exchange with it {place}; `holebook pair` pairs one."
    ))
}

#[derive(Serialize)]
struct Answer<'a> {
    address: &'a str,
    notebook: &'a Path,
    shelf_port: Option<u16>,
}

/// The words that give the address.
pub fn at(address: &str) -> String {
    format!("Holebook is open on this computer, at\n\n    {address}\n\nStop it with Ctrl-C.")
}
