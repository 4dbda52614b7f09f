//! Keeps a notebook's folder and database readable by their owner alone.

use super::paths::{FILE, side_file};
use std::fs;
use std::io;
use std::path::Path;

/// Creates the notebook's folder, and those above it, if they are not there.
pub(crate) fn create_folder(dir: &Path) -> io::Result<()> {
    if let Some(above) = dir.parent() {
        fs::create_dir_all(above)?;
    }
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    builder.create(dir)
}

/// Creates an empty database file if there is none. SQLite gives its side files the same mode.
pub(crate) fn create_file(dir: &Path) -> io::Result<()> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        options.mode(0o600);
    }
    match options.open(dir.join(FILE)) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => Err(error),
        _ => Ok(()),
    }
}

/// Takes the rights of all others from files that an earlier version, a copy or a restore left
/// open. A file of another owner stays as it is.
pub(crate) fn close_to_others(dir: &Path) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        const OTHERS: u32 = 0o077;
        let file = dir.join(FILE);
        let sides = ["", "-wal", "-shm"].map(|ending| side_file(&file, ending));
        for path in sides.iter().map(std::path::PathBuf::as_path).chain([dir]) {
            let Ok(meta) = fs::symlink_metadata(path) else {
                continue;
            };
            let mode = meta.permissions().mode();
            if mode & OTHERS != 0 && !meta.is_symlink() {
                let _ = fs::set_permissions(path, fs::Permissions::from_mode(mode & !OTHERS));
            }
        }
    }
    #[cfg(not(unix))]
    let _ = dir;
}
