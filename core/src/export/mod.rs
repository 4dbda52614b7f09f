//! Exports: the whole notebook as files that anyone can read without Holebook.
//!
//! ```text
//! README.txt      what each file and column is
//! journal.jsonl   every entry, byte for byte, one on each line
//! castings.csv, faces.csv, holes.csv, readings.csv, log.csv, photos.csv
//! photos/<hash>.jpg
//! ```
//!
//! It appears under its name whole or not at all, as a folder ([`to_folder`]) or as one zip file
//! ([`to_zip`]). Nothing reads an export back: a bundle is for other notebooks.

mod error;
mod folder;
mod places;
mod readme;
mod sink;
mod table;
mod tables;
#[cfg(test)]
mod tests;
mod zip_file;

pub use error::ExportError;

use crate::notebook::{Notebook, NotebookError};
use crate::photo::{PhotoError, PhotoHash};
use crate::sync::{OnProgress, Progress, SyncPhase};
use places::Places;
use sink::Sink;
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Read;
use std::ops::ControlFlow;
use std::path::Path;

/// What an export holds.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Exported {
    /// Number of entries.
    pub entries: u64,
    /// Number of holes.
    pub holes: u64,
    /// Number of photos.
    pub photos: u64,
    /// Number of photos that the entries name and that are not on this device.
    pub photos_missing: u64,
}

/// Exports the notebook as the folder `to`, which must not exist or be empty; with `replace` it may
/// be an earlier export. Blocks until it is on the disk. The notebook is not changed.
///
/// # Errors
/// [`ExportError`], and there is no folder then, or the earlier one is as it was.
pub fn to_folder(
    notebook: &Notebook,
    to: &Path,
    replace: bool,
    on_progress: &OnProgress<'_>,
) -> Result<Exported, ExportError> {
    let mut folder = folder::NewFolder::at(to, replace)?;
    let exported = Export::of(notebook, on_progress)?.write(&mut folder);
    let exported = exported.map_err(|failed| failed.at(to))?;
    folder.finish()?;
    Ok(exported)
}

/// Exports the notebook as the new zip file `to`. Otherwise as [`to_folder`].
///
/// # Errors
/// [`ExportError`], and there is no file then.
pub fn to_zip(
    notebook: &Notebook,
    to: &Path,
    on_progress: &OnProgress<'_>,
) -> Result<Exported, ExportError> {
    let mut file = zip_file::NewZip::at(to)?;
    let exported = Export::of(notebook, on_progress)?.write(&mut file);
    let exported = exported.map_err(|failed| failed.at(to))?;
    file.finish()?;
    Ok(exported)
}

/// An export being written.
struct Export<'a> {
    notebook: &'a Notebook,
    on_progress: &'a OnProgress<'a>,
    progress: Progress,
    places: Places,
    /// The photos that are here, by name, with their path in the export.
    photos: BTreeMap<PhotoHash, String>,
}

impl<'a> Export<'a> {
    fn of(notebook: &'a Notebook, on_progress: &'a OnProgress<'a>) -> Result<Self, ExportError> {
        let mut photos = BTreeMap::new();
        for hash in notebook.photos().hashes().map_err(NotebookError::from)? {
            // A newer version on another device may know more formats.
            let format = notebook.photos().format(&hash).ok();
            let ending = format.map_or("", |format| tables::file_ending(format));
            photos.insert(hash, format!("photos/{hash}{ending}"));
        }
        Ok(Self {
            notebook,
            on_progress,
            progress: Progress::at(SyncPhase::Pushing),
            places: Places::of(notebook)?,
            photos,
        })
    }

    /// Writes all files. The journal comes last of the texts, so that it has every entry that the
    /// tables were made of, even if another program records meanwhile.
    fn write(mut self, sink: &mut dyn Sink) -> Result<Exported, sink::Failed> {
        let holes = tables::write(&mut self, sink)?;
        let entries = self.journal(sink)?;
        let photos_missing = self.copy_photos(sink)?;
        let exported = Exported {
            entries,
            holes,
            photos: self.photos.len() as u64,
            photos_missing,
        };
        sink.begin(readme::FILE)?;
        let text = readme::text(&self.notebook.settings()?, exported);
        sink.write_all(text.as_bytes())?;
        Ok(exported)
    }

    fn journal(&mut self, sink: &mut dyn Sink) -> Result<u64, sink::Failed> {
        sink.begin("journal.jsonl")?;
        let mut entries = 0;
        let read = self.notebook.each_line(|line| {
            entries += 1;
            sink.write_all(line.as_bytes())?;
            sink.write_all(b"\n")?;
            Ok::<(), sink::Failed>(())
        })?;
        read?;
        self.report(|progress| progress.entries = entries)?;
        Ok(entries)
    }

    /// Copies the photos, and returns how many that the tables name are not here.
    fn copy_photos(&mut self, sink: &mut dyn Sink) -> Result<u64, sink::Failed> {
        let sizes = self.notebook.photo_sizes()?;
        let total = sizes.values().sum();
        self.report(|progress| progress.photo_bytes_total = total)?;
        for (hash, name) in self.photos.clone() {
            self.copy_photo(&hash, &name, sink)?;
        }
        let named = self.notebook.named_photos()?;
        let missing = named.iter().filter(|hash| !self.photos.contains_key(hash));
        Ok(missing.count() as u64)
    }

    fn copy_photo(
        &mut self,
        hash: &PhotoHash,
        name: &str,
        sink: &mut dyn Sink,
    ) -> Result<(), sink::Failed> {
        let source = self.notebook.photos().original(hash);
        let unreadable = |error| {
            let file = source.clone();
            let error = PhotoError::Unreadable {
                file,
                source: error,
            };
            sink::Failed::from(NotebookError::from(error))
        };
        let mut open = File::open(&source).map_err(unreadable)?;
        sink.begin_packed(name)?;
        let mut buffer = vec![0; 256 << 10];
        loop {
            let read = match open.read(&mut buffer) {
                Ok(0) => return Ok(()),
                Ok(read) => read,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(unreadable(error)),
            };
            sink.write_all(&buffer[..read])?;
            self.report(|progress| progress.photo_bytes += read as u64)?;
        }
    }

    fn report(&mut self, change: impl FnOnce(&mut Progress)) -> Result<(), sink::Failed> {
        change(&mut self.progress);
        match (self.on_progress)(self.progress) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(sink::Failed::Canceled),
        }
    }
}
