//! Keeps a copy of a database whose log was cut by damage. SQLite ignores everything after the
//! damaged frame, and the next write or the next stop deletes it.

use super::paths::{FILE, side_file};
use super::wal;
use crate::photo::fsync_dir;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// The copied database's folder, in the folder of a copy or of a repair.
pub(crate) const FOUND: &str = "found";
/// The start of the names of copies' folders. To a repair they are work of an earlier one, so it
/// finds the entries in them.
pub(crate) const CUT_LOG_PREFIX: &str = ".repair-log-";
/// The page size of every notebook so far.
const USUAL_PAGE_SIZE: usize = 4096;

/// Copies the database if its log is cut and no copy of it is there yet. No program may have it
/// open.
pub(crate) fn keep_if_cut(dir: &Path) -> io::Result<()> {
    let log = read(&log_of(dir))?;
    let page_size = wal::page_size(&log).unwrap_or(USUAL_PAGE_SIZE);
    if !wal::is_cut(&log, page_size) {
        return Ok(());
    }
    for copy in copies(dir)? {
        if read(&log_of(&dir.join(copy).join(FOUND)))? == log {
            return Ok(());
        }
    }
    tracing::warn!("the notebook's log is cut by damage; keeping a copy");
    let work = tempfile::Builder::new()
        .prefix(CUT_LOG_PREFIX)
        .tempdir_in(dir)?;
    copy_database(dir, work.path())?;
    fsync_dir(work.path())?;
    fsync_dir(dir)?;
    let _kept = work.keep();
    Ok(())
}

/// Returns the folders of the copies, as paths in the notebook's folder.
pub(crate) fn copies(dir: &Path) -> io::Result<Vec<PathBuf>> {
    let mut copies = Vec::new();
    for entry in fs::read_dir(dir)? {
        let name = entry?.file_name();
        if name.to_string_lossy().starts_with(CUT_LOG_PREFIX) {
            copies.push(PathBuf::from(name));
        }
    }
    copies.sort();
    Ok(copies)
}

/// Copies the database and its log to a folder of its own in `work`, and returns that.
pub(crate) fn copy_database(dir: &Path, work: &Path) -> io::Result<PathBuf> {
    let copy = work.join(FOUND);
    fs::create_dir(&copy)?;
    let (from, to) = (dir.join(FILE), copy.join(FILE));
    for ending in ["", "-wal"] {
        let (from, to) = (side_file(&from, ending), side_file(&to, ending));
        if from.exists() {
            fs::copy(from, &to)?;
            File::open(to)?.sync_all()?;
        }
    }
    fsync_dir(&copy)?;
    Ok(copy)
}

fn log_of(dir: &Path) -> PathBuf {
    side_file(&dir.join(FILE), "-wal")
}

fn read(file: &Path) -> io::Result<Vec<u8>> {
    match fs::read(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        read => read,
    }
}
