//! Default folders of notebooks.

use crate::failure::Failure;
use directories::ProjectDirs;
use holebook_core::notebook::Notebook;
use std::path::{Path, PathBuf};

/// The database file in a notebook's folder.
pub const NOTEBOOK: &str = "notebook.sqlite";

/// Returns whether `folder` holds a notebook, or what is left of one.
pub fn is_notebook(folder: &Path) -> bool {
    folder.join(NOTEBOOK).is_file() || Notebook::is_without_database(folder)
}

/// Returns the folder of your own notebook.
///
/// # Errors
/// If the platform has no folder for program data.
pub fn own() -> Result<PathBuf, Failure> {
    data_folder("holebook")
}

/// Returns the folder of the sample notebook.
///
/// # Errors
/// As [`own`].
pub fn sample() -> Result<PathBuf, Failure> {
    data_folder("holebook-sample")
}

fn data_folder(name: &str) -> Result<PathBuf, Failure> {
    let folders = ProjectDirs::from("", "", name);
    let folders = folders.ok_or_else(|| {
        Failure::Message("this computer has no data folder for programs; name the notebook's folder with --notebook DIR".into())
    })?;
    Ok(folders.data_dir().to_owned())
}
