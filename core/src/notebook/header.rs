//! Checks whether a file is a notebook's database, from its first page alone. SQLite is not asked,
//! since it leaves traces in a file that is refused.

use super::error::NotebookError;
use super::lost_files::check_nothing_is_lost;
use super::paths::{FILE, side_file};
use super::schema;
use super::wal::{self, number};
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::Path;

const MAGIC: &[u8] = b"SQLite format 3\0";
/// As much of page 1 as is needed: the file's header, then that of the page (sections 1.3 and 1.6
/// of SQLite's "Database File Format").
const HEADER_BYTES: u64 = 108;
/// A layout number above this is damage, not a newer program.
pub(crate) const LARGEST_LAYOUT: i64 = 1000;

/// What the first page says.
struct Header {
    is_database: bool,
    application: i64,
    layout: i64,
    /// Whether the database has no table: power failed while the notebook was created.
    is_empty: bool,
}

impl Header {
    fn of(page: &[u8]) -> Self {
        let part = |at: usize| page.get(at..).unwrap_or_default();
        let signed = |at| i64::from(number(part(at)).cast_signed());
        Self {
            is_database: page.starts_with(MAGIC),
            application: signed(68),
            layout: signed(60),
            is_empty: part(100).first() == Some(&13) && number(part(103)) >> 16 == 0,
        }
    }
}

/// Checks a database that no program has open: it is a notebook's, and not of a newer version.
pub(crate) fn check(dir: &Path) -> Result<(), NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    let file = dir.join(FILE);
    let foreign = |why: &str| NotebookError::NotANotebook {
        path: file.clone(),
        why: why.to_owned(),
    };
    let header = read(&file).map_err(failed)?;
    if !header.is_database {
        return Err(foreign(
            "its file is not a database; if its start is damaged, `holebook verify --repair` can find the entries in it",
        ));
    }
    let unfinished = header.application == 0 && header.layout == 0 && header.is_empty;
    if unfinished {
        return check_nothing_is_lost(dir);
    }
    if header.application != schema::APPLICATION_ID {
        return Err(foreign("its database belongs to another program"));
    }
    let dir = dir.to_owned();
    match header.layout {
        0..=schema::LAYOUT => Ok(()),
        theirs @ 1..=LARGEST_LAYOUT => Err(NotebookError::Newer {
            dir,
            theirs,
            ours: schema::LAYOUT,
        }),
        other => Err(NotebookError::Damaged {
            dir,
            detail: format!("its layout number is {other}, which no version of this program has"),
        }),
    }
}

/// Reads the newest first page: that in the log, if a program ended before a checkpoint.
fn read(file: &Path) -> io::Result<Header> {
    let log = match fs::read(side_file(file, "-wal")) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Vec::new(),
        log => log?,
    };
    if let Some(header) = wal::first_page(&log).map(Header::of)
        && header.is_database
    {
        return Ok(header);
    }
    let mut page = Vec::new();
    File::open(file)?
        .take(HEADER_BYTES)
        .read_to_end(&mut page)?;
    Ok(Header::of(&page))
}
