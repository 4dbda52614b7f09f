//! Writing a file whole or not at all.

use crate::failure::Failure;
use std::io::{self, ErrorKind, Write as _};
use std::path::Path;

/// Writes to a temporary file first, so that a full disk leaves no half file. An existing file is
/// replaced only if asked for.
pub fn write(file: &Path, content: &[u8], replace: bool) -> io::Result<()> {
    let folder = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut whole = temporary_file().tempfile_in(folder)?;
    whole.write_all(content)?;
    whole.as_file().sync_all()?;
    let persisted = match replace {
        true => whole.persist(file),
        false => whole.persist_noclobber(file),
    };
    persisted.map(drop).map_err(|error| error.error)
}

/// The failure where a file or folder exists already that `--replace` would replace.
pub fn exists(what: &str, path: &Path) -> Failure {
    Failure::Message(format!(
        "{} already exists; choose another name for {what}, or add --replace",
        path.display()
    ))
}

/// The failure to write `what` to a file; `doing` begins the sentence.
pub fn failure(what: &str, doing: &'static str, file: &Path, error: &io::Error) -> Failure {
    match error.kind() {
        ErrorKind::AlreadyExists => exists(what, file),
        _ => Failure::file(doing, file, error),
    }
}

/// A temporary file with ordinary permissions: by default only its owner could read it.
#[cfg(unix)]
fn temporary_file() -> tempfile::Builder<'static, 'static> {
    use std::os::unix::fs::PermissionsExt as _;
    let mut builder = tempfile::Builder::new();
    builder.permissions(std::fs::Permissions::from_mode(0o666));
    builder
}

#[cfg(not(unix))]
fn temporary_file() -> tempfile::Builder<'static, 'static> {
    tempfile::Builder::new()
}
