//! An export as a folder: whole under its name, or not at all.

use super::error::ExportError;
use super::readme;
use super::sink::Sink;
use super::tables::FILES;
use crate::photo::{PhotoHash, fsync_dir};
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A temporary folder beside its final path. It is deleted unless it is given its name.
pub(super) struct NewFolder {
    temp: TempDir,
    to: PathBuf,
    replace: bool,
    file: Option<BufWriter<File>>,
}

impl NewFolder {
    /// Creates the temporary folder for a folder at `to`.
    pub fn at(to: &Path, replace: bool) -> Result<Self, ExportError> {
        check_target(to, replace)?;
        let writing = |error| ExportError::writing(to, error);
        if to.file_name().is_none() {
            return Err(ExportError::exists(to));
        }
        let temp = temp_dir_in(parent(to)).map_err(writing)?;
        fs::create_dir(temp.path().join("photos")).map_err(writing)?;
        Ok(Self {
            temp,
            to: to.to_owned(),
            replace,
            file: None,
        })
    }

    /// Writes everything to the disk, then gives the folder its name.
    pub fn finish(mut self) -> Result<(), ExportError> {
        let to = self.to.clone();
        let writing = |error| ExportError::writing(&to, error);
        self.end_file().map_err(writing)?;
        fsync_dir(&self.temp.path().join("photos")).map_err(writing)?;
        fsync_dir(self.temp.path()).map_err(writing)?;
        // Something may have been put there meanwhile.
        check_target(&to, self.replace)?;
        self.rename().map_err(writing)?;
        fsync_dir(parent(&to)).map_err(writing)
    }

    /// Moves an earlier export aside first, and back if the new one cannot be renamed.
    fn rename(self) -> io::Result<()> {
        let Self { temp, to, .. } = self;
        if to.symlink_metadata().is_err() || fs::remove_dir(&to).is_ok() {
            return fs::rename(temp.path(), &to).map(|()| drop(temp.keep()));
        }
        let aside = temp_dir_in(parent(&to))?;
        let old = aside.path().join("replaced");
        fs::rename(&to, &old)?;
        match fs::rename(temp.path(), &to) {
            Ok(()) => {
                // The temporary name is gone, so there is nothing to delete.
                drop(temp.keep());
                Ok(())
            }
            Err(error) => {
                fs::rename(&old, &to)?;
                Err(error)
            }
        }
    }

    fn end_file(&mut self) -> io::Result<()> {
        if let Some(mut file) = self.file.take() {
            file.flush()?;
            file.get_ref().sync_all()?;
        }
        Ok(())
    }
}

impl Sink for NewFolder {
    fn begin(&mut self, name: &str) -> io::Result<()> {
        self.end_file()?;
        let file = File::create_new(self.temp.path().join(name))?;
        self.file = Some(BufWriter::with_capacity(256 << 10, file));
        Ok(())
    }
}

impl Write for NewFolder {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match &mut self.file {
            Some(file) => file.write(bytes),
            None => Err(io::Error::other("no file was begun")),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), Write::flush)
    }
}

/// Refuses a path that holds anything but, with `replace`, an earlier export.
fn check_target(to: &Path, replace: bool) -> Result<(), ExportError> {
    let Ok(found) = to.symlink_metadata() else {
        return Ok(());
    };
    let is_empty = |to| fs::read_dir(to).is_ok_and(|mut entries| entries.next().is_none());
    if found.is_dir() && is_empty(to) {
        return Ok(());
    }
    if !replace || !found.is_dir() {
        return Err(ExportError::exists(to));
    }
    match foreign(to).map_err(|error| ExportError::writing(to, error))? {
        None => Ok(()),
        Some(other) => Err(ExportError::NotAnExport {
            folder: to.to_owned(),
            other,
        }),
    }
}

/// Returns the name of something in the folder that no export wrote.
fn foreign(folder: &Path) -> io::Result<Option<String>> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let (name, kind) = (entry.file_name(), entry.file_type()?);
        let shown = name.to_string_lossy().into_owned();
        let is_known = match kind.is_dir() {
            true => name == "photos",
            false => kind.is_file() && (shown == readme::FILE || FILES.contains(&shown.as_str())),
        };
        if !is_known {
            return Ok(Some(shown));
        }
    }
    let Ok(photos) = fs::read_dir(folder.join("photos")) else {
        return Ok(Some("something else".to_owned()));
    };
    for photo in photos {
        let name = photo?.file_name().to_string_lossy().into_owned();
        let hash = name.split('.').next().unwrap_or_default();
        if hash.parse::<PhotoHash>().is_err() {
            return Ok(Some(format!("photos/{name}")));
        }
    }
    Ok(None)
}

/// A temporary folder that other users may read, as far as the umask allows.
fn temp_dir_in(parent: &Path) -> io::Result<TempDir> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".unfinished-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o777));
    }
    builder.tempdir_in(parent)
}

fn parent(path: &Path) -> &Path {
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    parent.unwrap_or(Path::new("."))
}
