//! Notebooks that live for one try.

use holebook_core::notebook::Notebook;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder that goes when it is dropped. In memory where the system has such a place: thousands are made, and no power
/// cut is tried here.
pub fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    let place = if memory.is_dir() {
        memory.to_owned()
    } else {
        std::env::temp_dir()
    };
    tempfile::Builder::new()
        .prefix("holebook-readers-")
        .tempdir_in(place)
        .expect("a folder for a try")
}

/// A notebook that goes when it is dropped.
pub struct Scratch {
    /// The notebook.
    pub notebook: Notebook,
    _folder: TempDir,
}

impl Scratch {
    /// An empty notebook.
    pub fn new() -> Self {
        let folder = folder();
        let notebook = Notebook::open(folder.path()).expect("a notebook in a new folder");
        Self {
            notebook,
            _folder: folder,
        }
    }

    /// A copy of a notebook that nobody has open.
    pub fn copy_of(model: &Path) -> Self {
        let folder = folder();
        copy(model, folder.path());
        let notebook = Notebook::open(folder.path()).expect("a copied notebook");
        Self {
            notebook,
            _folder: folder,
        }
    }
}

fn copy(from: &Path, to: &Path) {
    for entry in fs::read_dir(from).expect("a folder to copy") {
        let entry = entry.expect("a file to copy");
        let place: PathBuf = to.join(entry.file_name());
        if entry.path().is_dir() {
            fs::create_dir_all(&place).expect("a folder in the copy");
            copy(&entry.path(), &place);
        } else {
            fs::copy(entry.path(), &place).expect("a file in the copy");
        }
    }
}
