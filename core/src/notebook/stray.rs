//! Files in the notebook's folder that it has no use for: left by work that was cut off, or put there by somebody.

use super::body::PhotoBody;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::kind::Kind;
use super::{Notebook, open, presence};
use crate::photo::PhotoHash;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::fmt;
use std::path::{Path, PathBuf};
use std::{fs, io};

/// What the folders of repairs on their way begin with.
pub(crate) const MENDING: &str = ".mending-";

/// A file that the notebook has no use for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Stray {
    /// The file, from the notebook's folder.
    pub file: PathBuf,
    /// How it came there, as far as that can be told.
    pub why: &'static str,
}

impl fmt::Display for Stray {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file.display(), self.why)
    }
}

const FOREIGN: &str = "it is not the notebook's; somebody put it there";
const UNFINISHED: &str = "it was cut off while it was written, and goes away by itself in a day";
const UNNAMED: &str = "no entry names this photo; bringing it in was cut off";
const ORPHAN: &str = "it was made from a photo that is not here";
const REPAIR: &str = "a repair was cut off; repair again to finish it";

impl Notebook {
    /// The stray files in the notebook's folder.
    pub(crate) fn stray(&self) -> Result<Vec<Stray>, NotebookError> {
        let named = self.read(ever_named)?;
        let dir = self.dir();
        let found = list(dir, top)
            .and_then(|mut stray| {
                stray.extend(self.stray_photos(&named)?);
                Ok(stray)
            })
            .map_err(|error| NotebookError::from_io(&error, dir));
        let mut stray = found?;
        stray.sort();
        Ok(stray)
    }

    fn stray_photos(&self, named: &BTreeSet<PhotoHash>) -> io::Result<Vec<Stray>> {
        type Why = fn(&str, &BTreeSet<PhotoHash>) -> Option<&'static str>;
        let inside: [(&str, Why); 3] = [("", original), ("view", smaller), ("thumb", smaller)];
        let mut stray = Vec::new();
        for (folder, why) in inside {
            let place = Path::new(open::PHOTOS).join(folder);
            let found = list(&self.dir().join(&place), |name| why(name, named))?;
            stray.extend(found.into_iter().map(|found| Stray {
                file: place.join(found.file),
                ..found
            }));
        }
        Ok(stray)
    }
}

/// What is stray in a folder; nothing where there is no such folder.
fn list(dir: &Path, why: impl Fn(&str) -> Option<&'static str>) -> io::Result<Vec<Stray>> {
    let entries = match fs::read_dir(dir) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries?,
    };
    let names: Vec<OsString> = entries
        .map(|entry| entry.map(|entry| entry.file_name()))
        .collect::<Result<_, _>>()?;
    let stray = names.into_iter().filter_map(|name| {
        let why = why(&name.to_string_lossy())?;
        let file = name.into();
        Some(Stray { file, why })
    });
    Ok(stray.collect())
}

fn top(name: &str) -> Option<&'static str> {
    let side = name.strip_prefix(open::FILE);
    match name {
        _ if name.starts_with(MENDING) => Some(REPAIR),
        open::PHOTOS | open::ASIDE | presence::FILE => None,
        _ if matches!(side, Some("" | "-wal" | "-shm" | "-journal")) => None,
        _ if name.starts_with(open::PAIRINGS) || name.starts_with(open::SERVING) => None,
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

fn smaller(name: &str, named: &BTreeSet<PhotoHash>) -> Option<&'static str> {
    let photo = name.strip_suffix(".jpg").map(str::parse::<PhotoHash>);
    match photo {
        Some(Ok(photo)) if named.contains(&photo) => None,
        Some(Ok(_)) => Some(ORPHAN),
        _ => Some(unfinished_or_foreign(name)),
    }
}

fn unfinished_or_foreign(name: &str) -> &'static str {
    if name.starts_with(crate::photo::UNFINISHED) {
        UNFINISHED
    } else {
        FOREIGN
    }
}

/// The photos that any line names that can be read, also one that was struck.
fn ever_named(conn: &rusqlite::Connection) -> Result<BTreeSet<PhotoHash>, Fault> {
    let read = || -> rusqlite::Result<BTreeSet<PhotoHash>> {
        let mut statement = conn.prepare("SELECT line FROM entry WHERE kind = ?1")?;
        let mut rows = statement.query([Kind::Photo.word()])?;
        let mut named = BTreeSet::new();
        while let Some(row) = rows.next()? {
            named.extend(row.get(0).ok().and_then(photo_of));
        }
        Ok(named)
    };
    match read().map_err(Fault::from) {
        // Damage is told of where the lines are verified.
        Err(fault) if fault.damage().is_some() => Ok(BTreeSet::new()),
        read => read,
    }
}

fn photo_of(line: String) -> Option<PhotoHash> {
    let line = Line::read(line).ok()?;
    let body = PhotoBody::deserialize(&line.entry().body).ok()?;
    Some(body.hash)
}
