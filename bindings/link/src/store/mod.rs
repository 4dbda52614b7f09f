//! What is kept of pairings: `link.sqlite` in the notebook's folder, which only its owner may read.
//!
//! It holds secrets, so it is never part of an exchange or a bundle. Several programs may have it open at once: each call
//! asks the file anew, so a device that one of them revokes is turned away by the others' next answer.

#[cfg(feature = "server")]
mod devices;
#[cfg(feature = "server")]
mod offers;
mod open;
#[cfg(feature = "server")]
mod own;
mod shops;

#[cfg(feature = "server")]
pub(crate) use devices::Caller;
#[cfg(feature = "server")]
pub use devices::{Device, LastExchange, Passed};
#[cfg(feature = "server")]
pub use offers::OfferState;
#[cfg(feature = "server")]
pub(crate) use offers::Redeemed;
pub use shops::Shop;

pub(crate) use open::FILE;

use crate::LinkError;
use crate::clock::Clock;
use rusqlite::{Connection, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The pairings of one notebook. Clones share one connection. Calls block for as long as the disk takes, and may come
/// from any thread.
#[derive(Debug, Clone)]
pub struct Store(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    file: PathBuf,
    clock: Clock,
    conn: Mutex<Connection>,
}

impl Store {
    /// Opens the pairings of the notebook in the folder `notebook`, and makes the file where there is none.
    ///
    /// # Errors
    /// Where the file cannot be read or made, or a newer version wrote it.
    pub fn open(notebook: &Path) -> Result<Self, LinkError> {
        Self::open_with(notebook, Clock::default())
    }

    /// The same with a clock of one's own.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub fn open_with(notebook: &Path, clock: Clock) -> Result<Self, LinkError> {
        let file = notebook.join(FILE);
        let conn = Mutex::new(open::open(&file)?);
        Ok(Self(Arc::new(Inner { file, clock, conn })))
    }

    /// The file.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.0.file
    }

    fn now_ms(&self) -> i64 {
        self.0.clock.now_ms()
    }

    fn read<T>(
        &self,
        ask: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, LinkError> {
        // A call that panicked left nothing half: its transaction was rolled back.
        let conn = self.0.conn.lock().unwrap_or_else(PoisonError::into_inner);
        ask(&conn).map_err(|error| open::told(&self.0.file, &error))
    }

    /// Does all of `change` or nothing, while no other program writes.
    fn write<T>(
        &self,
        change: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, LinkError> {
        let mut conn = self.0.conn.lock().unwrap_or_else(PoisonError::into_inner);
        let all = || {
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let done = change(&tx)?;
            tx.commit()?;
            Ok(done)
        };
        all().map_err(|error| open::told(&self.0.file, &error))
    }
}

#[cfg(test)]
mod tests;
