//! A bundle as a shelf from which to take.

use super::super::error::ExchangeError;
use super::super::piece::LARGEST_PIECE;
use super::super::shelf::{Shelf, Survey};
use super::super::stretch::Stretch;
use super::super::watch::Watch;
use super::super::{Problem, Report, take_from};
use super::frame::{self, NoFrame};
use super::shared::SharedFile;
use super::sort::{Packed, Sorted};
use super::{BundleError, Flaw};
use crate::notebook::Notebook;
use crate::photo::PhotoHash;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use zip::ZipArchive;
use zip::read::{ArchiveOffset, Config, ZipFile, ZipReadOptions};
use zip::result::ZipError;

/// Takes what the notebook lacks from the bundle in `file`. Blocks until it is on the disk. The file may be deleted then, and
/// taking it twice does no harm. What is not sound in it is told in the report; all else is taken.
///
/// # Errors
/// [`ExchangeError::Bundle`] where the file cannot be read or is no sound bundle: then nothing was taken. Others where the notebook
/// cannot be written, or `watch` ended it: what was taken by then stays.
pub fn take_in(
    notebook: &Notebook,
    file: &Path,
    watch: &Watch<'_>,
) -> Result<Report, ExchangeError> {
    take_from(notebook, &Bundle::open(file)?, watch)
}

/// A bundle that was opened to be taken in. As a [`Shelf`] it is only read: whatever would be left in it is refused.
#[derive(Debug)]
pub struct Bundle {
    place: PathBuf,
    archive: ZipArchive<SharedFile>,
    files: Sorted,
}

impl Bundle {
    /// Opens a bundle, and checks all that can be checked without unpacking it.
    ///
    /// # Errors
    /// [`ExchangeError::Bundle`] where the file cannot be read or is no sound bundle.
    pub fn open(place: &Path) -> Result<Self, ExchangeError> {
        Ok(Self::checked(place)?)
    }

    fn checked(place: &Path) -> Result<Self, BundleError> {
        let unreadable = |error| BundleError::reading(place, error);
        let unsound = |flaw| BundleError::unsound(place, flaw);
        // A pipe would make opening it wait.
        if !fs::metadata(place).map_err(unreadable)?.is_file() {
            return Err(unsound(Flaw::NotAFile));
        }
        let file = SharedFile::new(File::open(place).map_err(unreadable)?);
        let archive = archive(file).map_err(|error| match error {
            NoFrame::Io(error) => unreadable(error),
            NoFrame::Flaw(flaw) => unsound(flaw),
        })?;
        let mut files = Sorted::default();
        for index in 0..archive.len() {
            let file = archive.by_index_data(index);
            let file = file.map_err(|error| unsound(Flaw::Damaged(error.to_string())))?;
            files.add(index, &file).map_err(unsound)?;
        }
        Ok(Self {
            place: place.to_owned(),
            archive,
            files: files.finish(),
        })
    }

    /// Unpacks a file into `into`, up to the size that the list of files gives.
    fn unpack(
        &self,
        name: &dyn ToString,
        packed: Option<&Packed>,
        into: &mut dyn Write,
    ) -> Result<(), ExchangeError> {
        let problem = |why: String| {
            let file = name.to_string();
            ExchangeError::File(Problem { file, why })
        };
        let packed = packed.ok_or_else(|| problem("it is not there".to_owned()))?;
        let told = |error: io::Error| match error.raw_os_error() {
            Some(_) => BundleError::reading(&self.place, error).into(),
            None => problem(format!("it is damaged ({error})")),
        };
        let mut archive = self.archive.clone();
        let options = ZipReadOptions::new().enforce_header_consistency(true);
        let mut file = archive
            .by_index_with_options(packed.index, options)
            .map_err(|error| match error {
                ZipError::Io(error) => told(error),
                error => problem(format!("it is damaged ({error})")),
            })?;
        let unpacked = copy_up_to(&mut file, packed.bytes, into).map_err(told)?;
        if unpacked == packed.bytes {
            Ok(())
        } else {
            Err(problem("its size is not the one that is given".to_owned()))
        }
    }

    fn only_read(&self) -> ExchangeError {
        let file = self.place.clone();
        BundleError::OnlyRead { file }.into()
    }
}

/// Opens a zip file whose frame is sound and whose files lie beside each other under names of their own.
fn archive(mut file: SharedFile) -> Result<ZipArchive<SharedFile>, NoFrame> {
    let frame = frame::read(&mut file)?;
    let config = Config {
        archive_offset: ArchiveOffset::Known(0),
    };
    let damaged = |error| match error {
        ZipError::Io(error) if error.raw_os_error().is_some() => NoFrame::Io(error),
        error => Flaw::Damaged(error.to_string()).into(),
    };
    let mut archive = ZipArchive::with_config(config, file).map_err(damaged)?;
    if archive.has_duplicate_names() {
        return Err(Flaw::SameNames.into());
    }
    if archive.len() as u64 != frame.files || archive.central_directory_start() != frame.list {
        return Err(Flaw::NotWhole.into());
    }
    if archive.has_overlapping_entries().map_err(damaged)? {
        return Err(Flaw::Overlap.into());
    }
    Ok(archive)
}

/// Copies what a file unpacks to, and one byte more than `bytes` at most. That its checksum is right shows at its end, which is
/// asked for.
fn copy_up_to(
    file: &mut ZipFile<'_, SharedFile>,
    bytes: u64,
    into: &mut dyn Write,
) -> io::Result<u64> {
    io::copy(&mut file.take(bytes + 1), into)
}

impl Shelf for Bundle {
    fn id(&self) -> String {
        format!("bundle:{}", self.place.display())
    }

    fn name(&self) -> String {
        format!("the bundle {}", self.place.display())
    }

    fn survey(&self, _known: Option<&str>) -> Result<Option<Survey>, ExchangeError> {
        let photos = self.files.photos.iter();
        Ok(Some(Survey {
            stretches: self.files.lines.keys().cloned().collect(),
            photos: photos
                .map(|(photo, packed)| (*photo, packed.bytes))
                .collect(),
            unsound: self.files.problems.clone(),
            state: None,
            ..Survey::default()
        }))
    }

    fn lines(&self, stretch: &Stretch, _from: u64) -> Result<Vec<u8>, ExchangeError> {
        let packed = self.files.lines.get(stretch);
        let size = packed.map_or(0, |packed| packed.bytes as usize);
        let mut lines = Vec::with_capacity(size.min(LARGEST_PIECE));
        self.unpack(stretch, packed, &mut lines)?;
        Ok(lines)
    }

    fn leave_lines(&self, _stretch: &Stretch, _lines: &[u8]) -> Result<(), ExchangeError> {
        Err(self.only_read())
    }

    fn photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), ExchangeError> {
        let name = format!("photos/{photo}");
        self.unpack(&name, self.files.photos.get(photo), into)
    }

    fn leave_photo(
        &self,
        _photo: &PhotoHash,
        _bytes: u64,
        _from: &mut dyn Read,
    ) -> Result<(), ExchangeError> {
        Err(self.only_read())
    }
}
