//! Opening the file, and its tables.

use crate::LinkError;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::fs::{self, OpenOptions};
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};

/// The file's name in the notebook's folder. A folder that holds it and no notebook is still free for one.
pub(crate) const FILE: &str = "link.sqlite";
/// The layout that this version writes.
const LAYOUT: i64 = 1;
/// How long a change waits for another program's to end.
const PATIENCE: Duration = Duration::from_secs(10);

/// Times are milliseconds since 1970, in UTC. Of devices' tokens and of codes' secrets there is only the SHA-256; the own
/// key, and the tokens that shop computers gave this device, must be here whole.
const TABLES: &str = "
    CREATE TABLE own (
        what  TEXT PRIMARY KEY,
        value BLOB NOT NULL
    ) WITHOUT ROWID;
    CREATE TABLE device (
        id               INTEGER PRIMARY KEY AUTOINCREMENT,
        name             TEXT NOT NULL,
        token            BLOB NOT NULL UNIQUE,
        paired_at        INTEGER NOT NULL,
        revoked_at       INTEGER,
        last_at          INTEGER,
        entries_brought  INTEGER NOT NULL DEFAULT 0,
        photos_brought   INTEGER NOT NULL DEFAULT 0,
        entries_taken    INTEGER NOT NULL DEFAULT 0,
        photos_taken     INTEGER NOT NULL DEFAULT 0
    );
    CREATE TABLE offer (
        id         INTEGER PRIMARY KEY AUTOINCREMENT,
        link       BLOB NOT NULL,
        words      BLOB,
        made_at    INTEGER NOT NULL,
        until      INTEGER NOT NULL,
        wrong      INTEGER NOT NULL DEFAULT 0,
        taken_back INTEGER NOT NULL DEFAULT 0,
        device     INTEGER REFERENCES device
    );
    CREATE TABLE shop (
        fingerprint BLOB PRIMARY KEY,
        name        TEXT NOT NULL,
        addresses   TEXT NOT NULL,
        token       BLOB NOT NULL,
        paired_at   INTEGER NOT NULL,
        last_at     INTEGER
    ) WITHOUT ROWID;
";

pub(super) fn open(file: &Path) -> Result<Connection, LinkError> {
    make(file).map_err(|error| LinkError::Store {
        file: file.to_owned(),
        detail: error.to_string(),
    })?;
    let mut conn = connect(file).map_err(|error| told(file, &error))?;
    let theirs = bring_up_to_date(&mut conn).map_err(|error| told(file, &error))?;
    if theirs > LAYOUT {
        return Err(LinkError::Newer {
            file: file.to_owned(),
            theirs,
            ours: LAYOUT,
        });
    }
    Ok(conn)
}

pub(super) fn told(file: &Path, error: &rusqlite::Error) -> LinkError {
    LinkError::Store {
        file: file.to_owned(),
        detail: error.to_string(),
    }
}

/// Makes the file, where it is not there, so that nobody else may read it; SQLite gives its side files the same rights.
fn make(file: &Path) -> io::Result<()> {
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder)?;
    }
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::{OpenOptionsExt as _, PermissionsExt as _};
        let found = options.mode(0o600).open(file)?;
        let mode = found.metadata()?.permissions().mode();
        if mode & 0o077 != 0 {
            // It was copied by something that did not keep its rights.
            found.set_permissions(fs::Permissions::from_mode(0o600))?;
        }
    }
    #[cfg(not(unix))]
    options.open(file)?;
    Ok(())
}

fn connect(file: &Path) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(file, flags)?;
    conn.busy_timeout(PATIENCE)?;
    // Phones have no folder for temporary files that SQLite could find.
    conn.pragma_update(None, "temp_store", "memory")?;
    conn.pragma_update(None, "trusted_schema", false)?;
    conn.pragma_update(None, "foreign_keys", true)?;
    Ok(conn)
}

/// Makes the tables where there are none. Gives the layout that the file has then; a newer one is left as it is.
fn bring_up_to_date(conn: &mut Connection) -> rusqlite::Result<i64> {
    let found = layout(conn)?;
    if found > LAYOUT {
        return Ok(found);
    }
    write_ahead(conn)?;
    conn.pragma_update(None, "synchronous", "full")?;
    if found == LAYOUT {
        return Ok(found);
    }
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have been quicker.
    if layout(&tx)? == 0 {
        tx.execute_batch(TABLES)?;
        tx.pragma_update(None, "user_version", LAYOUT)?;
    }
    tx.commit()?;
    layout(conn)
}

fn layout(conn: &Connection) -> rusqlite::Result<i64> {
    conn.pragma_query_value(None, "user_version", |row| row.get(0))
}

/// Turns the write-ahead log on. Where two programs make the file at once, SQLite refuses one of them without waiting.
fn write_ahead(conn: &Connection) -> rusqlite::Result<()> {
    use rusqlite::ErrorCode::{DatabaseBusy, DatabaseLocked};
    let since = Instant::now();
    loop {
        match conn.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(())) {
            Err(error)
                if since.elapsed() < PATIENCE
                    && matches!(
                        error.sqlite_error_code(),
                        Some(DatabaseBusy | DatabaseLocked)
                    ) =>
            {
                std::thread::sleep(Duration::from_millis(5));
            }
            done => return done,
        }
    }
}
