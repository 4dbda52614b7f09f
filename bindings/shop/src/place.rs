//! Where a notebook is kept when nobody says.

use crate::failure::Failure;
use directories::ProjectDirs;
use std::path::{Path, PathBuf};

/// The notebook's own file in its folder.
pub const NOTEBOOK: &str = "notebook.sqlite";

/// Whether `folder` holds a notebook.
pub fn is_notebook(folder: &Path) -> bool {
    folder.join(NOTEBOOK).is_file()
}

/// The folder of the person's own notebook.
///
/// # Errors
/// Where the platform has no place for program data.
pub fn own() -> Result<PathBuf, Failure> {
    data_folder("holebook")
}

/// The folder of the sample notebook, apart from the person's own.
///
/// # Errors
/// As [`own`].
pub fn sample() -> Result<PathBuf, Failure> {
    data_folder("holebook-sample")
}

fn data_folder(name: &str) -> Result<PathBuf, Failure> {
    let folders = ProjectDirs::from("", "", name);
    let folders = folders.ok_or_else(|| {
        Failure::Said("this computer names no place for a program's data; say with --notebook DIR where the notebook is".into())
    })?;
    Ok(folders.data_dir().to_owned())
}
