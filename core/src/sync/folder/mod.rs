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

mod dir;
mod error;
mod listing;
mod new_file;
mod watch;

use super::chunk::MAX_CHUNK_BYTES;
use super::error::SyncError;
use super::progress::{IsCanceled, never_canceled};
use super::remote::{Listing, Remote};
use super::segment::Segment;
use crate::notebook;
use crate::photo::{LARGEST_FILE_BYTES, PhotoHash};
use dir::Dir;
use error::FolderError;
use new_file::FilePath;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;
use watch::Watch;

const JOURNAL: &str = "journal";
const PHOTOS: &str = "photos";
const CORRUPT_REPORTS: &str = "doubts";
/// The id of a folder remote is this prefix and the folder's path.
const ID_PREFIX: &str = "folder:";
/// Prefix of temporary files, before a complete file gets its name.
const TEMP_PREFIX: &str = ".unfinished-";
/// The longest time that the file system may take for one step. A slow stick takes a minute to
/// write what four photos left in the system's buffers.
const TIMEOUT: Duration = Duration::from_secs(120);

/// A folder that devices put lines and photos in. Everything in it may come from others: see
/// `dir`. The file system may stop answering: see `watch`.
pub struct FolderRemote<'w> {
    root: PathBuf,
    /// The path in its id, without links.
    real_path: PathBuf,
    created: bool,
    watch: Watch<'w>,
}

/// What to do about a folder that does not exist.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MissingFolder {
    /// Create it if its parent exists.
    Create,
    /// Fail with [`SyncError::RemoteMissing`] if it could be created.
    Ask,
    /// Fail with [`SyncError::RemoteNotFound`]: a stick that is not plugged in is not a new remote.
    Fail,
}

impl FolderRemote<'static> {
    /// Opens the folder, and returns whether it had to be created, which is done only if its parent
    /// exists.
    ///
    /// # Errors
    /// As [`FolderRemote::open_with`].
    pub fn open(root: &Path) -> Result<(Self, bool), SyncError> {
        let remote = Self::open_with(root, MissingFolder::Create, &never_canceled)?;
        let created = remote.created;
        Ok((remote, created))
    }
}

impl<'w> FolderRemote<'w> {
    /// Opens the folder. `is_canceled` is called now and then while the file system does not answer.
    ///
    /// # Errors
    /// [`SyncError::RemoteNotFound`] or [`SyncError::RemoteMissing`] if the folder does not exist,
    /// [`SyncError::IsNotebook`] if it is a notebook's, [`SyncError::Unreachable`] if its file system
    /// does not answer; another error if it cannot be read or created.
    pub fn open_with(
        root: &Path,
        missing: MissingFolder,
        is_canceled: &'w IsCanceled<'w>,
    ) -> Result<Self, SyncError> {
        let watch = Watch {
            timeout: TIMEOUT,
            is_canceled,
        };
        let path = root.to_owned();
        let opened = watch.run(move |_| open_root(&path, missing));
        let (real_path, created) =
            opened.map_err(|error| error.of_remote(folder_name(root), root))?;
        Ok(Self {
            root: root.to_owned(),
            real_path,
            created,
            watch,
        })
    }

    /// Returns whether the folder had to be created.
    #[must_use]
    pub fn was_created(&self) -> bool {
        self.created
    }

    /// The path of the folder with this remote id; none for another kind of remote.
    #[must_use]
    pub fn path_of_id(id: &str) -> Option<PathBuf> {
        id.strip_prefix(ID_PREFIX).map(PathBuf::from)
    }

    /// Returns the error about the file `name`. If the folder itself is gone, that is the error, and
    /// no other file is tried.
    fn file_error(&self, error: FolderError, name: &str) -> SyncError {
        let root = self.root.clone();
        let is_there = || self.watch.run(move |_| Ok(Dir::open(&root)?));
        let is_gone = matches!(error, FolderError::Read(_)) && is_there().is_err();
        let error = if is_gone { FolderError::Gone } else { error };
        error.of_file(self.name(), name)
    }
}

impl std::fmt::Debug for FolderRemote<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "FolderRemote({})", self.root.display())
    }
}

/// Returns the name of a folder in a sentence.
#[must_use]
pub fn folder_name(root: &Path) -> String {
    format!("the folder {}", root.display())
}

/// Checks that the folder can be a remote, creating it if asked. Returns its path without links,
/// and whether it was created.
fn open_root(root: &Path, missing: MissingFolder) -> Result<(PathBuf, bool), FolderError> {
    // A notebook would count copies in its own folder as synced, and lose them with the disk.
    if notebook::is_in_notebook(root) {
        return Err(FolderError::IsNotebook);
    }
    let created = match Dir::open(root) {
        Ok(_) => false,
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            create_root(root, missing)?;
            true
        }
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => {
            return Err(FolderError::Gone);
        }
        Err(error) => return Err(error.into()),
    };
    Ok((fs::canonicalize(root)?, created))
}

fn create_root(root: &Path, missing: MissingFolder) -> Result<(), FolderError> {
    let parent = root.parent();
    let parent = parent.filter(|parent| !parent.as_os_str().is_empty());
    let can_create = parent.is_none_or(Path::is_dir);
    match missing {
        MissingFolder::Create if can_create => fs::create_dir(root).map_err(FolderError::Write),
        MissingFolder::Ask if can_create => Err(FolderError::Missing),
        _ => Err(FolderError::Gone),
    }
}

impl Remote for FolderRemote<'_> {
    fn id(&self) -> String {
        format!("{ID_PREFIX}{}", self.real_path.display())
    }

    fn name(&self) -> String {
        folder_name(&self.root)
    }

    fn list(&self, _known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let root = self.root.clone();
        let listed = self
            .watch
            .run(move |reporter| listing::list(&Dir::open(&root)?, &|| reporter.alive()));
        listed
            .map(Some)
            .map_err(|error| error.of_remote(self.name(), &self.root))
    }

    fn pull_lines(&self, segment: &Segment, _from: u64) -> Result<Vec<u8>, SyncError> {
        let (root, name) = (self.root.clone(), segment.to_string());
        let file = FilePath::new(&name);
        let read = self
            .watch
            .run(move |_| read_lines(&file.open(Dir::open(&root)?)?));
        read.map_err(|error| self.file_error(error, &name))
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        let (root, name) = (self.root.clone(), segment.to_string());
        let (file, lines) = (FilePath::new(&name), lines.to_vec());
        let written = self.watch.run(move |_| {
            // Another device may have pushed the same lines meanwhile.
            let existing = file.open(Dir::open(&root)?);
            let existing = existing
                .map_err(FolderError::Read)
                .and_then(|open| read_lines(&open));
            if existing.is_ok_and(|existing| existing == lines) {
                file.clear_corrupt_report(&Dir::open(&root)?);
                return Ok(());
            }
            file.replace(Dir::open(&root)?, |temp_file| {
                temp_file.write_all(&lines).map_err(FolderError::Write)
            })
        });
        written.map_err(|error| self.file_error(error, &name))
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        let (root, name) = (self.root.clone(), photo_name(photo));
        let file = FilePath::new(&name);
        let read = self.watch.read(into, move |into| {
            // It may be larger than it was when it was listed.
            let mut open = file.open(Dir::open(&root)?)?.take(LARGEST_FILE_BYTES + 1);
            io::copy(&mut open, into)?;
            Ok(())
        });
        read.map_err(|error| self.file_error(error, &name))
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        _bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        let (root, name) = (self.root.clone(), photo_name(photo));
        let file = FilePath::new(&name);
        let written = self.watch.write(from, move |from| {
            file.replace(Dir::open(&root)?, |temp_file| {
                io::copy(from, temp_file)
                    .map(drop)
                    .map_err(FolderError::Write)
            })
        });
        written.map_err(|error| self.file_error(error, &name))
    }

    fn report_corrupt(&self, file: &str) {
        let (root, file) = (self.root.clone(), FilePath::new(file));
        let _ = self.watch.run(move |_| {
            file.report_corrupt(&Dir::open(&root)?);
            Ok(())
        });
    }
}

fn photo_name(photo: &PhotoHash) -> String {
    format!("{PHOTOS}/{photo}")
}

/// Reads a segment, up to a byte more than any has.
fn read_lines(file: &File) -> Result<Vec<u8>, FolderError> {
    let mut bytes = Vec::new();
    file.take(MAX_CHUNK_BYTES as u64 + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}
