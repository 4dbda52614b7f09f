//! A bundle as a read-only remote.

use super::super::chunk::MAX_CHUNK_BYTES;
use super::super::error::SyncError;
use super::super::progress::OnProgress;
use super::super::remote::{Listing, Remote};
use super::super::segment::Segment;
use super::super::{Problem, SyncReport, pull_from};
use super::central_directory::{self, DirectoryError};
use super::contents::{Contents, PackedFile};
use super::shared_file::SharedFile;
use super::{BundleError, BundleFlaw};
use crate::notebook::Notebook;
use crate::photo::PhotoHash;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use zip::ZipArchive;
use zip::read::{ArchiveOffset, Config, ZipFile, ZipReadOptions};
use zip::result::ZipError;

/// Imports what the notebook lacks from the bundle in `file`. Blocks until it is on the disk; then
/// the file may be deleted. Importing it twice is harmless. Damaged parts are listed in the report;
/// everything else is imported.
///
/// # Errors
/// [`SyncError::Bundle`] if the file cannot be read or is not a valid bundle: then nothing was
/// imported. Another error if the notebook cannot be written or `on_progress` canceled: what was
/// imported by then stays.
pub fn import(
    notebook: &Notebook,
    file: &Path,
    on_progress: &OnProgress<'_>,
) -> Result<SyncReport, SyncError> {
    pull_from(notebook, &Bundle::open(file)?, on_progress)
}

/// A bundle opened for import. As a [`Remote`] it is read-only: pushing to it fails.
#[derive(Debug)]
pub struct Bundle {
    path: PathBuf,
    name: String,
    archive: ZipArchive<SharedFile>,
    files: Contents,
}

impl Bundle {
    /// Gives the bundle another name in sentences than its path, which may be a temporary one.
    #[must_use]
    pub fn named(self, name: &str) -> Self {
        Self {
            name: name.to_owned(),
            ..self
        }
    }

    /// Opens a bundle and checks everything that can be checked without unpacking it.
    ///
    /// # Errors
    /// [`SyncError::Bundle`] if the file cannot be read or is not a valid bundle.
    pub fn open(path: &Path) -> Result<Self, SyncError> {
        Ok(Self::open_checked(path)?)
    }

    fn open_checked(path: &Path) -> Result<Self, BundleError> {
        let unreadable = |error| BundleError::reading(path, error);
        let invalid = |flaw| BundleError::invalid(path, flaw);
        // Opening a pipe would block.
        if !fs::metadata(path).map_err(unreadable)?.is_file() {
            return Err(invalid(BundleFlaw::NotAFile));
        }
        let file = SharedFile::new(File::open(path).map_err(unreadable)?);
        let archive = archive(file).map_err(|error| match error {
            DirectoryError::Io(error) => unreadable(error),
            DirectoryError::Invalid(flaw) => invalid(flaw),
        })?;
        let mut files = Contents::default();
        for index in 0..archive.len() {
            let file = archive.by_index_data(index);
            let file = file.map_err(|error| invalid(BundleFlaw::Damaged(error.to_string())))?;
            files.add(index, &file).map_err(invalid)?;
        }
        Ok(Self {
            path: path.to_owned(),
            name: format!("the bundle {}", path.display()),
            archive,
            files: files.finish(),
        })
    }

    /// Unpacks a file into `into`, up to the size that the central directory declares.
    fn unpack(
        &self,
        name: &dyn ToString,
        packed: Option<&PackedFile>,
        into: &mut dyn Write,
    ) -> Result<(), SyncError> {
        let problem = |reason: String| {
            let file = name.to_string();
            SyncError::File(Problem { file, reason })
        };
        let packed = packed.ok_or_else(|| problem("it is not in the bundle".to_owned()))?;
        let io_error = |error: io::Error| match error.raw_os_error() {
            Some(_) => BundleError::reading(&self.path, error).into(),
            None => problem(format!("it is damaged ({error})")),
        };
        let mut archive = self.archive.clone();
        let options = ZipReadOptions::new().enforce_header_consistency(true);
        let mut file = archive
            .by_index_with_options(packed.index, options)
            .map_err(|error| match error {
                ZipError::Io(error) => io_error(error),
                error => problem(format!("it is damaged ({error})")),
            })?;
        let unpacked = copy_up_to(&mut file, packed.bytes, into).map_err(io_error)?;
        if unpacked == packed.bytes {
            Ok(())
        } else {
            Err(problem("its size is not the declared one".to_owned()))
        }
    }

    fn read_only_error(&self) -> SyncError {
        let file = self.path.clone();
        BundleError::ReadOnly { file }.into()
    }
}

/// Opens a zip file after checking that its central directory is valid, and that its files have
/// unique names and do not overlap.
fn archive(mut file: SharedFile) -> Result<ZipArchive<SharedFile>, DirectoryError> {
    let directory = central_directory::read(&mut file)?;
    let config = Config {
        archive_offset: ArchiveOffset::Known(0),
    };
    let damaged = |error| match error {
        ZipError::Io(error) if error.raw_os_error().is_some() => DirectoryError::Io(error),
        error => BundleFlaw::Damaged(error.to_string()).into(),
    };
    let mut archive = ZipArchive::with_config(config, file).map_err(damaged)?;
    if archive.has_duplicate_names() {
        return Err(BundleFlaw::DuplicateNames.into());
    }
    if archive.len() as u64 != directory.files
        || archive.central_directory_start() != directory.offset
    {
        return Err(BundleFlaw::Truncated.into());
    }
    if archive.has_overlapping_entries().map_err(damaged)? {
        return Err(BundleFlaw::Overlap.into());
    }
    Ok(archive)
}

/// Copies the unpacked content, at most `bytes` bytes and one more. Reading to the end also
/// verifies the checksum.
fn copy_up_to(
    file: &mut ZipFile<'_, SharedFile>,
    bytes: u64,
    into: &mut dyn Write,
) -> io::Result<u64> {
    io::copy(&mut file.take(bytes + 1), into)
}

impl Remote for Bundle {
    fn id(&self) -> String {
        format!("bundle:{}", self.path.display())
    }

    fn name(&self) -> String {
        self.name.clone()
    }

    fn list(&self, _known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let photos = self.files.photos.iter();
        Ok(Some(Listing {
            segments: self.files.lines.keys().cloned().collect(),
            photos: photos
                .map(|(photo, packed)| (*photo, packed.bytes))
                .collect(),
            unreadable: self.files.problems.clone(),
            state: None,
            ..Listing::default()
        }))
    }

    fn pull_lines(&self, segment: &Segment, _from: u64) -> Result<Vec<u8>, SyncError> {
        let packed = self.files.lines.get(segment);
        let size = packed.map_or(0, |packed| packed.bytes as usize);
        let mut lines = Vec::with_capacity(size.min(MAX_CHUNK_BYTES));
        self.unpack(segment, packed, &mut lines)?;
        Ok(lines)
    }

    fn push_lines(&self, _segment: &Segment, _lines: &[u8]) -> Result<(), SyncError> {
        Err(self.read_only_error())
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        let name = format!("photos/{photo}");
        self.unpack(&name, self.files.photos.get(photo), into)
    }

    fn push_photo(
        &self,
        _photo: &PhotoHash,
        _bytes: u64,
        _from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        Err(self.read_only_error())
    }
}
