//! A notebook with its pairings, in a temporary folder.

use crate::{noise_png, notebooks};
use holebook_core::notebook::{FaceBody, Notebook};
use holebook_core::sync::{SyncError, SyncReport, ignore_progress, sync_with};
use holebook_sync::{
    Clock, Fingerprint, LanRemote, PairedShop, PairingCode, PairingError, PairingStore, pair,
};
use std::net::SocketAddr;
use std::sync::Arc;
use tempfile::TempDir;

/// A notebook with its pairings; its folder is deleted when this is dropped.
pub struct TestNotebook {
    /// Its folder.
    pub dir: TempDir,
    /// The notebook.
    pub notebook: Arc<Notebook>,
    /// Its pairings.
    pub store: PairingStore,
}

impl Default for TestNotebook {
    fn default() -> Self {
        Self::new()
    }
}

impl TestNotebook {
    /// Creates an empty one.
    #[must_use]
    pub fn new() -> Self {
        Self::with_clock(Clock::default())
    }

    /// Creates an empty one whose pairings use this clock.
    #[must_use]
    pub fn with_clock(clock: Clock) -> Self {
        let dir = tempfile::tempdir().unwrap();
        // The pairings are created first, as on a phone that is paired before anything is recorded.
        let store = PairingStore::open_with(dir.path(), clock).unwrap();
        let notebook = Arc::new(Notebook::open(dir.path()).unwrap());
        Self {
            dir,
            notebook,
            store,
        }
    }

    /// Adds castings, each with a name of its own.
    pub fn add_castings(&self, name: &str, count: usize) {
        for number in 0..count {
            notebooks::add_casting(&self.notebook, &format!("{name} {number}"));
        }
    }

    /// Adds a casting with a face, and a photo of that many pixels across; another for each seed.
    /// These are three entries.
    pub fn add_photo(&self, seed: u8, edge_px: u32) {
        let file = self.dir.path().join(format!(".{seed}.png"));
        std::fs::write(&file, noise_png::gray(seed, edge_px)).unwrap();
        let casting = notebooks::add_casting(&self.notebook, &format!("with photo {seed}"));
        let face = FaceBody {
            casting,
            name: "top".into(),
            note: None,
        };
        let face = self.notebook.add_face(&face).unwrap();
        self.notebook.add_photo(face, &file, None).unwrap();
        std::fs::remove_file(file).unwrap();
    }

    /// See [`notebooks::contents`].
    #[must_use]
    pub fn contents(&self) -> (Vec<String>, Vec<String>) {
        notebooks::contents(&self.notebook)
    }

    /// Syncs with a shop computer that it is paired with.
    ///
    /// # Errors
    /// As the sync itself.
    pub fn sync(&self, shop: &Fingerprint) -> Result<SyncReport, SyncError> {
        self.sync_at(shop, &[])
    }

    /// Syncs with a shop computer that it is paired with, which may be at more addresses.
    ///
    /// # Errors
    /// As the sync itself.
    pub fn sync_at(
        &self,
        shop: &Fingerprint,
        more: &[SocketAddr],
    ) -> Result<SyncReport, SyncError> {
        let remote = LanRemote::open(&self.store, shop, more).unwrap();
        sync_with(&self.notebook, &remote, &ignore_progress)
    }

    /// Pairs by a code, as Ada's phone.
    ///
    /// # Errors
    /// As pairing itself, or if the code cannot be parsed.
    pub fn pair(&self, code: &str) -> Result<PairedShop, PairingError> {
        let code: PairingCode = code.parse()?;
        pair(&self.store, &code, "Ada's phone", &[])
    }
}
