//! Writing a bundle.

use super::super::error::ExchangeError;
use super::super::take::photo_named_by;
use super::super::watch::{Progress, Stage, Watch};
use super::super::{Problem, piece};
use super::file::NewFile;
use super::pen::Pen;
use super::pick::{self, What};
use super::{BundleError, MOST_FILES, MOST_LINES};
use crate::notebook::{DeviceId, Notebook, NotebookError};
use crate::photo::{PhotoError, PhotoHash};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, Read, Seek, Write};
use std::ops::ControlFlow;
use std::path::Path;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, System, ZipWriter};

/// What went into a bundle. Where the person who sent it will say only later that it arrived, this can be kept as JSON until then.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Written {
    /// How many entries.
    pub entries: u64,
    /// How many photos.
    pub photos: u64,
    /// The bundle's size in bytes.
    pub bytes: u64,
    /// Photos that its entries name and that are not here.
    pub photos_missing: Vec<PhotoHash>,
    /// The last entries of this notebook's own, by their numbers: up to them all are in the bundle or lay on a shelf before.
    pub up_to: Vec<(DeviceId, u64)>,
}

impl Written {
    /// Counts what the bundle holds as brought home, since a person says that it arrived. Later entries stay as they are.
    ///
    /// # Errors
    /// Where the notebook cannot be written.
    pub fn count_as_home(&self, notebook: &Notebook) -> Result<(), NotebookError> {
        notebook.note_left(&self.up_to)
    }
}

/// Writes a bundle to `file`, where nothing of that name may be yet. It appears there whole or not at all. Blocks until it is on the
/// disk; needs little memory, however large it becomes. The notebook is not changed: what was written does not count as
/// brought home until [`Written::count_as_home`].
///
/// # Errors
/// [`ExchangeError::Bundle`] where the file is there already, cannot be written, or there is nothing to write;
/// [`ExchangeError::Stopped`] where `watch` ended it; others where the notebook or its photos cannot be read.
pub fn write(
    notebook: &Notebook,
    file: &Path,
    what: What,
    watch: &Watch<'_>,
) -> Result<Written, ExchangeError> {
    write_to(notebook, NewFile::at(file, false)?, file, what, watch)
}

/// As [`write()`], but takes the place of a file of that name, once the bundle is whole.
///
/// # Errors
/// As [`write()`].
pub fn write_over(
    notebook: &Notebook,
    file: &Path,
    what: What,
    watch: &Watch<'_>,
) -> Result<Written, ExchangeError> {
    write_to(notebook, NewFile::at(file, true)?, file, what, watch)
}

fn write_to(
    notebook: &Notebook,
    new: NewFile,
    place: &Path,
    what: What,
    watch: &Watch<'_>,
) -> Result<Written, ExchangeError> {
    let written = fill(notebook, new.file(), place, what, watch)?;
    new.finish()?;
    Ok(written)
}

/// Writes all of a bundle's content.
fn fill(
    notebook: &Notebook,
    file: &File,
    place: &Path,
    what: What,
    watch: &Watch<'_>,
) -> Result<Written, ExchangeError> {
    let mut writing = Writing::new(Pen::new(file), place, watch);
    let written = writing.all(notebook, what)?;
    let pen = writing
        .zip
        .finish()
        .map_err(|error| trouble(place, error))?;
    let bytes = pen.finish();
    Ok(Written {
        bytes: bytes.map_err(|error| BundleError::writing(place, error))?,
        ..written
    })
}

/// A bundle on its way to the disk.
struct Writing<'a, W: Write + Seek> {
    zip: ZipWriter<W>,
    place: &'a Path,
    watch: &'a Watch<'a>,
    progress: Progress,
    line_bytes: u64,
    files: u64,
}

impl<'a, W: Write + Seek> Writing<'a, W> {
    fn new(into: W, place: &'a Path, watch: &'a Watch<'a>) -> Self {
        Self {
            zip: ZipWriter::new(into),
            place,
            watch,
            progress: Progress::at(Stage::Leaving),
            line_bytes: 0,
            files: 0,
        }
    }

    /// Writes lines, then the photos that they name. In a bundle the order does not matter to whoever reads it, and the
    /// lines say which photos there are to be.
    fn all(&mut self, notebook: &Notebook, what: What) -> Result<Written, ExchangeError> {
        // Before the lines, so that what is written meanwhile does not count.
        let up_to = pick::own_ends(notebook)?;
        let named = self.lines(notebook, what)?;
        let here = notebook.photo_sizes()?;
        let (photos, photos_missing): (Vec<_>, Vec<_>) = named
            .into_iter()
            .partition(|photo| here.contains_key(photo));
        let bytes = photos.iter().filter_map(|photo| here.get(photo)).sum();
        self.tell(|progress| progress.photo_bytes_of = bytes)?;
        for photo in &photos {
            self.photo(notebook, photo)?;
        }
        Ok(Written {
            entries: self.progress.entries,
            photos: photos.len() as u64,
            bytes: 0,
            photos_missing,
            up_to,
        })
    }

    /// Writes lines, and gives the photos that they name.
    fn lines(
        &mut self,
        notebook: &Notebook,
        what: What,
    ) -> Result<BTreeSet<PhotoHash>, ExchangeError> {
        let picked = pick::lines(notebook, what)?;
        if picked.is_empty() {
            return Err(BundleError::Nothing {
                all: what == What::All,
            }
            .into());
        }
        let entries = picked.iter().map(|lacking| lacking.lines.clone().count());
        let entries = entries.sum::<usize>() as u64;
        self.tell(|progress| progress.entries_of = entries)?;
        let mut named = BTreeSet::new();
        for lacking in picked {
            let mut next = *lacking.lines.start();
            while let Some((stretch, text)) = lacking.piece(notebook, next)? {
                self.line_bytes += text.len() as u64;
                self.begin(&stretch.to_string(), CompressionMethod::Deflated)?;
                self.put(&text)?;
                let lines = piece::read(&stretch, next, text).map_err(|why| {
                    let file = stretch.to_string();
                    let why = format!("it is not as it was written: {why}");
                    ExchangeError::File(Problem { file, why })
                })?;
                named.extend(lines.iter().filter_map(photo_named_by));
                self.tell(|progress| progress.entries += lines.len() as u64)?;
                next = stretch.last + 1;
            }
        }
        Ok(named)
    }

    fn photo(&mut self, notebook: &Notebook, photo: &PhotoHash) -> Result<(), ExchangeError> {
        let source = notebook.photos().original(photo);
        let unreadable = |source_error| PhotoError::Unreadable {
            file: source.clone(),
            source: source_error,
        };
        let mut open = File::open(&source).map_err(unreadable)?;
        self.begin(&format!("photos/{photo}"), CompressionMethod::Stored)?;
        let mut buffer = vec![0; 256 << 10];
        loop {
            match open.read(&mut buffer) {
                Ok(0) => return Ok(()),
                Ok(read) => {
                    self.put(&buffer[..read])?;
                    self.tell(|progress| progress.photo_bytes += read as u64)?;
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(unreadable(error).into()),
            }
        }
    }

    /// Begins a file in the bundle.
    fn begin(&mut self, name: &str, method: CompressionMethod) -> Result<(), BundleError> {
        self.files += 1;
        if self.files > MOST_FILES || self.line_bytes > MOST_LINES {
            return Err(BundleError::TooMuch);
        }
        // Nothing of the moment or the machine, so that the same content gives the same bytes.
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644)
            .system(System::Unix);
        let begun = self.zip.start_file(name, options);
        begun.map_err(|error| trouble(self.place, error))
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), BundleError> {
        let put = self.zip.write_all(bytes);
        put.map_err(|error| BundleError::writing(self.place, error))
    }

    fn tell(&mut self, change: impl FnOnce(&mut Progress)) -> Result<(), ExchangeError> {
        change(&mut self.progress);
        match (self.watch)(self.progress) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(ExchangeError::Stopped),
        }
    }
}

fn trouble(place: &Path, error: zip::result::ZipError) -> BundleError {
    let error = match error {
        zip::result::ZipError::Io(error) => error,
        other => io::Error::other(other),
    };
    BundleError::writing(place, error)
}
