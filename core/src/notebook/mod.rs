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

mod accept_losses;
mod active_entries;
mod arrivals;
mod body;
pub(crate) mod chain;
mod change_settings;
mod clock;
mod cut_log;
mod delete_empty;
mod drawer;
mod edits;
mod entry;
mod entry_kind;
mod error;
mod face_places;
mod face_setup;
mod facts;
mod file_identity;
mod finding;
mod folder;
mod found_holes;
mod gaps;
mod header;
mod hole_entry;
mod id;
mod import;
mod incoming_line;
mod insert_entries;
mod inserts;
mod invalid_settings;
mod journal;
mod judge;
mod limits;
mod load;
mod lock;
mod lost_files;
mod open;
mod paths;
mod place_basis;
mod place_changes;
mod planned;
mod private_files;
mod projection;
mod projection_row;
mod questions;
mod rebuild;
mod recent;
mod recording;
mod reminders;
mod remotes;
mod removed_photos;
mod require;
mod restore;
mod row_number;
mod schema;
mod search;
mod seen;
mod settings;
mod sync_queries;
mod sync_state;
#[cfg(test)]
pub(crate) mod tests;
mod undo;
mod unexpected_files;
mod validation;
mod verify;
mod views;
pub(crate) mod wal;
mod warning;
mod write;

pub use arrivals::Arrival;
pub use body::{
    CastingBody, DeviceBody, FaceBody, HoleBody, InsertsBody, MarkBody, PhotoBody, ReminderBody,
    StrikeOutBody,
};
pub use chain::{InvalidLineHash, LineHash};
pub use clock::{is_before_1970, now};
pub(crate) use cut_log::{CUT_LOG_PREFIX, FOUND, copy_database};
pub use entry::{Entry, Line, LineError, MAX_LINE_BYTES};
pub use entry_kind::{EntryBody, EntryKind, HoleEntry, Role};
pub use error::{NotebookError, RejectedLine, is_disk_full};
pub use face_setup::{FaceWithSetup, SetupChange};
pub use finding::Finding;
pub(crate) use folder::{check_folder, is_in_notebook};
pub use found_holes::FoundRim;
pub(crate) use header::LARGEST_LAYOUT;
pub use id::{CastingId, DeviceId, EntryId, FaceId, HoleId, PhotoId, Seen};
pub use import::ImportedLines;
pub use inserts::InsertsFile;
pub use journal::Head;
pub use judge::FaceCutEffect;
pub(crate) use lock::NotebookLock;
pub use paths::SAMPLE_MARKER;
pub(crate) use paths::{ASIDE, FILE, PHOTOS, side_file};
pub use planned::PlannedRecord;
pub use recent::{Opened, RecentlyOpened};
pub use recording::{Recording, recording};
pub(crate) use remotes::Unchanged;
pub use remotes::{KnownRemote, SyncCounts};
pub use removed_photos::RemovedPhoto;
pub(crate) use restore::{LocalState, LostLines, aside_path};
pub use search::{MOST_RESULTS, SearchResult, SearchResults};
pub(crate) use settings::SettingName;
pub use settings::Settings;
pub use unexpected_files::UnexpectedFile;
pub(crate) use unexpected_files::{FORMER_REPAIR_PREFIX, REPAIR_PREFIX};
pub use verify::VerifyReport;
pub use views::{
    AskedQuestion, BoltPlan, BoltReport, CastingListed, CastingSummary, CastingView, FaceListed,
    FaceSummary, FaceView, FullTorque, HoleListed, HoleMark, HoleSummary, HoleView, JointPlan,
    JointReport, JournalLine, LikelyAnswer, List, MarkView, OrderRun, OrderedBy, OrderedStep,
    PassTorque, PhotoView, ReadyHole, RunHole, StageCounts, StruckOut, TighteningOrder, ToolRun,
    ToolRuns, WaitingHole, WeakestPart, WorkOrder, WorkScope, marked_at, photo_of_all,
    places_on_face, tightening_order,
};
pub use warning::Warning;

use crate::photo::PhotoStore;
use file_identity::FileIdentity;
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
    identity: FileIdentity,
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
        let open::OpenDatabase {
            conn,
            identity,
            lock,
        } = open::open(dir, lock)?;
        let photos = PhotoStore::open(dir.join(paths::PHOTOS))?;
        let notebook = Self {
            dir: dir.to_owned(),
            photos,
            conn: Mutex::new(conn),
            catalog: Mutex::default(),
            identity,
            _lock: lock,
        };
        notebook.ensure_device()?;
        Ok(notebook)
    }

    /// Gives the notebook a device id if it has none that can be read. Its former lines then stay as
    /// they are.
    fn ensure_device(&self) -> Result<(), NotebookError> {
        if self.read(settings::known_device)?.is_some() {
            return Ok(());
        }
        if self.has_photos_alone()? {
            // Only the log of a new notebook is without its device id.
            let detail = "its log is gone, and its photos are here".to_owned();
            let dir = self.dir.clone();
            return Err(NotebookError::Damaged { dir, detail });
        }
        self.write(|tx| {
            // Another program may have been faster.
            if settings::known_device(tx.conn())?.is_none() {
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
