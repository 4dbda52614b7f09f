//! A folder as a remote: on a stick, shared in the shop, or synchronized between computers by
//! another program.
//!
//! ```text
//! journal/<device>/<first>-<last>-<start of the last line's hash>.jsonl
//! photos/<hash>
//! doubts/photos.<hash>, doubts/journal.<device>.<...>
//! ```
//!
//! The first is a segment of one device's journal, the second a photo named by its content; an empty
//! file in `doubts` reports that the named file is corrupt. These names are kept so that existing
//! folders stay readable.
//!
//! A file gets its name only when it is complete and on the disk. If a failing stick truncates one
//! all the same, its last line or its size shows it, and the file is pushed again. A file that was
//! changed but kept its size is found by the device that pulls it, reported as corrupt, and pushed
//! again by a device that has the right content.

use super::chunk::MAX_CHUNK_BYTES;
use super::error::SyncError;
use super::remote::{Listing, Remote};
use super::segment::Segment;
use super::{Problem, chunk::ChunkError};
use crate::notebook::{self, DeviceId, LineHash, MAX_LINE_BYTES};
use crate::photo::PhotoHash;
use std::collections::BTreeSet;
use std::fs::{self, DirEntry, File};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

const JOURNAL: &str = "journal";
const PHOTOS: &str = "photos";
const CORRUPT_REPORTS: &str = "doubts";
/// The id of a folder remote is this prefix and the folder's path.
const ID_PREFIX: &str = "folder:";
/// Prefix of temporary files, before a complete file gets its name.
const TEMP_PREFIX: &str = ".unfinished-";
/// How many bytes of a file's end are read first, to find its last line.
const TAIL_BYTES: u64 = 16 << 10;

/// A folder that devices put lines and photos in.
#[derive(Debug)]
pub struct FolderRemote {
    root: PathBuf,
}

impl FolderRemote {
    /// Opens the folder, and returns whether it had to be created, which is done only if its parent
    /// exists.
    ///
    /// # Errors
    /// [`SyncError::RemoteNotFound`] if the folder does not exist, [`SyncError::IsNotebook`] if it is
    /// a notebook's; another error if it cannot be created.
    pub fn open(root: &Path) -> Result<(Self, bool), SyncError> {
        let remote = Self {
            root: root.to_owned(),
        };
        if root.is_dir() {
            return Ok((remote.not_a_notebook()?, false));
        }
        let parent = root
            .parent()
            .filter(|parent| !parent.as_os_str().is_empty());
        if root.exists() || parent.is_some_and(|parent| !parent.is_dir()) {
            return Err(SyncError::RemoteNotFound {
                remote: remote.name(),
            });
        }
        let remote = remote.not_a_notebook()?;
        fs::create_dir(root).map_err(|error| remote.io_error(root)(error))?;
        Ok((remote, true))
    }

    /// Opens a folder that was synced with before. Never creates it: a stick that is not plugged in
    /// is not a new remote.
    ///
    /// # Errors
    /// [`SyncError::RemoteNotFound`] if the folder does not exist, [`SyncError::IsNotebook`] if it is
    /// a notebook's.
    pub fn reopen(root: &Path) -> Result<Self, SyncError> {
        let remote = Self {
            root: root.to_owned(),
        };
        if root.is_dir() {
            return remote.not_a_notebook();
        }
        let remote = remote.name();
        Err(SyncError::RemoteNotFound { remote })
    }

    /// A notebook would count copies in its own folder as synced, and lose them with the disk.
    fn not_a_notebook(self) -> Result<Self, SyncError> {
        match notebook::is_in_notebook(&self.root) {
            true => Err(SyncError::IsNotebook {
                remote: self.name(),
            }),
            false => Ok(self),
        }
    }

    /// The path of the folder with this remote id; none for another kind of remote.
    #[must_use]
    pub fn path_of_id(id: &str) -> Option<PathBuf> {
        id.strip_prefix(ID_PREFIX).map(PathBuf::from)
    }

    /// Adds each device's segments to the listing, and files that look truncated.
    fn list_journal(&self, listing: &mut Listing) -> Result<(), SyncError> {
        for folder in self.list(&self.root.join(JOURNAL))? {
            let Some(device) = parsed::<DeviceId>(&folder) else {
                continue;
            };
            for file in self.list(&folder.path())? {
                let name = file.file_name();
                let Some(segment) = name
                    .to_str()
                    .and_then(|name| Segment::from_file_name(device, name))
                else {
                    continue;
                };
                if self.ends_as_named(&file.path(), &segment)? {
                    listing.segments.insert(segment);
                } else {
                    listing.truncated.push(Problem {
                        file: segment.to_string(),
                        reason: ChunkError::Truncated.to_string(),
                    });
                }
            }
        }
        Ok(())
    }

    /// Whether a file ends with the line that its name says.
    fn ends_as_named(&self, file: &Path, segment: &Segment) -> Result<bool, SyncError> {
        let last = File::open(file).and_then(|mut open| last_line(&mut open));
        let last = last.map_err(self.io_error(file))?;
        Ok(last.is_some_and(|line| segment.last_hash.matches(LineHash::of(&line))))
    }

    /// A folder's entries; none if it does not exist yet.
    fn list(&self, dir: &Path) -> Result<Vec<DirEntry>, SyncError> {
        match fs::read_dir(dir) {
            Ok(entries) => entries
                .collect::<Result<_, _>>()
                .map_err(self.io_error(dir)),
            Err(error)
                if matches!(
                    error.kind(),
                    io::ErrorKind::NotFound | io::ErrorKind::NotADirectory
                ) =>
            {
                Ok(Vec::new())
            }
            Err(error) => Err(self.io_error(dir)(error)),
        }
    }

    fn segment_path(&self, segment: &Segment) -> PathBuf {
        let folder = self.root.join(JOURNAL).join(segment.device.to_string());
        folder.join(segment.file_name())
    }

    /// Path of the report that a file is corrupt: all reports are in one folder.
    fn corrupt_report_path(&self, file: &Path) -> PathBuf {
        let name = file.strip_prefix(&self.root).unwrap_or(file);
        let name = name.iter().map(|part| part.to_string_lossy());
        self.root
            .join(CORRUPT_REPORTS)
            .join(name.collect::<Vec<_>>().join("."))
    }

    /// The files that a device has reported as corrupt.
    fn reported_corrupt(&self) -> Result<BTreeSet<String>, SyncError> {
        let reports = self.list(&self.root.join(CORRUPT_REPORTS))?.into_iter();
        let names = reports.filter_map(|report| report.file_name().into_string().ok());
        // Neither a device id nor a photo hash contains a dot.
        Ok(names
            .map(|name| name.splitn(3, '.').collect::<Vec<_>>().join("/"))
            .collect())
    }

    fn photo_path(&self, photo: &PhotoHash) -> PathBuf {
        self.root.join(PHOTOS).join(photo.to_string())
    }

    /// Writes a temporary file, syncs it to the disk, and gives it its name. An existing file of
    /// that name is replaced: it has the same content or is damaged.
    fn write_file(
        &self,
        file: &Path,
        write: impl FnOnce(&mut File) -> io::Result<()>,
    ) -> Result<(), SyncError> {
        let dir = file.parent().unwrap_or(&self.root);
        let attempt = || -> io::Result<()> {
            fs::create_dir_all(dir)?;
            let mut temp_file = temp_file_in(dir)?;
            write(temp_file.as_file_mut())?;
            temp_file.as_file().sync_all()?;
            temp_file.persist(file)?;
            let parents = dir.ancestors();
            parents
                .take_while(|dir| dir.starts_with(&self.root))
                .try_for_each(fsync_dir)
        };
        attempt().map_err(self.io_error(file))?;
        self.clear_corrupt_report(file);
        Ok(())
    }

    /// A report that cannot be removed for lack of permission causes one more push and no other
    /// harm.
    fn clear_corrupt_report(&self, file: &Path) {
        let _ = fs::remove_file(self.corrupt_report_path(file));
    }

    fn io_error<'a>(&'a self, file: &'a Path) -> impl Fn(io::Error) -> SyncError + 'a {
        move |error| SyncError::from_io(&error, &self.name(), &file.display().to_string())
    }
}

impl Remote for FolderRemote {
    fn id(&self) -> String {
        let path = fs::canonicalize(&self.root);
        format!("{ID_PREFIX}{}", path.unwrap_or(self.root.clone()).display())
    }

    fn name(&self) -> String {
        format!("the folder {}", self.root.display())
    }

    fn list(&self, _known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let mut listing = Listing {
            reported_corrupt: self.reported_corrupt()?,
            ..Listing::default()
        };
        self.list_journal(&mut listing)?;
        for file in self.list(&self.root.join(PHOTOS))? {
            let Some(hash) = parsed(&file) else { continue };
            let meta = file.metadata().map_err(self.io_error(&file.path()))?;
            listing.photos.insert(hash, meta.len());
        }
        Ok(Some(listing))
    }

    fn pull_lines(&self, segment: &Segment, _from: u64) -> Result<Vec<u8>, SyncError> {
        let file = self.segment_path(segment);
        let mut bytes = Vec::new();
        File::open(&file)
            .and_then(|open| {
                open.take(MAX_CHUNK_BYTES as u64 + 1)
                    .read_to_end(&mut bytes)
            })
            .map_err(self.io_error(&file))?;
        Ok(bytes)
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        let file = self.segment_path(segment);
        // Another device may have pushed the same lines meanwhile.
        if fs::read(&file).is_ok_and(|existing| existing == lines) {
            self.clear_corrupt_report(&file);
            return Ok(());
        }
        self.write_file(&file, |temp_file| temp_file.write_all(lines))
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        let file = self.photo_path(photo);
        let result = File::open(&file).and_then(|mut open| io::copy(&mut open, into));
        result.map(drop).map_err(self.io_error(&file))
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        self.write_file(&self.photo_path(photo), |temp_file| {
            io::copy(from, temp_file).map(drop)
        })
    }

    /// Does nothing on a read-only stick.
    fn report_corrupt(&self, file: &str) {
        let report = self.corrupt_report_path(&self.root.join(file));
        let _ =
            fs::create_dir_all(self.root.join(CORRUPT_REPORTS)).and_then(|()| File::create(report));
    }
}

/// Parses an entry's file name.
fn parsed<T: std::str::FromStr>(entry: &DirEntry) -> Option<T> {
    entry.file_name().to_str()?.parse().ok()
}

/// A file's last line; none if the file does not end with a complete one.
fn last_line(file: &mut File) -> io::Result<Option<String>> {
    let mut reach = TAIL_BYTES;
    loop {
        let (tail, is_all) = tail(file, reach)?;
        let Some(line) = tail.strip_suffix(b"\n") else {
            return Ok(None);
        };
        let before = line.iter().rposition(|byte| *byte == b'\n');
        match before.map(|at| at + 1).or(is_all.then_some(0)) {
            Some(start) => return Ok(String::from_utf8(line[start..].to_vec()).ok()),
            None if reach > MAX_LINE_BYTES as u64 + 1 => return Ok(None),
            None => reach *= 8,
        }
    }
}

/// Up to `reach` bytes of a file's end, and whether that is the whole file.
fn tail(file: &mut File, reach: u64) -> io::Result<(Vec<u8>, bool)> {
    let size = file.seek(SeekFrom::End(0))?;
    file.seek(SeekFrom::Start(size.saturating_sub(reach)))?;
    let mut tail = Vec::new();
    file.take(reach).read_to_end(&mut tail)?;
    Ok((tail, size <= reach))
}

/// Syncs a folder to the disk, so that the name of a new file in it is durable.
pub(super) fn fsync_dir(dir: &Path) -> io::Result<()> {
    if cfg!(unix) {
        File::open(dir)?.sync_all()
    } else {
        Ok(())
    }
}

/// A temporary file that is deleted unless it is given a name.
pub(super) fn temp_file_in(dir: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(TEMP_PREFIX);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // Other users may read it, as far as the umask allows.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(dir)
}
