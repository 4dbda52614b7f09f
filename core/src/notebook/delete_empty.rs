//! Deletes a notebook that was made for nothing.

use super::error::NotebookError;
use super::lock::{self, NotebookLock};
use super::lost_files::has_photos;
use super::paths::{FILE, PHOTOS, side_file};
use super::{Notebook, journal};
use std::fs;
use std::io;
use std::path::Path;

impl Notebook {
    /// Deletes the notebook in the folder `dir` if it has no entries and no photos, and the folder if
    /// nothing else is in it. Returns whether it did.
    ///
    /// # Errors
    /// [`NotebookError::OpenElsewhere`] if a program has it open; also if it cannot be read or
    /// deleted.
    pub fn delete_if_empty(dir: &Path) -> Result<bool, NotebookError> {
        let failed = |error: io::Error| NotebookError::from_io(&error, dir);
        let lock = NotebookLock::exclusive(dir)?;
        let notebook = Self::open_exclusive(dir, lock)?;
        let is_empty = notebook.read(journal::heads)?.is_empty();
        if !is_empty || has_photos(dir).map_err(failed)? {
            return Ok(false);
        }
        drop(notebook);
        let file = dir.join(FILE);
        for file in ["-wal", "-shm", ""].map(|ending| side_file(&file, ending)) {
            delete(&file).map_err(failed)?;
        }
        delete(&dir.join(lock::FILE)).map_err(failed)?;
        // Folders with something else in them stay.
        let photos = dir.join(PHOTOS);
        for folder in [&photos.join("view"), &photos.join("thumb"), &photos, dir] {
            let _ = fs::remove_dir(folder);
        }
        Ok(true)
    }
}

fn delete(file: &Path) -> io::Result<()> {
    match fs::remove_file(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        deleted => deleted,
    }
}
