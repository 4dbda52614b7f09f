//! Moves files in an order that leaves a notebook in the folder at every moment.

use crate::notebook::{ASIDE, CUT_LOG_PREFIX, FILE, aside_path, side_file};
use crate::photo::fsync_dir;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// The new notebook, in a repair's work folder.
pub(super) const NEW: &str = "new";

/// Moves the database and its log aside, and puts a new one in its place. The old log goes first,
/// since SQLite would use it with the new database.
pub(super) fn put(dir: &Path, new: &Path) -> io::Result<()> {
    if fs::metadata(side_file(new, "-wal")).is_ok_and(|log| log.len() > 0) {
        return Err(io::Error::other("the new file is not complete yet"));
    }
    File::open(new)?.sync_all()?;
    let old = dir.join(FILE);
    let aside = aside_path(dir, FILE)?;
    for ending in ["-wal", "-shm"] {
        let side = side_file(&old, ending);
        if side.exists() {
            fs::rename(side, side_file(&aside, ending))?;
        }
    }
    if old.exists() {
        // Some file systems of memory sticks have no hard links.
        fs::hard_link(&old, &aside).or_else(|_| {
            fs::copy(&old, &aside)?;
            File::open(&aside)?.sync_all()
        })?;
    }
    fsync_dir(&dir.join(ASIDE))?;
    fs::rename(new, old)?;
    fsync_dir(dir)
}

/// Clears the work folder of an earlier repair. A copy of a cut log is moved aside.
pub(super) fn clear(dir: &Path, work: &Path) -> io::Result<()> {
    let name = work.file_name().unwrap_or_default().to_string_lossy();
    if !name.starts_with(CUT_LOG_PREFIX) {
        return fs::remove_dir_all(work);
    }
    fs::rename(work, aside_path(dir, "log")?)?;
    fsync_dir(&dir.join(ASIDE))
}

/// Returns the files in the folder `aside`, as paths in the notebook's folder.
pub(super) fn list_aside(dir: &Path) -> io::Result<BTreeSet<PathBuf>> {
    let entries = match fs::read_dir(dir.join(ASIDE)) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(BTreeSet::new()),
        entries => entries?,
    };
    entries
        .map(|entry| Ok(Path::new(ASIDE).join(entry?.file_name())))
        .collect()
}
