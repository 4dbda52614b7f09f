//! Verification: the journal against its hashes and chains, the tables against the journal, the photos against their names.

use super::chain::LineHash;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::id::DeviceId;
use super::{Notebook, journal, rebuild};
use crate::photo::{PhotoError, PhotoHash};
use rusqlite::Connection;
use rusqlite::types::ValueRef;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use std::fmt;
use uuid::Uuid;

/// What [`Notebook::verify`] found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Report {
    /// How many entries the journal has.
    pub entries: u64,
    /// How many devices wrote them.
    pub devices: u64,
    /// How many photos they name.
    pub photos: u64,
    /// How many entries this version does not understand; they are kept and passed on.
    pub not_understood: u64,
    /// What is wrong. Empty: nothing.
    pub findings: Vec<Finding>,
}

impl Report {
    /// Whether nothing is wrong.
    pub fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "finding", rename_all = "kebab-case")]
pub enum Finding {
    /// SQLite finds its own file damaged.
    File {
        /// What it said.
        detail: String,
    },
    /// A line is not what was written.
    Line {
        /// The device.
        device: DeviceId,
        /// The line's place.
        seq: u64,
        /// What is wrong with it.
        detail: String,
    },
    /// A line names one before it that is not here.
    Gap {
        /// The device.
        device: DeviceId,
        /// The line's place.
        seq: u64,
    },
    /// A table differs from what the journal gives. [`Notebook::repair`] builds it anew.
    Table {
        /// The table.
        table: String,
    },
    /// A photo that an entry names is not here.
    PhotoMissing {
        /// Its name.
        photo: PhotoHash,
    },
    /// A photo's bytes are not those it is named by, or cannot be read.
    PhotoDamaged {
        /// Its name.
        photo: PhotoHash,
        /// What is wrong with it.
        detail: String,
    },
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File { detail } => write!(f, "the database file is damaged: {detail}"),
            Self::Line {
                device,
                seq,
                detail,
            } => write!(
                f,
                "entry {seq} of device {device} is not as it was written: {detail}"
            ),
            Self::Gap { device, seq } => write!(
                f,
                "the entry before entry {seq} of device {device} is missing"
            ),
            Self::Table { table } => write!(
                f,
                "the table {table} differs from the journal; repair builds it anew"
            ),
            Self::PhotoMissing { photo } => write!(
                f,
                "the photo {photo} is missing; an exchange with a device that has it brings it back"
            ),
            Self::PhotoDamaged { photo, detail } => {
                write!(f, "the photo {photo} is damaged: {detail}")
            }
        }
    }
}

impl Notebook {
    /// Verifies everything: the file, each line against its hash, each chain, each table against the journal, each photo
    /// against its name. It reads all there is, and others cannot write meanwhile.
    ///
    /// # Errors
    /// Where the notebook cannot be read; what is wrong in what can be read stands in the report.
    pub fn verify(&self) -> Result<Report, NotebookError> {
        let mut report = self.read(|conn| {
            let mut findings = Vec::new();
            check_file(conn, &mut findings)?;
            check_lines(conn, &mut findings)?;
            let count = |sql: &str| {
                conn.query_row(sql, [], |row| row.get::<_, i64>(0))
                    .map(i64::unsigned_abs)
            };
            Ok(Report {
                entries: count("SELECT count(*) FROM entry")?,
                devices: count("SELECT count(DISTINCT device) FROM entry")?,
                photos: 0,
                not_understood: count("SELECT count(*) FROM said WHERE NOT understood")?,
                findings,
            })
        })?;
        // A journal that does not read cannot be built from.
        if report.is_sound() {
            report.findings.extend(self.compare_tables(false)?);
        }
        let photos = self.read(named_photos)?;
        report.photos = photos.len() as u64;
        report.findings.extend(
            photos
                .into_iter()
                .filter_map(|photo| self.check_photo(photo)),
        );
        Ok(report)
    }

    /// Builds every table but the journal anew, and says which of them differed.
    ///
    /// # Errors
    /// Where a line of the journal is damaged, or the notebook cannot be written.
    pub fn repair(&self) -> Result<Vec<Finding>, NotebookError> {
        self.compare_tables(true)
    }

    /// Compares the tables with what the journal gives; keeps what it gives, or leaves all as it was.
    fn compare_tables(&self, keep: bool) -> Result<Vec<Finding>, NotebookError> {
        self.write_if(keep, |pen| {
            let before = digests(pen.conn())?;
            rebuild::rebuild(pen.conn())?;
            let after = digests(pen.conn())?;
            let differing = rebuild::TABLES
                .iter()
                .zip(before.iter().zip(&after))
                .filter(|(_, (before, after))| before != after);
            Ok(differing
                .map(|(table, _)| Finding::Table {
                    table: table.name.to_owned(),
                })
                .collect())
        })
    }

    fn check_photo(&self, photo: PhotoHash) -> Option<Finding> {
        match self.photos.verify(&photo) {
            Ok(()) => None,
            Err(PhotoError::Missing { .. }) => Some(Finding::PhotoMissing { photo }),
            Err(error) => Some(Finding::PhotoDamaged {
                photo,
                detail: error.to_string(),
            }),
        }
    }
}

fn check_file(conn: &Connection, findings: &mut Vec<Finding>) -> Result<(), Fault> {
    let mut statement = conn.prepare("PRAGMA integrity_check(20)")?;
    let said = statement.query_map([], |row| row.get::<_, String>(0))?;
    for detail in said {
        match detail {
            Ok(detail) if detail == "ok" => {}
            Ok(detail) => findings.push(Finding::File { detail }),
            Err(error) => findings.push(Finding::File {
                detail: error.to_string(),
            }),
        }
    }
    Ok(())
}

/// Each line against its hash, its columns and the line before it.
fn check_lines(conn: &Connection, findings: &mut Vec<Finding>) -> Result<(), Fault> {
    let mut statement = conn.prepare(
        "SELECT device, seq, hash, line, id, kind, subject FROM entry ORDER BY device, seq",
    )?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let device = DeviceId(row.get(0)?);
        let seq = row.get::<_, i64>(1)?.unsigned_abs();
        let mut wrong = |detail: String| {
            findings.push(Finding::Line {
                device,
                seq,
                detail,
            })
        };
        let line = match Line::read(row.get(3)?) {
            Ok(line) => line,
            Err(error) => {
                wrong(error.to_string());
                continue;
            }
        };
        let entry = line.entry();
        if LineHash(row.get(2)?) != line.hash() {
            wrong("its text does not match its hash".into());
        }
        let columns = (
            row.get::<_, Uuid>(4)?,
            row.get::<_, String>(5)?,
            row.get::<_, Uuid>(6)?,
        );
        if (device, seq) != (entry.device, entry.seq)
            || columns != (entry.id.0, entry.kind.clone(), entry.subject)
        {
            wrong("its columns do not match its text".into());
        }
        if let Some(prev) = entry.prev
            && !journal::holds(conn, device, seq.saturating_sub(1), prev)?
        {
            findings.push(Finding::Gap { device, seq });
        }
    }
    Ok(())
}

/// One digest for each table that is worked out.
fn digests(conn: &Connection) -> Result<Vec<[u8; 32]>, Fault> {
    rebuild::TABLES
        .iter()
        .map(|table| {
            digest(
                conn,
                &format!("SELECT * FROM {} ORDER BY {}", table.name, table.key),
            )
        })
        .collect()
}

fn digest(conn: &Connection, sql: &str) -> Result<[u8; 32], Fault> {
    let mut statement = conn.prepare(sql)?;
    let columns = statement.column_count();
    let mut rows = statement.query([])?;
    let mut digest = Sha256::new();
    while let Some(row) = rows.next()? {
        for column in 0..columns {
            let (kind, bytes) = match row.get_ref(column)? {
                ValueRef::Null => (0, Vec::new()),
                ValueRef::Integer(number) => (1, number.to_le_bytes().to_vec()),
                ValueRef::Real(number) => (2, number.to_le_bytes().to_vec()),
                ValueRef::Text(text) => (3, text.to_vec()),
                ValueRef::Blob(blob) => (4, blob.to_vec()),
            };
            digest.update([kind]);
            digest.update((bytes.len() as u64).to_le_bytes());
            digest.update(bytes);
        }
    }
    Ok(digest.finalize().into())
}

/// The photos that standing entries name.
pub(crate) fn named_photos(conn: &Connection) -> Result<BTreeSet<PhotoHash>, Fault> {
    let mut statement = conn.prepare_cached("SELECT hash FROM photo_now")?;
    let hashes = statement.query_map([], |row| row.get::<_, String>(0))?;
    hashes
        .map(|hash| hash?.parse().map_err(Fault::unreadable))
        .collect()
}
