//! A folder as a shelf.

use super::error::ExchangeError;
use super::segment::{LARGEST, SegmentName};
use crate::notebook::{DeviceId, LONGEST_LINE};
use crate::photo::PhotoHash;
use std::collections::BTreeMap;
use std::fs::{self, DirEntry, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const JOURNAL: &str = "journal";
const PHOTOS: &str = "photos";
/// What a file is called until it is whole.
const UNFINISHED: &str = ".unfinished-";
/// How many bytes of a file's end are read first, to find its last line.
const TAIL: u64 = 16 << 10;

/// A folder that devices leave entries and photos in.
#[derive(Debug)]
pub(super) struct Shelf {
    root: PathBuf,
}

/// What lies on a shelf, by its names alone.
#[derive(Debug, Default)]
pub(super) struct Survey {
    /// Each device's segments, lowest number first.
    pub segments: BTreeMap<DeviceId, Vec<SegmentName>>,
    /// The photos, with their sizes in bytes.
    pub photos: BTreeMap<PhotoHash, u64>,
}

/// What became of a file that was to be left.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Left {
    /// It is there now, or the very same was there already.
    There,
    /// Another file has its name.
    NameInUse,
}

impl Shelf {
    /// Opens the folder. It is made where only its last part is missing.
    pub fn open(root: &Path, made: &mut bool) -> Result<Self, ExchangeError> {
        let shelf = Self {
            root: root.to_owned(),
        };
        if !root.is_dir() {
            let parent = root
                .parent()
                .filter(|parent| !parent.as_os_str().is_empty());
            if root.exists() || parent.is_some_and(|parent| !parent.is_dir()) {
                return Err(ExchangeError::NoShelf {
                    shelf: root.to_owned(),
                });
            }
            fs::create_dir(root).map_err(|error| shelf.told(root)(error))?;
            *made = true;
        }
        Ok(shelf)
    }

    /// Lists what is there.
    pub fn survey(&self) -> Result<Survey, ExchangeError> {
        let mut survey = Survey::default();
        for entry in self.list(&self.root.join(JOURNAL))? {
            let Some(device) = parsed(&entry) else {
                continue;
            };
            let mut segments: Vec<SegmentName> = self
                .list(&entry.path())?
                .iter()
                .filter_map(parsed)
                .collect();
            segments.sort();
            survey.segments.insert(device, segments);
        }
        for entry in self.list(&self.root.join(PHOTOS))? {
            let Some(hash) = parsed(&entry) else { continue };
            let meta = entry.metadata().map_err(self.told(&entry.path()))?;
            survey.photos.insert(hash, meta.len());
        }
        Ok(survey)
    }

    /// A folder's entries; none where it is not there yet.
    fn list(&self, dir: &Path) -> Result<Vec<DirEntry>, ExchangeError> {
        match fs::read_dir(dir) {
            Ok(entries) => entries.collect::<Result<_, _>>().map_err(self.told(dir)),
            Err(error)
                if matches!(
                    error.kind(),
                    io::ErrorKind::NotFound | io::ErrorKind::NotADirectory
                ) =>
            {
                Ok(Vec::new())
            }
            Err(error) => Err(self.told(dir)(error)),
        }
    }

    /// Where a segment is.
    pub fn segment(&self, device: DeviceId, name: &SegmentName) -> PathBuf {
        self.root
            .join(JOURNAL)
            .join(device.to_string())
            .join(name.to_string())
    }

    /// Where a photo is.
    pub fn photo(&self, hash: &PhotoHash) -> PathBuf {
        self.root.join(PHOTOS).join(hash.to_string())
    }

    /// A segment's bytes; none where there are more than [`LARGEST`].
    pub fn read_segment(
        &self,
        device: DeviceId,
        name: &SegmentName,
    ) -> Result<Option<Vec<u8>>, ExchangeError> {
        let file = self.segment(device, name);
        let mut bytes = Vec::new();
        File::open(&file)
            .and_then(|open| open.take(LARGEST + 1).read_to_end(&mut bytes))
            .map_err(self.told(&file))?;
        Ok(Some(bytes).filter(|bytes| bytes.len() as u64 <= LARGEST))
    }

    /// A segment's last line; none where the file does not end with a whole one.
    pub fn last_line(
        &self,
        device: DeviceId,
        name: &SegmentName,
    ) -> Result<Option<String>, ExchangeError> {
        let file = self.segment(device, name);
        let mut open = File::open(&file).map_err(self.told(&file))?;
        let mut reach = TAIL;
        loop {
            let (tail, whole) = tail(&mut open, reach).map_err(self.told(&file))?;
            let Some(line) = tail.strip_suffix(b"\n") else {
                return Ok(None);
            };
            let start = line
                .iter()
                .rposition(|byte| *byte == b'\n')
                .map(|at| at + 1);
            match start.or(whole.then_some(0)) {
                Some(start) => return Ok(String::from_utf8(line[start..].to_vec()).ok()),
                None if reach > LONGEST_LINE as u64 + 1 => return Ok(None),
                None => reach *= 8,
            }
        }
    }

    /// Leaves a segment, once it is whole, unless its name is in use.
    pub fn leave_segment(
        &self,
        device: DeviceId,
        name: &SegmentName,
        bytes: &[u8],
    ) -> Result<Left, ExchangeError> {
        let file = self.segment(device, name);
        self.leave(&file, |unfinished| unfinished.write_all(bytes), false)?;
        let there = fs::read(&file).map_err(self.told(&file))?;
        Ok(if there == bytes {
            Left::There
        } else {
            Left::NameInUse
        })
    }

    /// Leaves a photo, once it is whole. One of that name that has another size was cut short, and makes room.
    pub fn leave_photo(&self, hash: &PhotoHash, source: &Path) -> Result<(), ExchangeError> {
        let mut from = File::open(source).map_err(self.told(source))?;
        self.leave(
            &self.photo(hash),
            |unfinished| io::copy(&mut from, unfinished).map(drop),
            true,
        )
    }

    /// Writes a file under another name, waits until it is on the disk, and names it.
    fn leave(
        &self,
        file: &Path,
        write: impl FnOnce(&mut File) -> io::Result<()>,
        replace: bool,
    ) -> Result<(), ExchangeError> {
        let dir = file.parent().unwrap_or(&self.root);
        let attempt = || -> io::Result<()> {
            fs::create_dir_all(dir)?;
            let mut unfinished = unfinished_in(dir)?;
            write(unfinished.as_file_mut())?;
            unfinished.as_file().sync_all()?;
            name(unfinished, file, replace)?;
            for dir in dir
                .ancestors()
                .take_while(|dir| dir.starts_with(&self.root))
            {
                sync_folder(dir)?;
            }
            Ok(())
        };
        attempt().map_err(self.told(file))
    }

    fn told<'a>(&'a self, file: &'a Path) -> impl Fn(io::Error) -> ExchangeError + 'a {
        move |error| ExchangeError::from_io(&error, &self.root, file)
    }
}

/// An entry's name, where it is one of these.
fn parsed<T: std::str::FromStr>(entry: &DirEntry) -> Option<T> {
    entry.file_name().to_str()?.parse().ok()
}

/// Up to so many bytes of a file's end, and whether that is all of it.
fn tail(file: &mut File, reach: u64) -> io::Result<(Vec<u8>, bool)> {
    let size = file.seek(SeekFrom::End(0))?;
    file.seek(SeekFrom::Start(size.saturating_sub(reach)))?;
    let mut tail = Vec::new();
    file.take(reach).read_to_end(&mut tail)?;
    Ok((tail, size <= reach))
}

/// Gives a written file its name. Unless it may replace, a file that has the name stays; so do two devices' files.
fn name(unfinished: tempfile::NamedTempFile, file: &Path, replace: bool) -> io::Result<()> {
    if replace {
        unfinished.persist(file)?;
        return Ok(());
    }
    match unfinished.persist_noclobber(file) {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
        // Some sticks' file systems have no way to do this in one step.
        Err(_) if file.exists() => Ok(()),
        Err(error) => error.file.persist(file).map(drop).map_err(io::Error::from),
    }
}

/// The name of a new file is in its folder, and the folder must reach the disk too.
fn sync_folder(dir: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(dir)?.sync_all()
    } else {
        Ok(())
    }
}

/// A new file that goes away again unless it is given a name.
fn unfinished_in(dir: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(UNFINISHED);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Others are to read it; the system's mask says who may.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir)
}
