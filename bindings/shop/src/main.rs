//! Holebook on the shop computer: its command line, and its screens in the browser.

mod cli;
mod commands;
mod demo;
mod out;
mod place;

use clap::Parser as _;
use cli::{Command, CommandLine, Common};
use commands::look::Look;
use failure::Failure;
use holebook_core::notebook::{Notebook, Settings};
// Named here as if they were the program's own modules.
#[cfg(feature = "bucket")]
use holebook_shop::bucket;
use holebook_shop::{failure, meet, serve, signal, table};
use std::io::{self, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;

fn main() -> ExitCode {
    match run(&CommandLine::parse()) {
        // A reader that wanted no more (`| head`) has what it wanted.
        Ok(()) | Err(Failure::ReaderGone) => ExitCode::SUCCESS,
        Err(failure) => {
            let sentence = table::plain(&failure.to_string());
            // Nobody is left to tell where standard error is shut.
            let _ = writeln!(io::stderr(), "holebook: {sentence}");
            ExitCode::FAILURE
        }
    }
}

fn run(line: &CommandLine) -> Result<(), Failure> {
    let common = &line.common;
    let look = Look {
        json: common.json,
        unit: common.unit.map(Into::into),
    };
    let calculator = || Look {
        unit: look
            .unit
            .or_else(|| Some(settings_of_the_notebook(common)?.unit)),
        ..look
    };
    match &line.command {
        Command::Demo(screens) => commands::demo::run(&sample(common)?, !screens.no_open, look),
        Command::Open(asked) => commands::open::run(&own(common)?, asked, look),
        Command::Thread(asked) => commands::thread::run(asked, calculator()),
        Command::Identify(asked) => commands::identify::run(asked, calculator()),
        Command::Drill(asked) => {
            let drawer = settings_of_the_notebook(common).and_then(|settings| settings.drawer);
            let catalogue = commands::insert::catalogue(&own(common)?, common.notebook.is_some())?;
            commands::drill::run(asked, drawer, &catalogue, calculator())
        }
        Command::Insert(asked) => commands::insert::run(
            asked,
            &own(common)?,
            common.notebook.is_some(),
            calculator(),
        ),
        Command::Remedies(asked) => commands::remedies::run(
            asked,
            &own(common)?,
            common.notebook.is_some(),
            calculator(),
        ),
        Command::List => commands::list::run(&own(common)?, look),
        Command::Sheet(asked) => commands::sheet::run(&own(common)?, asked, look),
        Command::Exchange(asked) => commands::exchange::run(&own(common)?, asked, look),
        Command::Pair(asked) => commands::pair::run(&own(common)?, asked, look),
        Command::Devices(asked) => commands::devices::run(&own(common)?, asked, look),
        Command::Bundle(asked) => commands::bundle::run(&own(common)?, asked, look),
        Command::Verify(asked) => commands::verify::run(&own(common)?, asked, look),
    }
}

/// The notebook that was named, else the person's own.
fn own(common: &Common) -> Result<PathBuf, Failure> {
    common.notebook.clone().map_or_else(place::own, Ok)
}

/// The folder that was named, else the sample's.
fn sample(common: &Common) -> Result<PathBuf, Failure> {
    common.notebook.clone().map_or_else(place::sample, Ok)
}

/// How the notebook is set; a calculator does without where there is none, or it cannot be read.
fn settings_of_the_notebook(common: &Common) -> Option<Settings> {
    let folder = own(common).ok()?;
    let notebook = place::is_notebook(&folder).then(|| Notebook::open(&folder).ok())??;
    notebook.settings().ok()
}
