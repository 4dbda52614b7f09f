//! Checks a notebook's folder before anything in it is opened.

use super::error::NotebookError;
use super::lost_files::{check_nothing_is_lost, is_not_empty, lost};
use super::paths::{ASIDE, FILE, PAIRINGS, PHOTOS, side_file};
use super::private_files::create_folder;
use super::{header, lock};
use std::fs;
use std::io;
use std::path::Path;

/// Checks that the folder holds a notebook, or nothing but what may be there before one is made.
pub(crate) fn check_folder(dir: &Path) -> Result<(), NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    let file = dir.join(FILE);
    if is_not_empty(&file).map_err(failed)? {
        return header::check(dir);
    }
    if is_not_empty(&side_file(&file, "-wal")).map_err(failed)? {
        // SQLite would take the log for a leftover and delete it.
        return Err(lost(dir, "its file is gone or empty, and its log is not"));
    }
    // What was a notebook is not refused for a file that somebody added.
    if file.exists() || dir.join(lock::FILE).exists() {
        check_nothing_is_lost(dir)?;
    }
    prepare_folder(dir)?;
    check_nothing_is_lost(dir)
}

/// Creates the folder, or checks that it holds nothing foreign.
fn prepare_folder(dir: &Path) -> Result<(), NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    let foreign = |why: String| NotebookError::NotANotebook {
        path: dir.to_owned(),
        why,
    };
    if dir.exists() && !dir.is_dir() {
        return Err(foreign("it is a file".to_owned()));
    }
    create_folder(dir).map_err(failed)?;
    for found in fs::read_dir(dir).map_err(failed)? {
        let name = found.map_err(failed)?.file_name();
        let name = name.to_string_lossy();
        let ours = [FILE, PAIRINGS].iter().any(|file| name.starts_with(file));
        if !(name.starts_with('.') || [PHOTOS, ASIDE].contains(&&*name) || ours) {
            let name = name.escape_debug();
            return Err(foreign(format!(
                "the folder holds other files, such as {name}, and no notebook"
            )));
        }
    }
    Ok(())
}

/// Returns whether a folder is a notebook's, or lies in one. What a repair moved aside does not
/// count.
pub(crate) fn is_in_notebook(dir: &Path) -> bool {
    // One that is yet to be made has no canonical path.
    let found = fs::canonicalize(dir).or_else(|_| std::path::absolute(dir));
    let dir = found.unwrap_or_else(|_| dir.to_owned());
    let is_notebook = |above: &Path| {
        [FILE, lock::FILE]
            .iter()
            .any(|file| above.join(file).exists())
    };
    let is_aside = |above: &Path| {
        dir.strip_prefix(above)
            .is_ok_and(|dir| dir.starts_with(ASIDE))
    };
    dir.ancestors()
        .any(|above| is_notebook(above) && !is_aside(above))
}
