//! The sample notebook's folder, marked so that no other notebook is ever overwritten.

use super::build;
use crate::failure::Failure;
use crate::folders::NOTEBOOK;
use holebook_core::notebook::SAMPLE_MARKER;
use std::fs;
use std::io;
use std::path::Path;

const MARKER_TEXT: &str = "This folder is the notebook of Holebook's sample casting, made by `holebook demo`.\n\
                     The casting, the people, and all figures in it are invented. You may delete it.\n";

/// What a folder holds.
#[derive(Debug, PartialEq, Eq)]
enum FolderContent {
    /// Nothing of importance.
    Empty,
    /// The sample notebook.
    Sample,
    /// Something that is not the sample.
    Other,
}

/// Creates the sample notebook in `folder` unless it is already there.
///
/// # Errors
/// If `folder` holds something else or cannot be written.
pub fn prepare(folder: &Path) -> Result<(), Failure> {
    match inspect(folder).map_err(|error| Failure::file("reading the folder", folder, &error))? {
        FolderContent::Sample => Ok(()),
        FolderContent::Empty => create(folder),
        FolderContent::Other => Err(Failure::Message(format!(
            "`{}` holds something other than the sample notebook, so the sample was not added; \
             name a new or empty folder with --notebook DIR",
            folder.display()
        ))),
    }
}

fn inspect(folder: &Path) -> io::Result<FolderContent> {
    if folder.join(NOTEBOOK).is_file() {
        let marked = folder.join(SAMPLE_MARKER).try_exists()?;
        return Ok(if marked {
            FolderContent::Sample
        } else {
            FolderContent::Other
        });
    }
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(FolderContent::Empty),
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Ok(FolderContent::Other);
        }
        Err(error) => return Err(error),
    };
    // An interrupted creation leaves the marker and some parts, which are replaced.
    let interrupted = folder.join(SAMPLE_MARKER).try_exists()?;
    for entry in entries {
        let name = entry?.file_name();
        let name = name.to_string_lossy();
        let ignored = name.starts_with('.') || name == "lost+found";
        if !(ignored || interrupted && (name == SAMPLE_MARKER || name == "photos")) {
            return Ok(FolderContent::Other);
        }
    }
    Ok(FolderContent::Empty)
}

/// Creates the sample in a temporary folder and moves it into place: marker first, database last.
fn create(folder: &Path) -> Result<(), Failure> {
    let failed = |error: io::Error| Failure::file("writing the sample notebook in", folder, &error);
    fs::create_dir_all(folder).map_err(failed)?;
    let making = tempfile::Builder::new()
        .prefix(".making-")
        .tempdir_in(folder)
        .map_err(failed)?;
    let made = making.path().join("notebook");
    build::build_sample(&made)?;
    fs::write(folder.join(SAMPLE_MARKER), MARKER_TEXT).map_err(failed)?;
    let parts = fs::read_dir(&made).map_err(failed)?;
    for part in parts.collect::<io::Result<Vec<_>>>().map_err(failed)? {
        if part.file_name() != NOTEBOOK {
            move_to(&part.path(), &folder.join(part.file_name())).map_err(failed)?;
        }
    }
    fs::rename(made.join(NOTEBOOK), folder.join(NOTEBOOK)).map_err(failed)
}

/// Moves a file or folder; merges into an existing folder.
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
