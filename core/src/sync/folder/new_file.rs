//! Writes files into a folder: complete under their names, or not at all.

use super::dir::Dir;
use super::error::FolderError;
use super::{CORRUPT_REPORTS, TEMP_PREFIX};
use std::fs::File;
use std::hash::{BuildHasher as _, Hasher as _, RandomState};
use std::io;

/// A file below the root: its folders, then its name.
#[derive(Debug, Clone)]
pub(super) struct FilePath {
    folders: Vec<String>,
    name: String,
}

impl FilePath {
    /// Splits a path such as `photos/0123`.
    pub fn new(path: &str) -> Self {
        let mut folders: Vec<String> = path.split('/').map(str::to_owned).collect();
        let name = folders.pop().unwrap_or_default();
        Self { folders, name }
    }

    /// Opens the file for reading.
    pub fn open(&self, root: Dir) -> io::Result<File> {
        let mut dir = root;
        for folder in &self.folders {
            dir = dir.subdir(folder)?;
        }
        dir.open_file(&self.name)
    }

    /// Writes the file durably. One that has its name is replaced: it has the same content, or is
    /// damaged, or is none of ours.
    ///
    /// # Errors
    /// [`FolderError::Write`], and the errors of `write`.
    pub fn replace(
        &self,
        root: Dir,
        write: impl FnOnce(&mut File) -> Result<(), FolderError>,
    ) -> Result<(), FolderError> {
        let mut dirs = vec![root];
        for folder in &self.folders {
            let parent = &dirs[dirs.len() - 1];
            dirs.push(parent.create_subdir(folder).map_err(FolderError::Write)?);
        }
        let dir = &dirs[dirs.len() - 1];
        let mut temp_file = TempFile::create(dir)?;
        write(&mut temp_file.file)?;
        temp_file.persist(&self.name).map_err(FolderError::Write)?;
        let mut synced = dirs.iter().rev();
        synced.try_for_each(Dir::sync).map_err(FolderError::Write)?;
        self.clear_corrupt_report(&dirs[0]);
        Ok(())
    }

    /// The report that the file is corrupt has this name in the folder of reports.
    fn corrupt_report(&self) -> String {
        let parts = self.folders.iter().chain([&self.name]);
        parts.cloned().collect::<Vec<_>>().join(".")
    }

    /// Reports that the file is corrupt; does nothing on a read-only stick.
    pub fn report_corrupt(&self, root: &Dir) {
        let reports = root.create_subdir(CORRUPT_REPORTS);
        let _ = reports.and_then(|dir| dir.create_new(&self.corrupt_report()));
    }

    /// A report that cannot be removed for lack of permission causes one more push and no other
    /// harm.
    pub fn clear_corrupt_report(&self, root: &Dir) {
        let reports = root.subdir(CORRUPT_REPORTS);
        let _ = reports.and_then(|dir| dir.remove_file(&self.corrupt_report()));
    }
}

/// A file that is removed unless it is given its name.
struct TempFile<'d> {
    dir: &'d Dir,
    name: String,
    file: File,
    persisted: bool,
}

impl<'d> TempFile<'d> {
    fn create(dir: &'d Dir) -> Result<Self, FolderError> {
        // Each value is seeded with random keys. If a name is taken all the same, creating it fails.
        let number = RandomState::new().build_hasher().finish();
        let name = format!("{TEMP_PREFIX}{number:016x}");
        let file = dir.create_new(&name).map_err(FolderError::Write)?;
        Ok(Self {
            dir,
            name,
            file,
            persisted: false,
        })
    }

    fn persist(mut self, name: &str) -> io::Result<()> {
        self.file.sync_all()?;
        self.dir.rename(&self.name, name)?;
        self.persisted = true;
        Ok(())
    }
}

impl Drop for TempFile<'_> {
    fn drop(&mut self) {
        if !self.persisted {
            let _ = self.dir.remove_file(&self.name);
        }
    }
}
