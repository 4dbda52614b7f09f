//! Holebook on the shop computer: its command line, and its screens in the browser.

mod cli;
mod commands;
mod demo;
mod folders;
mod out;

use clap::Parser as _;
use cli::{Command, CommandLine, Common};
use commands::output::OutputOptions;
use failure::Failure;
use holebook_core::length::{Unit, in_unit};
use holebook_core::notebook::{Notebook, Settings};
use holebook_shop::{failure, new_remotes, serve, signal, table};
use std::io::{self, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;
use tracing_subscriber::filter::Targets;
use tracing_subscriber::prelude::*;

fn main() -> ExitCode {
    start_logging();
    let line = CommandLine::parse();
    match run(&line) {
        // A reader that stopped early (`| head`) is not an error.
        Ok(()) | Err(Failure::ReaderGone) => ExitCode::SUCCESS,
        Err(failure) => {
            let sentence = table::plain(&error_sentence(&failure, &line.common));
            // If standard error is closed, the message is lost.
            let _ = writeln!(io::stderr(), "holebook: {sentence}");
            ExitCode::FAILURE
        }
    }
}

/// Formats an error with its lengths in the reader's unit.
fn error_sentence(failure: &Failure, common: &Common) -> String {
    let sentence = failure.to_string();
    let in_inches = in_unit(&sentence, Unit::Inch);
    if in_inches == sentence {
        return sentence;
    }
    let unit = common.unit.map(Into::into);
    let unit = unit.or_else(|| Some(notebook_settings(common)?.unit));
    in_unit(&sentence, unit.unwrap_or(Unit::Inch))
}

/// Logs to standard error what `HOLEBOOK_LOG` asks for: a level, or a filter such as
/// `holebook_core::sync=trace`. Off without it, and if it cannot be parsed.
fn start_logging() {
    let filter = std::env::var("HOLEBOOK_LOG").ok();
    if let Some(filter) = filter.and_then(|filter| filter.parse::<Targets>().ok()) {
        let lines = tracing_subscriber::fmt::layer().with_writer(io::stderr);
        tracing_subscriber::registry()
            .with(lines.with_filter(filter))
            .init();
    }
}

fn run(line: &CommandLine) -> Result<(), Failure> {
    let common = &line.common;
    let output = OutputOptions {
        json: common.json,
        unit: common.unit.map(Into::into),
    };
    let calculator = || OutputOptions {
        unit: output
            .unit
            .or_else(|| Some(notebook_settings(common)?.unit)),
        ..output
    };
    match &line.command {
        Command::Demo(screens) => commands::demo::run(&sample(common)?, screens, output),
        Command::Open(args) => commands::open::run(&own(common)?, args, output),
        Command::Thread(args) => commands::thread::run(args, calculator()),
        Command::Identify(args) => commands::identify::run(args, calculator()),
        Command::Drill(args) => {
            let kinds = notebook_settings(common).and_then(|settings| settings.drill_kinds);
            let catalog = commands::insert::catalog(&own(common)?, common.notebook.is_some())?;
            commands::drill::run(args, kinds, &catalog, calculator())
        }
        Command::Insert(args) => {
            commands::insert::run(args, &own(common)?, common.notebook.is_some(), calculator())
        }
        Command::Remedies(args) => {
            commands::remedies::run(args, &own(common)?, common.notebook.is_some(), calculator())
        }
        Command::Place(args) => commands::place::run(args, calculator()),
        Command::List(args) => commands::list::run(&own(common)?, args, output),
        Command::Kit(args) => commands::kit::run(&own(common)?, args, output),
        Command::Sheet(args) => commands::sheet::run(&own(common)?, args, output),
        Command::Sync(args) => commands::sync::run(&own(common)?, args, output),
        Command::Pair(args) => commands::pair::run(&own(common)?, args, output),
        Command::Devices(args) => commands::devices::run(&own(common)?, args, output),
        Command::Bundle(args) => commands::bundle::run(&own(common)?, args, output),
        Command::Export(args) => commands::export::run(&own(common)?, args, output),
        Command::Verify(args) => commands::verify::run(&own(common)?, args, output),
    }
}

/// The named notebook, else your own.
fn own(common: &Common) -> Result<PathBuf, Failure> {
    common.notebook.clone().map_or_else(folders::own, Ok)
}

/// The named folder, else the sample's.
fn sample(common: &Common) -> Result<PathBuf, Failure> {
    common.notebook.clone().map_or_else(folders::sample, Ok)
}

/// The notebook's settings; calculators work without them.
fn notebook_settings(common: &Common) -> Option<Settings> {
    let folder = own(common).ok()?;
    let notebook = folders::is_notebook(&folder).then(|| Notebook::open(&folder).ok())??;
    notebook.settings().ok()
}
