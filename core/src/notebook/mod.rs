//! The notebook: a journal of entries, and what it says now.
//!
//! The journal is the truth: lines of text that are never changed ([`Line`]), each device's in one chain ([`LineHash`]).
//! Which of them stand is worked out from their ids alone (`standing`), so that it makes no difference in which order
//! they came. From those that stand one row a thing is kept (`now`), in the same transaction, for the views to read by
//! index. All of it can be built again from the journal, and [`Notebook::verify`] does so and compares.
//!
//! Two programs may have the same notebook open. Each change takes the file's one write lock before it looks at where
//! the chain ends, so sequence numbers have no gaps and no doubles.

mod arrived;
mod body;
mod chain;
mod changes;
mod check;
mod entry;
mod error;
mod expect;
mod finding;
mod gather;
mod home;
mod id;
mod inserts;
mod intake;
mod journal;
mod kind;
mod moment;
mod now;
mod open;
mod outgoing;
mod place;
mod presence;
mod rebuild;
mod refill;
mod saying;
mod schema;
mod settings;
mod shelves;
mod standing;
mod stray;
mod take;
#[cfg(test)]
pub(crate) mod tests;
mod verify;
mod views;
mod write;

pub use body::{
    CastingBody, DeviceBody, FaceBody, HoleBody, InsertsBody, MarkBody, PhotoBody, StrikeBody,
};
pub use chain::{LineHash, NotAHash};
pub use entry::{Entry, LONGEST_LINE, Line, LineError};
pub use error::NotebookError;
pub use finding::Finding;
pub use id::{CastingId, DeviceId, EntryId, FaceId, HoleId, PhotoId};
pub use inserts::InsertsFile;
pub use journal::{Head, NotTaken};
pub use kind::Kind;
pub(crate) use open::{ASIDE, FILE, PHOTOS, side_file};
pub(crate) use presence::Presence;
pub(crate) use refill::{Kept, Refilled, place_aside};
pub use saying::Saying;
pub(crate) use settings::Name as SettingName;
pub use settings::Settings;
pub(crate) use shelves::Same;
pub use shelves::{KnownShelf, Moved};
pub(crate) use stray::MENDING;
pub use stray::Stray;
pub use take::Taken;
pub use verify::Report;
pub use views::{
    CastingListed, CastingSummary, CastingView, FaceListed, FaceSummary, FaceView, HoleListed,
    HoleMark, HoleSummary, HoleView, JournalLine, List, MarkView, PhotoView, StateCounts, Struck,
};

use crate::photo::PhotoStore;
use rusqlite::Connection;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// All that one device holds: a folder with one SQLite file and the photos.
///
/// Its methods block for as long as the disk takes. They may be called from any thread; calls wait for each other.
#[derive(Debug)]
pub struct Notebook {
    dir: PathBuf,
    photos: PhotoStore,
    conn: Mutex<Connection>,
    catalogue: Mutex<inserts::Kept>,
    _presence: Presence,
}

impl Notebook {
    /// Opens the notebook in the folder `dir`. Where the folder is new or empty, a notebook is made in it.
    ///
    /// # Errors
    /// Where the folder holds something else, a newer version wrote the notebook (nothing is changed then), it is
    /// damaged, or the folder cannot be written.
    pub fn open(dir: &Path) -> Result<Self, NotebookError> {
        Self::open_as(dir, None)
    }

    /// Opens it for whoever holds it alone already.
    pub(crate) fn open_alone(dir: &Path, alone: Presence) -> Result<Self, NotebookError> {
        Self::open_as(dir, Some(alone))
    }

    fn open_as(dir: &Path, alone: Option<Presence>) -> Result<Self, NotebookError> {
        let (conn, presence) = open::open(dir, alone)?;
        let photos = PhotoStore::open(dir.join(open::PHOTOS))?;
        let notebook = Self {
            dir: dir.to_owned(),
            photos,
            conn: Mutex::new(conn),
            catalogue: Mutex::default(),
            _presence: presence,
        };
        notebook.identify()?;
        Ok(notebook)
    }

    /// Sees that the notebook has a device id.
    fn identify(&self) -> Result<(), NotebookError> {
        if self
            .read(|conn| settings::read(conn, settings::Name::Device))?
            .is_some()
        {
            return Ok(());
        }
        self.write(|pen| {
            // Another program may have been quicker.
            if settings::read(pen.conn(), settings::Name::Device)?.is_none() {
                settings::take_new_device(pen.conn())?;
            }
            Ok(())
        })
    }

    /// The notebook's folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    /// The photos beside it.
    pub fn photos(&self) -> &PhotoStore {
        &self.photos
    }

    /// The identity that new entries are written under. It changes where the notebook finds that it was copied.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn device(&self) -> Result<DeviceId, NotebookError> {
        self.read(settings::device)
    }

    /// Builds every table but the journal from the journal alone.
    ///
    /// # Errors
    /// Where the notebook cannot be read or written.
    pub fn rebuild(&self) -> Result<(), NotebookError> {
        self.write(|pen| rebuild::rebuild(pen.conn()))
    }

    #[cfg(test)]
    pub(crate) fn connection(&self) -> std::sync::MutexGuard<'_, Connection> {
        self.conn
            .lock()
            .expect("no test panics with the connection")
    }
}
