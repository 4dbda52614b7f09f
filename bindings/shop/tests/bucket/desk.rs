//! Notebooks that exchange over a shelf elsewhere.

use holebook_core::exchange::{ExchangeError, Report, exchange_over, unwatched};
use holebook_core::notebook::Notebook;
use holebook_shop::bucket::{Address, BucketShelf, Keys, May};
use holebook_tests::books;
use holebook_tests::shop::photograph;
use std::net::SocketAddr;
use std::path::PathBuf;
use tempfile::TempDir;

/// A real server, and how it is got into.
pub trait Server: Sync {
    /// The address of a shelf of this name on it, where it is reached at `at`.
    fn address(&self, shelf: &str, at: SocketAddr) -> Address;

    /// Where it answers.
    fn at(&self) -> SocketAddr;

    /// The file of its keys.
    fn keys(&self) -> PathBuf;

    /// Puts bytes there, as another program would.
    fn put(&self, shelf: &str, name: &str, bytes: &[u8]);

    /// The names of all files of a shelf, with their sizes.
    fn files(&self, shelf: &str) -> Vec<(String, u64)>;
}

/// The shelf of this name on a server, by way of `at`.
pub fn shelf_at(server: &dyn Server, shelf: &str, at: SocketAddr) -> BucketShelf<'static> {
    let keys = Keys::read(&server.keys()).unwrap();
    let may = May {
        make: true,
        ..May::default()
    };
    BucketShelf::open(server.address(shelf, at), keys, may, &|| false).unwrap()
}

/// The shelf of this name on a server.
pub fn shelf(server: &dyn Server, name: &str) -> BucketShelf<'static> {
    shelf_at(server, name, server.at())
}

/// A notebook in a folder of its own.
pub struct Desk {
    _dir: TempDir,
    pub notebook: Notebook,
}

impl Desk {
    pub fn new() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(dir.path()).unwrap();
        Self {
            _dir: dir,
            notebook,
        }
    }

    pub fn note(&self, name: &str) {
        books::casting(&self.notebook, name);
    }

    /// Notes a casting, and puts in a photo of so many bytes.
    pub fn photograph(&self, bytes: usize) {
        self.note(&format!("photographed at {bytes}"));
        photograph(&self.notebook, 1, bytes);
    }

    pub fn exchange(&self, shelf: &BucketShelf<'_>) -> Result<Report, ExchangeError> {
        exchange_over(&self.notebook, shelf, &unwatched)
    }

    pub fn ends(&self) -> (Vec<String>, Vec<String>) {
        books::ends(&self.notebook)
    }

    pub fn is_sound(&self) -> bool {
        self.notebook.verify().unwrap().is_sound()
    }
}
