//! Pairing store: `link.sqlite` in the notebook's folder, readable only by its owner.
//!
//! It holds secrets, so it is never synced or bundled. Several programs may have it open at once.
//! Every call reads the file, so a device that one program revokes is rejected by the others from
//! its next request on.

#[cfg(feature = "server")]
mod devices;
#[cfg(feature = "server")]
mod offers;
mod open;
#[cfg(feature = "server")]
mod server_key;
mod shops;

#[cfg(feature = "server")]
pub(crate) use devices::Caller;
#[cfg(feature = "server")]
pub use devices::{DeviceCounts, LastSync, PairedDevice};
#[cfg(feature = "server")]
pub use offers::OfferState;
#[cfg(feature = "server")]
pub(crate) use offers::{OpenDigits, Redeemed};
#[cfg(feature = "server")]
pub(crate) use server_key::ServerKey;
pub use shops::PairedShop;

pub(crate) use open::FILE;

use crate::PairingError;
use crate::clock::Clock;
use rusqlite::{Connection, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// The pairings of one notebook. Clones share one connection. Calls block on the disk and may come
/// from any thread.
#[derive(Debug, Clone)]
pub struct PairingStore(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    file: PathBuf,
    clock: Clock,
    conn: Mutex<Connection>,
}

impl PairingStore {
    /// Opens the pairing store of the notebook in the folder `notebook`, creating the file if
    /// needed.
    ///
    /// # Errors
    /// If the file cannot be read or created, or a newer version wrote it.
    pub fn open(notebook: &Path) -> Result<Self, PairingError> {
        Self::open_with(notebook, Clock::default())
    }

    /// Opens the pairing store like [`PairingStore::open`], with another clock.
    ///
    /// # Errors
    /// As [`PairingStore::open`].
    pub fn open_with(notebook: &Path, clock: Clock) -> Result<Self, PairingError> {
        let file = notebook.join(FILE);
        let conn = Mutex::new(open::open(&file)?);
        Ok(Self(Arc::new(Inner { file, clock, conn })))
    }

    /// Returns the path of the file.
    #[must_use]
    pub fn file(&self) -> &Path {
        &self.0.file
    }

    fn now_ms(&self) -> i64 {
        self.0.clock.now_ms()
    }

    fn read<T>(
        &self,
        query: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, PairingError> {
        // A poisoned lock is safe to use: a panic rolls its transaction back.
        let conn = self.0.conn.lock().unwrap_or_else(PoisonError::into_inner);
        query(&conn).map_err(|error| open::store_error(&self.0.file, &error))
    }

    /// Runs `change` in a write transaction.
    fn write<T>(
        &self,
        change: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T, PairingError> {
        let mut conn = self.0.conn.lock().unwrap_or_else(PoisonError::into_inner);
        let run = || {
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let result = change(&tx)?;
            tx.commit()?;
            Ok(result)
        };
        run().map_err(|error| open::store_error(&self.0.file, &error))
    }
}

#[cfg(test)]
mod tests;
