//! The notebook: a journal of entries, and a projection of it into tables.
//!
//! The journal is the truth: lines of text that are never changed ([`Line`]), each device's in one
//! chain ([`LineHash`]). Which entries are active depends on their ids alone (`active_entries`), so
//! that the order in which they arrive does not matter. The projection tables (`projection`) have
//! one row for each casting, face, photo, hole and mark, updated in the same transaction, and views
//! read them by index. All of them can be rebuilt from the journal; [`Notebook::verify`] does so
//! and compares. What an entry of each kind means is listed once, in `entry_kind`.
//!
//! Two programs may have the same notebook open. Each change takes the file's one write lock before
//! it looks for the end of the chain, so sequence numbers have no gaps and no duplicates.

mod active_entries;
mod body;
pub(crate) mod chain;
mod change_settings;
mod clock;
mod edits;
mod entry;
mod entry_kind;
mod error;
mod facts;
mod finding;
mod hole_entry;
mod id;
mod import;
mod incoming_line;
mod insert_entries;
mod inserts;
mod journal;
mod load;
mod lock;
mod open;
mod projection;
mod projection_row;
mod questions;
mod rebuild;
mod remotes;
mod require;
mod restore;
mod row_number;
mod schema;
mod settings;
mod sync_queries;
mod sync_state;
#[cfg(test)]
pub(crate) mod tests;
mod unexpected_files;
mod validation;
mod verify;
mod views;
mod write;

pub use body::{
    CastingBody, DeviceBody, FaceBody, HoleBody, InsertsBody, MarkBody, PhotoBody, StrikeOutBody,
};
pub use chain::{InvalidLineHash, LineHash};
pub use entry::{Entry, Line, LineError, MAX_LINE_BYTES};
pub use entry_kind::{EntryBody, EntryKind, HoleEntry, Role};
pub use error::{NotebookError, RejectedLine};
pub use finding::Finding;
pub use id::{CastingId, DeviceId, EntryId, FaceId, HoleId, PhotoId};
pub use import::ImportedLines;
pub use inserts::InsertsFile;
pub use journal::Head;
pub(crate) use lock::NotebookLock;
pub(crate) use open::{ASIDE, FILE, PHOTOS, side_file};
pub(crate) use remotes::Unchanged;
pub use remotes::{KnownRemote, SyncCounts};
pub(crate) use restore::{LocalState, Restored, aside_path};
pub(crate) use settings::SettingName;
pub use settings::Settings;
pub use unexpected_files::UnexpectedFile;
pub(crate) use unexpected_files::{FORMER_REPAIR_PREFIX, REPAIR_PREFIX};
pub use verify::VerifyReport;
pub use views::{
    CastingListed, CastingSummary, CastingView, FaceListed, FaceSummary, FaceView, HoleListed,
    HoleMark, HoleSummary, HoleView, JournalLine, List, MarkView, PhotoView, StageCounts,
    StruckOut,
};

use crate::photo::PhotoStore;
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// One device's notebook: a folder with one SQLite file and the photos.
///
/// Its methods block while the disk works. They may be called from any thread; calls wait for each
/// other.
#[derive(Debug)]
pub struct Notebook {
    dir: PathBuf,
    photos: PhotoStore,
    conn: Mutex<Connection>,
    catalog: Mutex<inserts::CachedCatalog>,
    _lock: NotebookLock,
}

impl Notebook {
    /// Opens the notebook in the folder `dir`. Creates one if the folder is new or empty.
    ///
    /// # Errors
    /// If the folder holds something else, if a newer version wrote the notebook (nothing is
    /// changed then), if it is damaged, or if the folder cannot be written.
    pub fn open(dir: &Path) -> Result<Self, NotebookError> {
        Self::open_with(dir, None)
    }

    /// Opens the notebook under an exclusive lock that the caller has already.
    pub(crate) fn open_exclusive(dir: &Path, lock: NotebookLock) -> Result<Self, NotebookError> {
        Self::open_with(dir, Some(lock))
    }

    fn open_with(dir: &Path, lock: Option<NotebookLock>) -> Result<Self, NotebookError> {
        let (conn, lock) = open::open(dir, lock)?;
        let photos = PhotoStore::open(dir.join(open::PHOTOS))?;
        let notebook = Self {
            dir: dir.to_owned(),
            photos,
            conn: Mutex::new(conn),
            catalog: Mutex::default(),
            _lock: lock,
        };
        notebook.ensure_device()?;
        Ok(notebook)
    }

    /// Gives a new notebook its device id.
    fn ensure_device(&self) -> Result<(), NotebookError> {
        if self
            .read(|conn| settings::read(conn, settings::SettingName::Device))?
            .is_some()
        {
            return Ok(());
        }
        self.write(|tx| {
            // Another program may have been faster.
            if settings::read(tx.conn(), settings::SettingName::Device)?.is_none() {
                settings::assign_new_device(tx.conn())?;
            }
            Ok(())
        })
    }

    /// Returns the notebook's folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// Returns the store of its photos.
    pub fn photos(&self) -> &PhotoStore {
        &self.photos
    }

    /// Returns the device id that new entries carry. It changes when the notebook finds that it
    /// was copied.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn device(&self) -> Result<DeviceId, NotebookError> {
        self.read(settings::device)
    }

    /// Rebuilds all projection tables from the journal.
    ///
    /// # Errors
    /// If the notebook cannot be read or written.
    pub fn rebuild(&self) -> Result<(), NotebookError> {
        self.write(|tx| rebuild::rebuild(tx.conn()))
    }

    #[cfg(test)]
    pub(crate) fn connection(&self) -> std::sync::MutexGuard<'_, Connection> {
        self.conn
            .lock()
            .expect("no test panics with the connection")
    }
}
