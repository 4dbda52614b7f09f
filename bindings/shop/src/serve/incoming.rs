//! The folder where files of forms stand until the screens have taken them in.

use std::fs;
use std::io;
use std::path::Path;
use std::time::Duration;
use tempfile::TempDir;

/// Hidden, and passed over where a folder is judged to be a notebook or empty.
const PREFIX: &str = ".incoming-";
/// A folder this old was left by a run that was killed.
const LEFT_BEHIND: Duration = Duration::from_secs(24 * 60 * 60);

/// Makes this run's folder in `notebook`'s, on the same disk as the photos; it goes when the value is dropped.
///
/// # Errors
/// Where the notebook's folder cannot be written.
pub fn folder(notebook: &Path) -> io::Result<TempDir> {
    sweep(notebook);
    tempfile::Builder::new().prefix(PREFIX).tempdir_in(notebook)
}

/// Removes what killed runs left. What cannot be removed stays for the next time.
fn sweep(notebook: &Path) {
    for entry in fs::read_dir(notebook).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_string_lossy().starts_with(PREFIX);
        let age = entry
            .metadata()
            .ok()
            .and_then(|known| known.modified().ok()?.elapsed().ok());
        if is_ours && age.is_some_and(|age| age > LEFT_BEHIND) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}
