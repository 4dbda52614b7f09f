//! Opens the pairing store's file and creates its tables.

use crate::PairingError;
use holebook_core::notebook::is_disk_full;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::fs::{self, OpenOptions};
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};

/// The file's name in the notebook's folder. The name, and the names of tables and columns, are
/// kept from the first version so that paired devices stay paired. A folder that contains this file
/// but no notebook can still get one.
pub(crate) const FILE: &str = "link.sqlite";
/// The schema version that this program writes.
const SCHEMA_VERSION: i64 = 2;
/// How long a write waits for another program's transaction.
const BUSY_TIMEOUT: Duration = Duration::from_secs(10);

/// Times are milliseconds since 1970 in UTC. Tokens of devices and secrets of pairing codes are
/// stored as SHA-256 only. This computer's key, and the tokens that shop computers gave this
/// device, are needed in full. In `device`, `entries_brought` and `photos_brought` count what the
/// device pushed, `entries_taken` and `photos_taken` what it pulled.
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
    CREATE TABLE shop (
        fingerprint BLOB PRIMARY KEY,
        name        TEXT NOT NULL,
        addresses   TEXT NOT NULL,
        token       BLOB NOT NULL,
        paired_at   INTEGER NOT NULL,
        last_at     INTEGER
    ) WITHOUT ROWID;
";

/// Codes that were created. A code's digits are few enough to be found from a hash of them, so they are
/// stored as they are, until a device has paired. `renewed` counts how often they were replaced.
const OFFERS: &str = "
    CREATE TABLE offer (
        id         INTEGER PRIMARY KEY AUTOINCREMENT,
        link       BLOB NOT NULL,
        digits     TEXT,
        renewed    INTEGER NOT NULL DEFAULT 0,
        made_at    INTEGER NOT NULL,
        until      INTEGER NOT NULL,
        wrong      INTEGER NOT NULL DEFAULT 0,
        taken_back INTEGER NOT NULL DEFAULT 0,
        device     INTEGER REFERENCES device
    );
";

/// Opens the file, creating it and its tables if needed.
///
/// # Errors
/// If the file cannot be read or created, or a newer version wrote it.
pub(super) fn open(file: &Path) -> Result<Connection, PairingError> {
    create(file).map_err(|error| PairingError::Store {
        file: file.to_owned(),
        detail: error.to_string(),
    })?;
    let mut conn = connect(file).map_err(|error| store_error(file, &error))?;
    let theirs = migrate(&mut conn).map_err(|error| store_error(file, &error))?;
    if theirs > SCHEMA_VERSION {
        return Err(PairingError::NewerSchema {
            file: file.to_owned(),
            file_version: theirs,
            supported_version: SCHEMA_VERSION,
        });
    }
    Ok(conn)
}

pub(super) fn store_error(file: &Path, error: &rusqlite::Error) -> PairingError {
    let file = file.to_owned();
    match is_disk_full(error) {
        true => PairingError::StoreFull { file },
        false => PairingError::Store {
            file,
            detail: error.to_string(),
        },
    }
}

/// Creates the file, if it does not exist, readable only by its owner. SQLite gives its side files
/// the same permissions.
fn create(file: &Path) -> io::Result<()> {
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder)?;
    }
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::{OpenOptionsExt as _, PermissionsExt as _};
        let opened = options.mode(0o600).open(file)?;
        let mode = opened.metadata()?.permissions().mode();
        if mode & 0o077 != 0 {
            // A copy or restore lost the permissions.
            opened.set_permissions(fs::Permissions::from_mode(0o600))?;
        }
    }
    #[cfg(not(unix))]
    options.open(file)?;
    Ok(())
}

fn connect(file: &Path) -> rusqlite::Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(file, flags)?;
    conn.busy_timeout(BUSY_TIMEOUT)?;
    // On a phone, SQLite finds no folder for temporary files.
    conn.pragma_update(None, "temp_store", "memory")?;
    conn.pragma_update(None, "trusted_schema", false)?;
    conn.pragma_update(None, "foreign_keys", true)?;
    Ok(conn)
}

/// Creates the tables if there are none, and returns the file's schema version. A newer file is
/// left unchanged.
fn migrate(conn: &mut Connection) -> rusqlite::Result<i64> {
    let found = schema_version(conn)?;
    if found > SCHEMA_VERSION {
        return Ok(found);
    }
    set_wal(conn)?;
    conn.pragma_update(None, "synchronous", "full")?;
    if found == SCHEMA_VERSION {
        return Ok(found);
    }
    let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have created the tables meanwhile.
    let found = schema_version(&tx)?;
    if found == 0 {
        tx.execute_batch(TABLES)?;
    }
    if found < SCHEMA_VERSION {
        // A code is good for ten minutes, so those of an older version are dropped.
        tx.execute_batch("DROP TABLE IF EXISTS offer")?;
        tx.execute_batch(OFFERS)?;
        tx.pragma_update(None, "user_version", SCHEMA_VERSION)?;
    }
    tx.commit()?;
    schema_version(conn)
}

fn schema_version(conn: &Connection) -> rusqlite::Result<i64> {
    conn.pragma_query_value(None, "user_version", |row| row.get(0))
}

/// Turns on the write-ahead log. Retries, since SQLite ignores the busy timeout here if two
/// programs create the file at once.
fn set_wal(conn: &Connection) -> rusqlite::Result<()> {
    use rusqlite::ErrorCode::{DatabaseBusy, DatabaseLocked};
    let start = Instant::now();
    loop {
        match conn.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(())) {
            Err(error)
                if start.elapsed() < BUSY_TIMEOUT
                    && matches!(
                        error.sqlite_error_code(),
                        Some(DatabaseBusy | DatabaseLocked)
                    ) =>
            {
                std::thread::sleep(Duration::from_millis(5));
            }
            result => return result,
        }
    }
}
