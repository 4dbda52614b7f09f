//! A program that is made to be killed: it works on a notebook until it dies, and each line that it prints was acknowledged.
//!
//! ```text
//! notebook-victim record DIR             readings
//! notebook-victim import DIR PHOTOS      the photos of a folder, again and again
//! notebook-victim folder DIR SHELF       a reading, then an exchange over a folder, again and again
//! notebook-victim notebook DIR OTHER     a reading, then an exchange with another notebook as the shelf, again and again
//! notebook-victim lan DIR                a reading, then an exchange with the shop computer it is paired with, again and again
//! notebook-victim serve DIR PORT         the shelf of the notebook on loopback, for devices that are paired with it
//! notebook-victim repair DIR             one repair
//! ```

use holebook_core::exchange::{self, ExchangeError, NotebookShelf, exchange_over, unwatched};
use holebook_core::hole::record::{Quantity, Reading};
use holebook_core::length::Length;
use holebook_core::mend::mend;
use holebook_core::notebook::{FaceId, HoleId, Notebook, NotebookError, Saying};
use holebook_tests::lan;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::thread;
use std::time::Duration;

/// How long a shop computer is waited for that is not there.
const PAUSE: Duration = Duration::from_millis(5);

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let done = match words[..] {
        ["record", dir] => record(Path::new(dir)),
        ["import", dir, photos] => import(Path::new(dir), Path::new(photos)),
        ["folder", dir, shelf] => over_folder(Path::new(dir), Path::new(shelf)),
        ["notebook", dir, other] => over_notebook(Path::new(dir), Path::new(other)),
        ["lan", dir] => over_lan(Path::new(dir)),
        ["serve", dir, port] => served(Path::new(dir), port),
        ["repair", dir] => repair(Path::new(dir)),
        _ => {
            let _ = writeln!(io::stderr(), "usage: notebook-victim WORK DIR [OTHER]");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let _ = writeln!(io::stderr(), "{error}");
            ExitCode::FAILURE
        }
    }
}

/// One write call, so that a line is out whole or not at all.
fn acknowledge(line: &str) {
    let _ = io::stdout().write_all(format!("{line}\n").as_bytes());
}

fn record(dir: &Path) -> Result<(), ExchangeError> {
    let notebook = Notebook::open(dir)?;
    loop {
        say(&notebook)?;
    }
}

fn say(notebook: &Notebook) -> Result<(), NotebookError> {
    let (_, hole) = first(notebook)?;
    let reading = Saying::Reading(Reading {
        quantity: Quantity::Depth,
        value: Length::from_nm(12_000_000),
        error: None,
        instrument: None,
    });
    let entry = notebook.say(hole, reading, &[])?;
    acknowledge(&format!("entry {entry}"));
    Ok(())
}

fn import(dir: &Path, photos: &Path) -> Result<(), ExchangeError> {
    let notebook = Notebook::open(dir)?;
    let (face, _) = first(&notebook)?;
    let files = fs::read_dir(photos).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let files = files.map_err(|error| NotebookError::Unfit(error.to_string()))?;
    let mut files: Vec<PathBuf> = files.into_iter().map(|file| file.path()).collect();
    files.sort();
    for file in files.iter().cycle() {
        let (photo, incoming) = notebook.add_photo(face, file, None)?;
        acknowledge(&format!("photo {photo} {}", incoming.hash));
    }
    Ok(())
}

fn over_folder(dir: &Path, shelf: &Path) -> Result<(), ExchangeError> {
    let notebook = Notebook::open(dir)?;
    loop {
        say(&notebook)?;
        exchange::exchange(&notebook, shelf)?;
        acknowledge("exchange");
    }
}

fn over_notebook(dir: &Path, other: &Path) -> Result<(), ExchangeError> {
    let (notebook, other) = (Notebook::open(dir)?, Notebook::open(other)?);
    loop {
        say(&notebook)?;
        exchange_over(&notebook, &NotebookShelf(&other), &unwatched)?;
        acknowledge("exchange");
    }
}

/// A shop computer that is not reached is one that is killed itself; it will be back.
fn over_lan(dir: &Path) -> Result<(), ExchangeError> {
    let notebook = Notebook::open(dir)?;
    loop {
        say(&notebook)?;
        while let Err(why) = lan::exchange(&notebook) {
            if !matches!(why, ExchangeError::Unreachable { .. }) {
                return Err(why);
            }
            thread::sleep(PAUSE);
        }
        acknowledge("exchange");
    }
}

fn served(dir: &Path, port: &str) -> Result<(), ExchangeError> {
    let no_port = |_| NotebookError::Unfit(format!("'{port}' is no port; give its number"));
    lan::serve(dir, port.parse().map_err(no_port)?);
    Ok(())
}

fn repair(dir: &Path) -> Result<(), ExchangeError> {
    mend(dir)?;
    acknowledge("repair");
    Ok(())
}

fn first(notebook: &Notebook) -> Result<(FaceId, HoleId), NotebookError> {
    let list = notebook.list()?;
    let mut faces = list.castings.iter().flat_map(|casting| &casting.faces);
    let found = faces.find_map(|face| Some((face.id, face.holes.first()?.id)));
    found.ok_or_else(|| NotebookError::Unfit("the notebook has no hole; add one".to_owned()))
}
