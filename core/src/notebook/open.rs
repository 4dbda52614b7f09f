//! Opens the database: checks the file before it touches it, then migrates it.

use super::error::{Fault, NotebookError};
use super::lock::NotebookLock;
use super::schema;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

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

/// How long a write waits for another program's write.
const BUSY_TIMEOUT: Duration = Duration::from_secs(10);

/// Opens the notebook's database, and creates it if the folder is new or empty. Takes a shared
/// lock, or keeps the exclusive one that the caller has.
pub(crate) fn open(
    dir: &Path,
    exclusive: Option<NotebookLock>,
) -> Result<(Connection, NotebookLock), NotebookError> {
    let file = dir.join(FILE);
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    if is_not_empty(&file).map_err(failed)? {
        check_header(dir, &file)?;
    } else if is_not_empty(&side_file(&file, "-wal")).map_err(failed)? {
        // SQLite would take the log for a leftover and delete it.
        let detail = "its file is gone or empty, and its log is not".to_owned();
        let dir = dir.to_owned();
        return Err(NotebookError::Damaged { dir, detail });
    } else {
        prepare_folder(dir)?;
    }
    let lock = exclusive.map_or_else(|| NotebookLock::shared(dir), Ok)?;
    let conn = connect(&file).map_err(|fault| fault.at(dir))?;
    Ok((conn, lock))
}

fn is_not_empty(file: &Path) -> io::Result<bool> {
    match fs::metadata(file) {
        Ok(found) => Ok(found.len() > 0),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(error) => Err(error),
    }
}

/// Creates the folder, or checks that it holds nothing foreign.
fn prepare_folder(dir: &Path) -> Result<(), NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    if dir.exists() && !dir.is_dir() {
        return Err(NotebookError::NotANotebook {
            path: dir.to_owned(),
            why: "it is a file",
        });
    }
    fs::create_dir_all(dir).map_err(failed)?;
    for found in fs::read_dir(dir).map_err(failed)? {
        let name = found.map_err(failed)?.file_name();
        let name = name.to_string_lossy();
        let ours = [FILE, PAIRINGS].iter().any(|file| name.starts_with(file));
        if !(name.starts_with('.') || [PHOTOS, ASIDE].contains(&&*name) || ours) {
            let why = "the folder holds other files and no notebook";
            return Err(NotebookError::NotANotebook {
                path: dir.to_owned(),
                why,
            });
        }
    }
    Ok(())
}

/// Checks the file's header without leaving a trace: no lock, no side file, no new timestamp.
fn check_header(dir: &Path, file: &Path) -> Result<(), NotebookError> {
    let foreign = |why| NotebookError::NotANotebook {
        path: file.to_owned(),
        why,
    };
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_URI
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let seen = Connection::open_with_flags(immutable_uri(file), flags).and_then(|conn| {
        let application: i64 = conn.pragma_query_value(None, "application_id", |row| row.get(0))?;
        let layout: i64 = conn.pragma_query_value(None, "user_version", |row| row.get(0))?;
        let tables: i64 =
            conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
        // If power failed while the notebook was created, the database is empty, and its first
        // content may be in the log.
        let unfinished = application == 0 && layout == 0 && tables == 0;
        Ok((application == schema::APPLICATION_ID || unfinished, layout))
    });
    let (ours, layout) = match seen {
        Ok(seen) => seen,
        Err(error) if error.sqlite_error_code() == Some(rusqlite::ErrorCode::NotADatabase) => {
            return Err(foreign(
                "its file is not a database; if its start is damaged, `holebook verify --repair` can find the entries in it",
            ));
        }
        Err(error) => return Err(Fault::from(error).at(dir)),
    };
    if !ours {
        return Err(foreign("its database belongs to another program"));
    }
    let theirs = layout.max(layout_in_wal(file).unwrap_or(0));
    if theirs > schema::LAYOUT {
        return Err(NotebookError::Newer {
            dir: dir.to_owned(),
            theirs,
            ours: schema::LAYOUT,
        });
    }
    Ok(())
}

/// Returns a file name as an SQLite URI with the promise not to change the file.
fn immutable_uri(file: &Path) -> String {
    let mut uri = String::from("file:");
    for byte in file.to_string_lossy().bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' => {
                uri.push(char::from(byte))
            }
            _ => uri.push_str(&format!("%{byte:02X}")),
        }
    }
    uri + "?mode=ro&immutable=1"
}

/// Returns the newest layout in the write-ahead log, which is there if a program ended before a
/// checkpoint. The log has a header of 32 bytes, then frames of a 24-byte header (page number
/// first) and one page each; page 1 holds the layout at offset 60 (SQLite's "Database File Format",
/// sections 1.3 and 4).
fn layout_in_wal(file: &Path) -> Option<i64> {
    let mut wal = io::BufReader::new(fs::File::open(side_file(file, "-wal")).ok()?);
    let mut header = [0; 32];
    wal.read_exact(&mut header).ok()?;
    let page_size = usize::try_from(number(&header[8..]))
        .ok()
        .filter(|size| (512..=65_536).contains(size))?;
    let mut frame = vec![0; 24 + page_size];
    let mut newest = None;
    while wal.read_exact(&mut frame).is_ok() {
        let of_this_log = frame[8..16] == header[16..24];
        if of_this_log && number(&frame) == 1 {
            newest = newest.max(Some(i64::from(number(&frame[24 + 60..]))));
        }
    }
    newest
}

fn number(bytes: &[u8]) -> u32 {
    bytes
        .iter()
        .take(4)
        .fold(0, |number, byte| number << 8 | u32::from(*byte))
}

pub(crate) fn side_file(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

/// Connects for reading and writing, and migrates the file.
fn connect(file: &Path) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut conn = Connection::open_with_flags(file, flags)?;
    conn.busy_timeout(BUSY_TIMEOUT)?;
    conn.set_prepared_statement_cache_capacity(64);
    // FULL waits for the disk at every commit, so that an acknowledged change survives loss of
    // power.
    write_ahead(&conn)?;
    conn.pragma_update(None, "synchronous", "full")?;
    // Negative values are KiB: room for the inner pages of a large notebook.
    conn.pragma_update(None, "cache_size", -16_384)?;
    // Phones have no folder for temporary files that SQLite could find.
    conn.pragma_update(None, "temp_store", "memory")?;
    conn.pragma_update(None, "trusted_schema", false)?;
    if conn.is_readonly("main")? {
        return Err(rusqlite::Error::SqliteFailure(
            rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_READONLY),
            None,
        )
        .into());
    }
    if schema::is_up_to_date(&conn)? {
        return Ok(conn);
    }
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    schema::migrate(&tx)?;
    tx.commit()?;
    // Moves the layout number to the file itself, where an older version looks first.
    conn.pragma_update_and_check(None, "wal_checkpoint", "truncate", |_| Ok(()))?;
    Ok(conn)
}

/// Turns on the write-ahead log. If two programs create the same notebook at once, SQLite refuses
/// one of them immediately, so this retries.
fn write_ahead(conn: &Connection) -> Result<(), Fault> {
    let since = Instant::now();
    loop {
        let mode = conn
            .pragma_update_and_check(None, "journal_mode", "wal", |row| row.get::<_, String>(0));
        match mode {
            Ok(_) => return Ok(()),
            Err(error) if is_busy(&error) && since.elapsed() < BUSY_TIMEOUT => {
                std::thread::sleep(Duration::from_millis(5))
            }
            Err(error) => return Err(error.into()),
        }
    }
}

fn is_busy(error: &rusqlite::Error) -> bool {
    use rusqlite::ErrorCode::{DatabaseBusy, DatabaseLocked};
    matches!(
        error.sqlite_error_code(),
        Some(DatabaseBusy | DatabaseLocked)
    )
}
