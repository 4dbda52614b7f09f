//! Notebooks that live for one input.

use holebook_core::notebook::Notebook;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// A folder that is deleted when dropped. In memory if possible: thousands are created, and power
/// failures are not tested here.
pub fn folder() -> TempDir {
    let memory = Path::new("/dev/shm");
    let path = if memory.is_dir() {
        memory.to_owned()
    } else {
        std::env::temp_dir()
    };
    tempfile::Builder::new()
        .prefix("holebook-fuzz-")
        .tempdir_in(path)
        .expect("a folder for a try")
}

/// A notebook that is deleted when dropped.
pub struct TempNotebook {
    /// The notebook.
    pub notebook: Notebook,
    _folder: TempDir,
}

impl TempNotebook {
    /// An empty notebook.
    pub fn new() -> Self {
        let folder = folder();
        let notebook = Notebook::open(folder.path()).expect("a notebook in a new folder");
        Self {
            notebook,
            _folder: folder,
        }
    }

    /// A copy of a notebook, from its files.
    pub fn copy_of(model: &NotebookFiles) -> Self {
        let folder = folder();
        model.lay_out(folder.path());
        let notebook = Notebook::open(folder.path()).expect("a copied notebook");
        Self {
            notebook,
            _folder: folder,
        }
    }
}

/// The files of a closed notebook, in memory.
#[derive(Debug)]
pub struct NotebookFiles(Vec<(PathBuf, Vec<u8>)>);

impl NotebookFiles {
    /// The files of the notebook in this folder.
    pub fn of(folder: &Path) -> Self {
        let mut files = Vec::new();
        let mut folders = vec![folder.to_owned()];
        while let Some(inner) = folders.pop() {
            for entry in fs::read_dir(inner).expect("a folder to copy") {
                let path = entry.expect("a file to copy").path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let name = path.strip_prefix(folder).expect("a file below it");
                    files.push((name.to_owned(), fs::read(&path).expect("a file to copy")));
                }
            }
        }
        Self(files)
    }

    /// Writes copies of the files to a folder.
    pub fn lay_out(&self, folder: &Path) {
        for (name, bytes) in &self.0 {
            let file = folder.join(name);
            let path = file.parent().expect("a file in a folder");
            fs::create_dir_all(path).expect("a folder in the copy");
            fs::write(&file, bytes).expect("a file in the copy");
        }
    }
}
