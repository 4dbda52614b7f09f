//! Writing a bundle.

use super::super::error::SyncError;
use super::super::progress::{OnProgress, Progress, SyncPhase};
use super::super::pull::photo_named_by;
use super::super::push::own_ends;
use super::super::{Problem, chunk};
use super::fused_writer::FusedWriter;
use super::new_file::NewFile;
use super::select::{self, BundleContent};
use super::{BundleError, MAX_FILES, MAX_LINE_BYTES};
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

/// What was written to a bundle. If the sender confirms only later that it arrived, this can be
/// stored as JSON until then.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WrittenBundle {
    /// Number of entries.
    pub entries: u64,
    /// Number of photos.
    pub photos: u64,
    /// Size of the bundle in bytes.
    pub bytes: u64,
    /// Photos that its entries name and that are not in the notebook.
    pub photos_missing: Vec<PhotoHash>,
    /// The last line number of each of this notebook's chains: all lines up to it are in the bundle
    /// or were synced before.
    pub up_to: Vec<(DeviceId, u64)>,
}

impl WrittenBundle {
    /// Counts the bundle's entries as synced, because a person says that it arrived. Later entries
    /// stay not synced.
    ///
    /// # Errors
    /// If the notebook cannot be written.
    pub fn mark_synced(&self, notebook: &Notebook) -> Result<(), NotebookError> {
        notebook.remember_pushed(&self.up_to)
    }
}

/// Writes a bundle to `file`, which must not exist. It appears there complete or not at all. Blocks
/// until it is on the disk; memory use does not grow with its size. The notebook is not changed:
/// entries do not count as synced until [`WrittenBundle::mark_synced`].
///
/// # Errors
/// [`SyncError::Bundle`] if the file exists, cannot be written, or there is nothing to write;
/// [`SyncError::Canceled`] if `on_progress` canceled; another error if the notebook or its photos
/// cannot be read.
pub fn write(
    notebook: &Notebook,
    file: &Path,
    content: BundleContent,
    on_progress: &OnProgress<'_>,
) -> Result<WrittenBundle, SyncError> {
    write_to(
        notebook,
        NewFile::at(file, false)?,
        file,
        content,
        on_progress,
    )
}

/// Like [`write()`], but replaces an existing file once the bundle is complete.
///
/// # Errors
/// As [`write()`].
pub fn write_replacing(
    notebook: &Notebook,
    file: &Path,
    content: BundleContent,
    on_progress: &OnProgress<'_>,
) -> Result<WrittenBundle, SyncError> {
    write_to(
        notebook,
        NewFile::at(file, true)?,
        file,
        content,
        on_progress,
    )
}

fn write_to(
    notebook: &Notebook,
    new: NewFile,
    path: &Path,
    content: BundleContent,
    on_progress: &OnProgress<'_>,
) -> Result<WrittenBundle, SyncError> {
    let written = write_content(notebook, new.file(), path, content, on_progress)?;
    new.finish()?;
    Ok(written)
}

/// Writes all content of a bundle.
fn write_content(
    notebook: &Notebook,
    file: &File,
    path: &Path,
    content: BundleContent,
    on_progress: &OnProgress<'_>,
) -> Result<WrittenBundle, SyncError> {
    let mut writer = BundleWriter::new(FusedWriter::new(file), path, on_progress);
    let written = writer.all(notebook, content)?;
    let output = writer
        .zip
        .finish()
        .map_err(|error| zip_error(path, error))?;
    let bytes = output.finish();
    Ok(WrittenBundle {
        bytes: bytes.map_err(|error| BundleError::writing(path, error))?,
        ..written
    })
}

/// A bundle being written.
struct BundleWriter<'a, W: Write + Seek> {
    zip: ZipWriter<W>,
    path: &'a Path,
    on_progress: &'a OnProgress<'a>,
    progress: Progress,
    line_bytes: u64,
    files: u64,
}

impl<'a, W: Write + Seek> BundleWriter<'a, W> {
    fn new(into: W, path: &'a Path, on_progress: &'a OnProgress<'a>) -> Self {
        Self {
            zip: ZipWriter::new(into),
            path,
            on_progress,
            progress: Progress::at(SyncPhase::Pushing),
            line_bytes: 0,
            files: 0,
        }
    }

    /// Writes lines, then the photos that they name. The order in a bundle does not matter to the
    /// reader, and the lines tell which photos are needed.
    fn all(
        &mut self,
        notebook: &Notebook,
        content: BundleContent,
    ) -> Result<WrittenBundle, SyncError> {
        // Taken before the lines, so that entries recorded meanwhile do not count as written.
        let up_to = own_ends(notebook)?;
        let named = self.lines(notebook, content)?;
        let local = notebook.photo_sizes()?;
        let (photos, photos_missing): (Vec<_>, Vec<_>) = named
            .into_iter()
            .partition(|photo| local.contains_key(photo));
        let bytes = photos.iter().filter_map(|photo| local.get(photo)).sum();
        self.report_progress(|progress| progress.photo_bytes_total = bytes)?;
        for photo in &photos {
            self.photo(notebook, photo)?;
        }
        Ok(WrittenBundle {
            entries: self.progress.entries,
            photos: photos.len() as u64,
            bytes: 0,
            photos_missing,
            up_to,
        })
    }

    /// Writes lines, and returns the photos that they name.
    fn lines(
        &mut self,
        notebook: &Notebook,
        content: BundleContent,
    ) -> Result<BTreeSet<PhotoHash>, SyncError> {
        let selected = select::select_lines(notebook, content)?;
        if selected.is_empty() {
            return Err(BundleError::NothingToWrite {
                all: content == BundleContent::All,
            }
            .into());
        }
        let entries = selected.iter().map(|missing| missing.lines.clone().count());
        let entries = entries.sum::<usize>() as u64;
        self.report_progress(|progress| progress.entries_total = entries)?;
        let mut named = BTreeSet::new();
        for missing in selected {
            let mut next = *missing.lines.start();
            while let Some((segment, text)) = missing.chunk(notebook, next)? {
                self.line_bytes += text.len() as u64;
                self.begin(&segment.to_string(), CompressionMethod::Deflated)?;
                self.put(&text)?;
                let lines = chunk::read(&segment, next, text).map_err(|reason| {
                    let file = segment.to_string();
                    let reason = format!("this notebook's journal is damaged: {reason}");
                    SyncError::File(Problem { file, reason })
                })?;
                named.extend(lines.iter().filter_map(photo_named_by));
                self.report_progress(|progress| progress.entries += lines.len() as u64)?;
                next = segment.last + 1;
            }
        }
        Ok(named)
    }

    fn photo(&mut self, notebook: &Notebook, photo: &PhotoHash) -> Result<(), SyncError> {
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
                    self.report_progress(|progress| progress.photo_bytes += read as u64)?;
                }
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(unreadable(error).into()),
            }
        }
    }

    /// Starts a file in the bundle.
    fn begin(&mut self, name: &str, method: CompressionMethod) -> Result<(), BundleError> {
        self.files += 1;
        if self.files > MAX_FILES || self.line_bytes > MAX_LINE_BYTES {
            return Err(BundleError::TooLarge);
        }
        // No time and no machine-dependent value, so that the same content gives the same bytes.
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .last_modified_time(DateTime::default())
            .unix_permissions(0o644)
            .system(System::Unix);
        let started = self.zip.start_file(name, options);
        started.map_err(|error| zip_error(self.path, error))
    }

    fn put(&mut self, bytes: &[u8]) -> Result<(), BundleError> {
        let put = self.zip.write_all(bytes);
        put.map_err(|error| BundleError::writing(self.path, error))
    }

    fn report_progress(&mut self, change: impl FnOnce(&mut Progress)) -> Result<(), SyncError> {
        change(&mut self.progress);
        match (self.on_progress)(self.progress) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(SyncError::Canceled),
        }
    }
}

fn zip_error(path: &Path, error: zip::result::ZipError) -> BundleError {
    let error = match error {
        zip::result::ZipError::Io(error) => error,
        other => io::Error::other(other),
    };
    BundleError::writing(path, error)
}
