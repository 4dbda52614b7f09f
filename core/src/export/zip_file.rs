//! An export as one zip file: whole under its name, or not at all.

use super::error::ExportError;
use super::sink::Sink;
use crate::sync::bundle::{FusedWriter, NewFile};
use std::fs::File;
use std::io::{self, Write};
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, System, ZipWriter};

/// A zip file being written.
pub(super) struct NewZip {
    zip: ZipWriter<FusedWriter<File>>,
    new: NewFile,
}

impl NewZip {
    /// Creates the temporary file for a file at `to`, which must not exist.
    pub fn at(to: &Path) -> Result<Self, ExportError> {
        let writing = |error| ExportError::writing(to, error);
        if to.symlink_metadata().is_ok() {
            return Err(ExportError::exists(to));
        }
        let new = NewFile::create(to, false).map_err(writing)?;
        let file = new.file().try_clone().map_err(writing)?;
        let zip = ZipWriter::new(FusedWriter::new(file));
        Ok(Self { zip, new })
    }

    /// Writes everything to the disk, then gives the file its name.
    pub fn finish(self) -> Result<(), ExportError> {
        let Self { zip, new } = self;
        let path = new.path().to_owned();
        let finish = || {
            zip.finish()?.finish()?;
            new.persist()
        };
        finish().map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => ExportError::exists(&path),
            _ => ExportError::writing(&path, error),
        })
    }

    fn start(&mut self, name: &str, method: CompressionMethod) -> io::Result<()> {
        // No time and no machine-dependent value, so that the same content gives the same bytes.
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644)
            .system(System::Unix);
        Ok(self.zip.start_file(name, options)?)
    }
}

impl Sink for NewZip {
    fn begin(&mut self, name: &str) -> io::Result<()> {
        self.start(name, CompressionMethod::Deflated)
    }

    fn begin_packed(&mut self, name: &str) -> io::Result<()> {
        self.start(name, CompressionMethod::Stored)
    }
}

impl Write for NewZip {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.zip.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.zip.flush()
    }
}
