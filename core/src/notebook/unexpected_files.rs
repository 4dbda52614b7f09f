//! Files in the notebook's folder that do not belong there: left over from interrupted work, or put
//! there by somebody.

use super::body::PhotoBody;
use super::cut_log::CUT_LOG_PREFIX;
use super::entry::Line;
use super::entry_kind::EntryKind;
use super::error::{Fault, NotebookError};
use super::{Notebook, lock, paths};
use crate::photo::PhotoHash;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fmt;
use std::path::{Path, PathBuf};
use std::{fs, io};

/// The start of the names of repairs' work folders.
pub(crate) const REPAIR_PREFIX: &str = ".repair-";
/// The same, as earlier versions wrote it.
pub(crate) const FORMER_REPAIR_PREFIX: &str = ".mending-";

/// A file that does not belong to the notebook.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct UnexpectedFile {
    /// Its path in the notebook's folder.
    pub file: PathBuf,
    /// Where it may come from.
    pub why: &'static str,
}

impl fmt::Display for UnexpectedFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file.display(), self.why)
    }
}

const FOREIGN: &str = "it does not belong to the notebook; somebody put it there";
const UNFINISHED: &str = "writing it was interrupted; it is deleted automatically within a day";
const UPLOAD: &str =
    "an upload, in progress or interrupted; it is deleted automatically within a day";
const MAKING: &str = "making a notebook was interrupted; you can delete it";
const UNNAMED: &str = "no entry names this photo; importing it was interrupted";
const ORPHAN: &str = "it is a preview of a photo that is not here";
const REPAIR: &str = "a repair was interrupted; run it again to finish it";

impl Notebook {
    /// Returns the unexpected files in the notebook's folder.
    pub(crate) fn unexpected_files(&self) -> Result<Vec<UnexpectedFile>, NotebookError> {
        let named = self.read(ever_named)?;
        let dir = self.dir();
        let found = list(dir, top)
            .and_then(|mut files| {
                files.extend(self.unexpected_photo_files(&named)?);
                Ok(files)
            })
            .map_err(|error| NotebookError::from_io(&error, dir));
        let mut files = found?;
        files.sort();
        Ok(files)
    }

    fn unexpected_photo_files(
        &self,
        named: &BTreeSet<PhotoHash>,
    ) -> io::Result<Vec<UnexpectedFile>> {
        type Why = fn(&str, &BTreeSet<PhotoHash>) -> Option<&'static str>;
        let inside: [(&str, Why); 3] = [("", original), ("view", preview), ("thumb", preview)];
        let mut files = Vec::new();
        for (folder, why) in inside {
            let path = Path::new(paths::PHOTOS).join(folder);
            let found = list(&self.dir().join(&path), |name| why(name, named))?;
            files.extend(found.into_iter().map(|found| UnexpectedFile {
                file: path.join(found.file),
                ..found
            }));
        }
        Ok(files)
    }
}

/// Returns the unexpected files in a folder; none if there is no such folder.
fn list(dir: &Path, why: impl Fn(&str) -> Option<&'static str>) -> io::Result<Vec<UnexpectedFile>> {
    let entries = match fs::read_dir(dir) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries?,
    };
    let names: Vec<OsString> = entries
        .map(|entry| entry.map(|entry| entry.file_name()))
        .collect::<Result<_, _>>()?;
    let files = names.into_iter().filter_map(|name| {
        let why = why(&name.to_string_lossy())?;
        let file = name.into();
        Some(UnexpectedFile { file, why })
    });
    Ok(files.collect())
}

fn top(name: &str) -> Option<&'static str> {
    let side = name.strip_prefix(paths::FILE);
    match name {
        // A finding tells of it.
        _ if name.starts_with(CUT_LOG_PREFIX) => None,
        _ if name.starts_with(crate::photo::PARTIAL_PREFIX) => Some(UPLOAD),
        _ if name.starts_with(paths::MAKING_PREFIX) => Some(MAKING),
        _ if name.starts_with(REPAIR_PREFIX) || name.starts_with(FORMER_REPAIR_PREFIX) => {
            Some(REPAIR)
        }
        paths::PHOTOS | paths::ASIDE | lock::FILE | paths::SAMPLE_MARKER => None,
        _ if matches!(side, Some("" | "-wal" | "-shm" | "-journal")) => None,
        _ if name.starts_with(paths::PAIRINGS) || name.starts_with(paths::SERVING) => None,
        _ => Some(FOREIGN),
    }
}

fn original(name: &str, named: &BTreeSet<PhotoHash>) -> Option<&'static str> {
    match name.parse::<PhotoHash>() {
        Ok(photo) if named.contains(&photo) => None,
        Ok(_) => Some(UNNAMED),
        Err(_) if matches!(name, "view" | "thumb") => None,
        Err(_) => Some(unfinished_or_foreign(name)),
    }
}

fn preview(name: &str, named: &BTreeSet<PhotoHash>) -> Option<&'static str> {
    let photo = name.strip_suffix(".jpg").map(str::parse::<PhotoHash>);
    match photo {
        Some(Ok(photo)) if named.contains(&photo) => None,
        Some(Ok(_)) => Some(ORPHAN),
        _ => Some(unfinished_or_foreign(name)),
    }
}

fn unfinished_or_foreign(name: &str) -> &'static str {
    if name.starts_with(crate::photo::PARTIAL_PREFIX) {
        UNFINISHED
    } else {
        FOREIGN
    }
}

/// Returns the photos that any readable line names, also one that was struck out.
fn ever_named(conn: &rusqlite::Connection) -> Result<BTreeSet<PhotoHash>, Fault> {
    let read = || -> rusqlite::Result<BTreeSet<PhotoHash>> {
        let sql = "SELECT line FROM entry WHERE kind IN (SELECT value FROM json_each(?1))";
        let mut statement = conn.prepare(sql)?;
        let names = json!(EntryKind::Photo.names()).to_string();
        let mut rows = statement.query([names])?;
        let mut named = BTreeSet::new();
        while let Some(row) = rows.next()? {
            named.extend(row.get(0).ok().and_then(photo_of));
        }
        Ok(named)
    };
    match read().map_err(Fault::from) {
        // Verifying the lines reports the damage.
        Err(fault) if fault.damage().is_some() => Ok(BTreeSet::new()),
        read => read,
    }
}

fn photo_of(line: String) -> Option<PhotoHash> {
    let line = Line::read(line).ok()?;
    let body = PhotoBody::deserialize(&line.entry().body).ok()?;
    Some(body.hash)
}
