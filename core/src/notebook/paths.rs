//! Names of the files in a notebook's folder.

use std::path::{Path, PathBuf};

/// The database file's name in the notebook's folder.
pub(crate) const FILE: &str = "notebook.sqlite";
/// The photos' folder in the notebook's folder.
pub(crate) const PHOTOS: &str = "photos";
/// The file of the pairings with other computers, which may exist before the notebook does.
pub(crate) const PAIRINGS: &str = "link.sqlite";
/// The start of the names of files by which programs agree on which of them serves the notebook.
pub(crate) const SERVING: &str = ".shelf-";
/// The folder for files that a repair replaced.
pub(crate) const ASIDE: &str = "aside";

/// The file that marks the sample notebook's folder.
pub const SAMPLE_MARKER: &str = "SAMPLE.txt";
/// The start of the name of the folder in which a database is created.
pub(crate) const MAKING_PREFIX: &str = ".making-";

/// Returns the path of a database's side file, such as its log, which ends with `-wal`.
pub(crate) fn side_file(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
