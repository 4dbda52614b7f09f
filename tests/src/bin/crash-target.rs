//! A program for tests to kill: it works on a notebook until it dies, and prints a line for each
//! acknowledged change.
//!
//! ```text
//! crash-target record DIR             records readings
//! crash-target import DIR PHOTOS      imports the photos of a folder, repeatedly
//! crash-target folder DIR REMOTE      records a reading and syncs with a folder, repeatedly
//! crash-target notebook DIR OTHER     records a reading and syncs with another notebook, repeatedly
//! crash-target lan DIR                records a reading and syncs with its shop computer, repeatedly
//! crash-target serve DIR PORT         serves the notebook on loopback to its paired devices
//! crash-target repair DIR             repairs the notebook once
//! crash-target checkpoint DIR         records readings, with a checkpoint after each
//! crash-target stop DIR COUNT         opens the notebook, records a reading, and closes it: COUNT
//!                                     times
//! crash-target look DIR               lists the notebook once
//! ```

use holebook_core::hole::record::{Quantity, Reading};
use holebook_core::length::Length;
use holebook_core::notebook::{FaceId, HoleEntry, HoleId, Notebook, NotebookError};
use holebook_core::sync::{self, NotebookRemote, SyncError, ignore_progress, sync_with};
use holebook_test_support::lan;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::thread;
use std::time::Duration;

/// How long to wait before trying again to reach a shop computer.
const PAUSE: Duration = Duration::from_millis(5);

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let done = match words[..] {
        ["record", dir] => record(Path::new(dir)),
        ["import", dir, photos] => import(Path::new(dir), Path::new(photos)),
        ["folder", dir, remote] => sync_folder(Path::new(dir), Path::new(remote)),
        ["notebook", dir, other] => sync_notebook(Path::new(dir), Path::new(other)),
        ["lan", dir] => sync_lan(Path::new(dir)),
        ["serve", dir, port] => serve(Path::new(dir), port),
        ["repair", dir] => repair(Path::new(dir)),
        ["checkpoint", dir] => record_with_checkpoints(Path::new(dir)),
        ["stop", dir, count] => open_and_close(Path::new(dir), count),
        ["look", dir] => look(Path::new(dir)),
        _ => {
            let _ = writeln!(io::stderr(), "usage: crash-target TASK DIR [OTHER]");
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

/// Prints a line in one write call, so that it is complete or missing.
fn acknowledge(line: &str) {
    let _ = io::stdout().write_all(format!("{line}\n").as_bytes());
}

fn record(dir: &Path) -> Result<(), SyncError> {
    let notebook = Notebook::open(dir)?;
    loop {
        record_reading(&notebook)?;
    }
}

fn record_reading(notebook: &Notebook) -> Result<(), NotebookError> {
    let (_, hole) = first(notebook)?;
    let reading = HoleEntry::Reading(Reading {
        quantity: Quantity::Depth,
        value: Length::from_nm(12_000_000),
        tolerance: None,
        instrument: None,
    });
    let entry = notebook.record(hole, reading, &[])?;
    acknowledge(&format!("entry {entry}"));
    Ok(())
}

fn import(dir: &Path, photos: &Path) -> Result<(), SyncError> {
    let notebook = Notebook::open(dir)?;
    let (face, _) = first(&notebook)?;
    let files = fs::read_dir(photos).and_then(Iterator::collect::<io::Result<Vec<_>>>);
    let files = files.map_err(|error| NotebookError::Invalid(error.to_string()))?;
    let mut files: Vec<PathBuf> = files.into_iter().map(|file| file.path()).collect();
    files.sort();
    for file in files.iter().cycle() {
        let (photo, imported) = notebook.add_photo(face, file, None)?;
        acknowledge(&format!("photo {photo} {}", imported.hash));
    }
    Ok(())
}

fn sync_folder(dir: &Path, remote: &Path) -> Result<(), SyncError> {
    let notebook = Notebook::open(dir)?;
    loop {
        record_reading(&notebook)?;
        sync::sync_folder(&notebook, remote)?;
        acknowledge("sync");
    }
}

fn sync_notebook(dir: &Path, other: &Path) -> Result<(), SyncError> {
    let (notebook, other) = (Notebook::open(dir)?, Notebook::open(other)?);
    loop {
        record_reading(&notebook)?;
        sync_with(&notebook, &NotebookRemote(&other), &ignore_progress)?;
        acknowledge("sync");
    }
}

/// If the shop computer cannot be reached, it was killed and will be back.
fn sync_lan(dir: &Path) -> Result<(), SyncError> {
    let notebook = Notebook::open(dir)?;
    loop {
        record_reading(&notebook)?;
        while let Err(why) = lan::sync(&notebook) {
            if !matches!(why, SyncError::Unreachable { .. }) {
                return Err(why);
            }
            thread::sleep(PAUSE);
        }
        acknowledge("sync");
    }
}

fn serve(dir: &Path, port: &str) -> Result<(), SyncError> {
    let no_port = |_| NotebookError::Invalid(format!("'{port}' is not a port; enter its number"));
    lan::serve(dir, port.parse().map_err(no_port)?);
    Ok(())
}

fn repair(dir: &Path) -> Result<(), SyncError> {
    holebook_core::repair::repair(dir)?;
    acknowledge("repair");
    Ok(())
}

/// The checkpoints are those of SQLite, on a connection of their own.
fn record_with_checkpoints(dir: &Path) -> Result<(), SyncError> {
    let notebook = Notebook::open(dir)?;
    let failed = |error: rusqlite::Error| NotebookError::Invalid(error.to_string());
    let conn = rusqlite::Connection::open(dir.join("notebook.sqlite")).map_err(failed)?;
    for how in ["TRUNCATE", "PASSIVE", "RESTART"].iter().cycle() {
        record_reading(&notebook)?;
        // A busy one is tried again after the next reading.
        let _ = conn.execute_batch(&format!("PRAGMA wal_checkpoint({how})"));
    }
    Ok(())
}

fn open_and_close(dir: &Path, count: &str) -> Result<(), SyncError> {
    let no_number = |_| NotebookError::Invalid(format!("'{count}' is not a number"));
    for _ in 0..count.parse::<u32>().map_err(no_number)? {
        let notebook = Notebook::open(dir)?;
        for warning in notebook.warnings()? {
            let _ = writeln!(io::stderr(), "{warning}");
        }
        record_reading(&notebook)?;
    }
    Ok(())
}

fn look(dir: &Path) -> Result<(), SyncError> {
    Notebook::open(dir)?.list()?;
    Ok(())
}

fn first(notebook: &Notebook) -> Result<(FaceId, HoleId), NotebookError> {
    let list = notebook.list()?;
    let mut faces = list.castings.iter().flat_map(|casting| &casting.faces);
    let found = faces.find_map(|face| Some((face.id, face.holes.first()?.id)));
    found.ok_or_else(|| NotebookError::Invalid("the notebook has no hole; add one".to_owned()))
}
