//! The folder for uploaded files, until the screens have imported them.

use std::fs;
use std::io;
use std::path::Path;
use std::time::Duration;
use tempfile::TempDir;

/// Hidden, and ignored when a folder is checked for being a notebook or empty.
const PREFIX: &str = ".incoming-";
/// A folder this old is left over from a run that was killed.
const STALE_AFTER: Duration = Duration::from_secs(24 * 60 * 60);

/// Creates the folder in the notebook's own, so that uploads are on the same disk as the photos.
/// Dropping the value deletes it.
///
/// # Errors
/// If the notebook's folder cannot be written.
pub fn create_folder(notebook: &Path) -> io::Result<TempDir> {
    remove_stale(notebook);
    tempfile::Builder::new().prefix(PREFIX).tempdir_in(notebook)
}

/// Removes folders left over from killed runs. One that cannot be removed is tried again next time.
fn remove_stale(notebook: &Path) {
    for entry in fs::read_dir(notebook).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_string_lossy().starts_with(PREFIX);
        let age = entry
            .metadata()
            .ok()
            .and_then(|known| known.modified().ok()?.elapsed().ok());
        if is_ours && age.is_some_and(|age| age > STALE_AFTER) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}
