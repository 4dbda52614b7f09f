//! The sample notebook's folder: told apart from every other notebook, and never written over.

use super::build;
use crate::failure::Failure;
use crate::place::{NOTEBOOK, is_notebook};
use std::fs;
use std::io;
use std::path::Path;

/// Says to people and to this program that the notebook is the sample.
const MARKER: &str = "SAMPLE.txt";
const WORDS: &str = "This folder is the notebook of Holebook's sample casting, made by `holebook demo`.\n\
                     The casting, the people and every figure in it are invented. It may be deleted.\n";

/// What a folder holds.
#[derive(Debug, PartialEq, Eq)]
enum Holds {
    /// Nothing that would be in the way.
    Nothing,
    /// The sample notebook.
    Sample,
    /// Something that is not the sample.
    Other,
}

/// Sees that the sample notebook is in `folder`: one that is there stays as it is, else it is made.
///
/// # Errors
/// Where `folder` holds something else, or cannot be written.
pub fn ready(folder: &Path) -> Result<(), Failure> {
    match look(folder).map_err(|error| Failure::file("looking into", folder, &error))? {
        Holds::Sample => Ok(()),
        Holds::Nothing => make(folder),
        Holds::Other => Err(Failure::Said(format!(
            "`{}` holds something that is not the sample notebook, and the sample is not added to it; \
             name a new or empty folder with --notebook DIR",
            folder.display()
        ))),
    }
}

fn look(folder: &Path) -> io::Result<Holds> {
    if is_notebook(folder) {
        let marked = folder.join(MARKER).try_exists()?;
        return Ok(if marked { Holds::Sample } else { Holds::Other });
    }
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Holds::Nothing),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => return Ok(Holds::Other),
        Err(error) => return Err(error),
    };
    // Parts of a sample whose making was cut short carry its marker; the same parts take their place again.
    let cut_short = folder.join(MARKER).try_exists()?;
    for entry in entries {
        let name = entry?.file_name();
        let name = name.to_string_lossy();
        let passed_over = name.starts_with('.') || name == "lost+found";
        if !(passed_over || cut_short && (name == MARKER || name == "photos")) {
            return Ok(Holds::Other);
        }
    }
    Ok(Holds::Nothing)
}

/// Makes the sample apart and moves it to its place when it is whole: the marker first, the notebook's own file last.
fn make(folder: &Path) -> Result<(), Failure> {
    let told = |error: io::Error| Failure::file("writing the sample notebook in", folder, &error);
    fs::create_dir_all(folder).map_err(told)?;
    let making = tempfile::Builder::new()
        .prefix(".making-")
        .tempdir_in(folder)
        .map_err(told)?;
    let made = making.path().join("notebook");
    build::sample(&made)?;
    fs::write(folder.join(MARKER), WORDS).map_err(told)?;
    let parts = fs::read_dir(&made).map_err(told)?;
    for part in parts.collect::<io::Result<Vec<_>>>().map_err(told)? {
        if part.file_name() != NOTEBOOK {
            move_to(&part.path(), &folder.join(part.file_name())).map_err(told)?;
        }
    }
    fs::rename(made.join(NOTEBOOK), folder.join(NOTEBOOK)).map_err(told)
}

/// Moves a file or folder; where the folder is there, what is in it goes in beside what was.
fn move_to(from: &Path, to: &Path) -> io::Result<()> {
    if !to.is_dir() {
        return fs::rename(from, to);
    }
    for part in fs::read_dir(from)? {
        let part = part?;
        move_to(&part.path(), &to.join(part.file_name()))?;
    }
    Ok(())
}
