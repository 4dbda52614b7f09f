//! `holebook open`: opens the notebook in the browser, and lets paired devices sync with it.

use super::output::OutputOptions;
use crate::cli;
use crate::failure::Failure;
use crate::out;
use crate::serve::run::{ServeOptions, serve_screens};
use crate::table::paragraph;
use holebook_core::notebook::Notebook;
use holebook_sync::lan_service::{Reachability, addresses};
use serde::Serialize;
use std::io::{self, Write as _};
use std::path::Path;

/// Opens the notebook in `folder` and serves it until the program is asked to stop.
///
/// # Errors
/// If the notebook cannot be opened or the screens cannot be served.
pub fn run(folder: &Path, args: &cli::Open, output: OutputOptions) -> Result<(), Failure> {
    let notebook = Notebook::open(folder)?;
    super::warn(&notebook)?;
    let open = ServeOptions {
        notebook,
        folder,
        browser: !args.screens.no_open,
        host: args.screens.host(),
        lan_port: (!args.no_network).then_some(args.port),
    };
    serve_screens(open, |address, reachability| {
        if let Some(Reachability::Unreachable(why)) = reachability {
            // The screens still work, so this is only a warning.
            let _ = writeln!(io::stderr(), "holebook: {why}");
        }
        let port = match reachability {
            Some(Reachability::Port(port)) => Some(*port),
            _ => None,
        };
        if output.json {
            return out::print_json(&Answer {
                address,
                notebook: folder,
                sync_port: port,
            });
        }
        let network = port.map(network_text).unwrap_or_default();
        out::print(&format!(
            "{}\nThe notebook is in {}.\n{network}",
            open_text(address),
            folder.display()
        ))
    })
}

fn network_text(port: u16) -> String {
    let first = addresses(port).into_iter().next();
    let location = match first {
        Some(address) if !address.ip().is_loopback() => format!("at {address}"),
        _ => format!("on port {port}, from this computer only, since it is on no network"),
    };
    paragraph(&format!(
        "Paired devices sync with it {location}. Pair one with `holebook pair`."
    ))
}

#[derive(Serialize)]
struct Answer<'a> {
    address: &'a str,
    notebook: &'a Path,
    sync_port: Option<u16>,
}

/// The text that gives the address.
pub fn open_text(address: &str) -> String {
    format!("Holebook is open on this computer, at\n\n    {address}\n\nStop it with Ctrl-C.")
}
