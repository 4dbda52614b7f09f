//! Notices that a notebook's database is gone while other files of it are here.

use super::error::NotebookError;
use super::paths::{FILE, PAIRINGS, PHOTOS};
use crate::photo::PhotoHash;
use std::fs;
use std::io;
use std::path::Path;

/// Fails if an empty database lies beside what only a notebook with entries has: it was emptied, or
/// its log is gone.
pub(crate) fn check_nothing_is_lost(dir: &Path) -> Result<(), NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    if has_photos(dir).map_err(failed)? {
        return Err(lost(
            dir,
            "its database is gone or empty, and its photos are here",
        ));
    }
    if dir.join(FILE).exists() && is_not_empty(&dir.join(PAIRINGS)).map_err(failed)? {
        return Err(lost(
            dir,
            "its database is empty, and its pairings are here",
        ));
    }
    Ok(())
}

/// Returns the error that the notebook is damaged.
pub(crate) fn lost(dir: &Path, detail: &str) -> NotebookError {
    NotebookError::Damaged {
        dir: dir.to_owned(),
        detail: detail.to_owned(),
    }
}

/// Returns whether there are photos in the notebook's folder.
pub(crate) fn has_photos(dir: &Path) -> io::Result<bool> {
    let entries = match fs::read_dir(dir.join(PHOTOS)) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(false),
        entries => entries?,
    };
    for entry in entries {
        if entry?
            .file_name()
            .to_string_lossy()
            .parse::<PhotoHash>()
            .is_ok()
        {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Returns whether there is a file with content.
pub(crate) fn is_not_empty(file: &Path) -> io::Result<bool> {
    match fs::metadata(file) {
        Ok(found) => Ok(found.len() > 0),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error),
    }
}
