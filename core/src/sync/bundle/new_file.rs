//! Creates the bundle file: complete under its name, or not at all.

use super::BundleError;
use crate::photo::fsync_dir;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// A temporary file in the folder of its final path. It is deleted unless it is given its name.
pub(crate) struct NewFile {
    temp_file: NamedTempFile,
    path: PathBuf,
    may_replace: bool,
}

impl NewFile {
    /// Creates the temporary file for a file at `path`.
    pub fn at(path: &Path, may_replace: bool) -> Result<Self, BundleError> {
        let io_error = |error| BundleError::writing(path, error);
        if !may_replace && path.symlink_metadata().is_ok() {
            return Err(exists(path));
        }
        Self::create(path, may_replace).map_err(io_error)
    }

    /// Creates the temporary file. Whether a file of that name exists is looked at once it is
    /// complete.
    pub fn create(path: &Path, may_replace: bool) -> io::Result<Self> {
        if path.is_dir() || path.file_name().is_none() {
            return Err(io::ErrorKind::IsADirectory.into());
        }
        Ok(Self {
            temp_file: temp_file_in(parent_dir(path))?,
            path: path.to_owned(),
            may_replace,
        })
    }

    /// The path of the file once it is complete.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The file to write to.
    pub fn file(&self) -> &File {
        self.temp_file.as_file()
    }

    /// Syncs the content to the disk, then gives the file its name.
    pub fn finish(self) -> Result<(), BundleError> {
        let path = self.path.clone();
        self.persist().map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => exists(&path),
            _ => BundleError::writing(&path, error),
        })
    }

    /// Does the same; an existing file is the error that the system gives.
    pub fn persist(self) -> io::Result<()> {
        self.file().sync_all()?;
        let Self {
            temp_file, path, ..
        } = self;
        if self.may_replace {
            temp_file.persist(&path)?;
        } else {
            persist_new(temp_file, &path)?;
        }
        fsync_dir(parent_dir(&path))
    }
}

/// Renames the temporary file, but only if no file of that name exists.
fn persist_new(temp_file: NamedTempFile, path: &Path) -> io::Result<()> {
    match temp_file.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => Err(error.error),
        // Some file systems of sticks and phones cannot do this in one step.
        Err(_) if path.symlink_metadata().is_ok() => Err(io::ErrorKind::AlreadyExists.into()),
        Err(error) => error.file.persist(path).map(drop).map_err(io::Error::from),
    }
}

/// A temporary file that is deleted unless it is given a name.
fn temp_file_in(dir: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".unfinished-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Other users may read it, as far as the umask allows.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir)
}

fn exists(path: &Path) -> BundleError {
    BundleError::Exists {
        file: path.to_owned(),
    }
}

fn parent_dir(path: &Path) -> &Path {
    let dir = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    dir.unwrap_or(Path::new("."))
}
