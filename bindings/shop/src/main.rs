//! Holebook on the shop computer: its command line, and its screens in the browser.

mod cli;
mod commands;
mod failure;
mod out;
mod serve;
mod table;

use clap::Parser as _;
use cli::{Command, CommandLine};
use commands::look::Look;
use failure::Failure;
use std::io::{self, Write as _};
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
    let look = Look {
        json: line.common.json,
        unit: line.common.unit.map(Into::into),
    };
    match &line.command {
        Command::Thread(asked) => commands::thread::run(asked, look),
        Command::Insert(asked) => commands::insert::run(asked, look),
    }
}
