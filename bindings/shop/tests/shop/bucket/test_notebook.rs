//! Notebooks that sync with a remote on a server.

use holebook_core::notebook::Notebook;
use holebook_core::sync::{SyncError, SyncReport, ignore_progress, sync_with};
use holebook_sync::bucket::{Address, BucketOptions, BucketRemote, Keys};
use holebook_test_support::notebooks::{self, add_casting};
use holebook_test_support::shop_journals::add_photos;
use std::net::SocketAddr;
use std::path::PathBuf;
use tempfile::TempDir;

/// A real server, and how to access it.
pub trait Server: Sync {
    /// The address of the remote of this name on it, reached at `at`.
    fn address(&self, remote: &str, at: SocketAddr) -> Address;

    /// Its socket address.
    fn at(&self) -> SocketAddr;

    /// Its keys file.
    fn keys(&self) -> PathBuf;

    /// Writes a file there, as another program would.
    fn put(&self, remote: &str, name: &str, bytes: &[u8]);

    /// The names of all files of a remote, with their sizes in bytes.
    fn files(&self, remote: &str) -> Vec<(String, u64)>;
}

/// The remote of this name on a server, reached at `at`.
pub fn remote_at(server: &dyn Server, remote: &str, at: SocketAddr) -> BucketRemote {
    let keys = Keys::read(&server.keys()).unwrap();
    let options = BucketOptions {
        create: true,
        ..BucketOptions::default()
    };
    BucketRemote::open(server.address(remote, at), keys, options).unwrap()
}

/// The remote of this name on a server.
pub fn remote(server: &dyn Server, name: &str) -> BucketRemote {
    remote_at(server, name, server.at())
}

/// A notebook in a folder of its own.
pub struct TestNotebook {
    _dir: TempDir,
    pub notebook: Notebook,
}

impl TestNotebook {
    pub fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(dir.path()).unwrap();
        Self {
            _dir: dir,
            notebook,
        }
    }

    pub fn record_casting(&self, name: &str) {
        add_casting(&self.notebook, name);
    }

    /// Adds a casting and a photo of this many bytes.
    pub fn add_photo(&self, bytes: usize) {
        self.record_casting(&format!("photographed at {bytes}"));
        add_photos(&self.notebook, 1, bytes);
    }

    pub fn sync(&self, remote: &BucketRemote) -> Result<SyncReport, SyncError> {
        sync_with(&self.notebook, remote, &ignore_progress)
    }

    pub fn contents(&self) -> (Vec<String>, Vec<String>) {
        notebooks::contents(&self.notebook)
    }

    pub fn is_valid(&self) -> bool {
        self.notebook.verify().unwrap().is_ok()
    }
}
