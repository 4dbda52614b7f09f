//! Opens the database: checks the file before it touches it, then migrates it.

use super::cut_log::keep_if_cut;
use super::error::{Fault, NotebookError};
use super::file_identity::FileIdentity;
use super::folder::check_folder;
use super::lock::{BUSY_TIMEOUT, NotebookLock};
use super::lost_files::is_not_empty;
use super::paths::{FILE, MAKING_PREFIX, side_file};
use super::private_files::{close_to_others, create_file};
use super::{lock, schema, settings};
use crate::photo::fsync_dir;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::fs;
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};

/// An open database.
#[derive(Debug)]
pub(crate) struct OpenDatabase {
    pub conn: Connection,
    pub identity: FileIdentity,
    pub lock: NotebookLock,
}

/// Opens the notebook's database, and creates it if the folder is new or empty. Takes a shared
/// lock, or keeps the exclusive one that the caller has.
pub(crate) fn open(
    dir: &Path,
    exclusive: Option<NotebookLock>,
) -> Result<OpenDatabase, NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    let keep_exclusive = exclusive.is_some();
    let mut lock = match exclusive {
        Some(lock) => {
            check_folder(dir)?;
            lock
        }
        None => check_and_lock(dir)?,
    };
    if lock.is_exclusive() && !keep_exclusive {
        keep_if_cut(dir).map_err(failed)?;
    }
    let file = dir.join(FILE);
    if !is_not_empty(&file).map_err(failed)? {
        create(dir, lock.is_exclusive())?;
    }
    close_to_others(dir);
    let connected = match connect(&file, false) {
        // Without room for the log's shared index the notebook can be read all the same, by this
        // program alone.
        Err(fault) if lock.is_exclusive() && fault.is_about_shared_index() => {
            connect(&file, true).map(|conn| (conn, true))
        }
        connected => connected.map(|conn| (conn, false)),
    };
    let (conn, alone) = connected.map_err(|fault| fault.at(dir))?;
    if !(keep_exclusive || alone) {
        lock.share(dir)?;
    }
    Ok(OpenDatabase {
        conn,
        identity: FileIdentity::of(dir),
        lock,
    })
}

/// Creates the database beside its place and moves it there when it is complete, so that one without
/// tables is always damaged. If another program may do the same, creates it in place.
fn create(dir: &Path, exclusive: bool) -> Result<(), NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    if !exclusive {
        return create_file(dir).map_err(failed);
    }
    let making = tempfile::Builder::new()
        .prefix(MAKING_PREFIX)
        .tempdir_in(dir);
    let making = making.map_err(failed)?;
    create_file(making.path()).map_err(failed)?;
    let new = making.path().join(FILE);
    let created = (|| {
        let conn = connect(&new, true)?;
        settings::assign_new_device(&conn)?;
        Ok(())
    })();
    created.map_err(|fault: Fault| fault.at(dir))?;
    let file = dir.join(FILE);
    // SQLite would apply what an interrupted creation left to the new file.
    for ending in ["-journal", "-wal", "-shm"] {
        match fs::remove_file(side_file(&file, ending)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(failed(error)),
            _ => {}
        }
    }
    let moved = fs::File::open(&new).and_then(|new| new.sync_all());
    moved
        .and_then(|()| fs::rename(&new, &file))
        .and_then(|()| fsync_dir(dir))
        .map_err(failed)
}

/// Takes a lock, an exclusive one if no program has the notebook open, and then checks the folder.
/// The program that has it open has checked it; and to close a file that this process has open
/// elsewhere would release SQLite's locks on it.
fn check_and_lock(dir: &Path) -> Result<NotebookLock, NotebookError> {
    if !dir.join(lock::FILE).exists() {
        check_folder(dir)?;
        return NotebookLock::for_opening(dir);
    }
    match NotebookLock::for_opening(dir) {
        Ok(lock) if !lock.is_exclusive() => Ok(lock),
        locked => check_folder(dir).and(locked),
    }
}

/// Connects for reading and writing, and migrates the file. With `alone`, no other program can
/// connect, and the log needs no shared index.
fn connect(file: &Path, alone: bool) -> Result<Connection, Fault> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut conn = Connection::open_with_flags(file, flags)?;
    conn.busy_timeout(BUSY_TIMEOUT)?;
    conn.set_prepared_statement_cache_capacity(64);
    if alone {
        conn.pragma_update_and_check(None, "locking_mode", "exclusive", |_| Ok(()))?;
    }
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
