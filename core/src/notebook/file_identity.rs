//! Notices that the notebook's files were deleted, moved or replaced while they are open. The
//! system lets a program write to a file that no longer has a name, and nobody would find it.

use super::error::NotebookError;
use super::paths::{FILE, side_file};
use std::fs;
use std::path::{Path, PathBuf};

/// The files of an open database, as they were when it was opened.
#[derive(Debug)]
pub(crate) struct FileIdentity {
    dir: PathBuf,
    files: Vec<(PathBuf, Identity)>,
}

/// What tells apart two files of the same name.
#[cfg(unix)]
type Identity = (u64, u64);
#[cfg(not(unix))]
type Identity = ();

impl FileIdentity {
    /// Remembers the database and its log, as far as they are there.
    pub fn of(dir: &Path) -> Self {
        let file = dir.join(FILE);
        let files = [file.clone(), side_file(&file, "-wal")];
        let known = files.into_iter().filter_map(|file| {
            let identity = identity(&file)?;
            Some((file, identity))
        });
        Self {
            dir: dir.to_owned(),
            files: known.collect(),
        }
    }

    /// Checks that the files are still in place.
    pub fn check(&self) -> Result<(), NotebookError> {
        let in_place = |(file, known): &(PathBuf, Identity)| identity(file) == Some(*known);
        match self.files.iter().all(in_place) {
            true => Ok(()),
            false => Err(NotebookError::Gone {
                dir: self.dir.clone(),
            }),
        }
    }
}

/// Returns what identifies a file; `None` if there is none of that name.
#[cfg(unix)]
fn identity(file: &Path) -> Option<Identity> {
    use std::os::unix::fs::MetadataExt as _;
    let meta = fs::metadata(file).ok()?;
    Some((meta.dev(), meta.ino()))
}

#[cfg(not(unix))]
fn identity(file: &Path) -> Option<Identity> {
    fs::metadata(file).ok().map(drop)
}
