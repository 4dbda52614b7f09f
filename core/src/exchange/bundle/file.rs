//! The file that a bundle becomes: under its name whole, or not at all.

use super::super::folder::{sync_folder, unfinished_in};
use super::BundleError;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// A file that is being written beside the place that it is to have. It goes away unless it is given its name.
pub(super) struct NewFile {
    unfinished: NamedTempFile,
    place: PathBuf,
    may_replace: bool,
}

impl NewFile {
    /// Begins a file that is to be at `place`.
    pub fn at(place: &Path, may_replace: bool) -> Result<Self, BundleError> {
        let trouble = |error| BundleError::writing(place, error);
        if !may_replace && place.symlink_metadata().is_ok() {
            return Err(exists(place));
        }
        if place.is_dir() || place.file_name().is_none() {
            return Err(trouble(io::ErrorKind::IsADirectory.into()));
        }
        Ok(Self {
            unfinished: unfinished_in(folder_of(place)).map_err(trouble)?,
            place: place.to_owned(),
            may_replace,
        })
    }

    /// What is to be written to.
    pub fn file(&self) -> &File {
        self.unfinished.as_file()
    }

    /// Gives the file its name, once its content is on the disk.
    pub fn finish(self) -> Result<(), BundleError> {
        let place = self.place.clone();
        self.name().map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => exists(&place),
            _ => BundleError::writing(&place, error),
        })
    }

    fn name(self) -> io::Result<()> {
        self.file().sync_all()?;
        let Self {
            unfinished, place, ..
        } = self;
        if self.may_replace {
            unfinished.persist(&place)?;
        } else {
            name_new(unfinished, &place)?;
        }
        sync_folder(folder_of(&place))
    }
}

/// Names a file where there is none of that name.
fn name_new(unfinished: NamedTempFile, place: &Path) -> io::Result<()> {
    match unfinished.persist_noclobber(place) {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => Err(error.error),
        // Some sticks' and phones' file systems have no way to do this in one step.
        Err(_) if place.symlink_metadata().is_ok() => Err(io::ErrorKind::AlreadyExists.into()),
        Err(error) => error.file.persist(place).map(drop).map_err(io::Error::from),
    }
}

fn exists(place: &Path) -> BundleError {
    BundleError::Exists {
        file: place.to_owned(),
    }
}

fn folder_of(place: &Path) -> &Path {
    let folder = place
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}
