//! Verification: the journal against its hashes and chains, the tables against the journal, the photos against their names.

use super::chain::LineHash;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::finding::Finding;
use super::id::DeviceId;
use super::stray::Stray;
use super::{Notebook, journal, rebuild};
use crate::photo::{PhotoError, PhotoHash};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Row};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use uuid::Uuid;

/// What [`Notebook::verify`] found.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
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
    /// Files in the notebook's folder that it has no use for. They do no harm.
    pub stray: Vec<Stray>,
}

impl Report {
    /// Whether nothing is wrong.
    pub fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }
}

impl Notebook {
    /// Verifies everything: the file, each line against its hash, each chain, each table against the journal, each photo
    /// against its name. It reads all there is, and others cannot write meanwhile.
    ///
    /// # Errors
    /// Where the notebook cannot be read; what is wrong in what can be read stands in the report.
    pub fn verify(&self) -> Result<Report, NotebookError> {
        let mut report = Report {
            findings: self.verify_journal()?,
            ..Report::default()
        };
        let mut photos = BTreeSet::new();
        self.read(|conn| {
            let findings = &mut report.findings;
            let mut count = |sql: &str| {
                let counted = conn.query_row(sql, [], |row| row.get::<_, i64>(0));
                let counted = unless_damaged(counted.map_err(Fault::from), findings)?;
                Ok::<_, Fault>(counted.unwrap_or(0).unsigned_abs())
            };
            report.entries = count("SELECT count(*) FROM entry")?;
            report.devices = count("SELECT count(DISTINCT device) FROM entry")?;
            report.not_understood = count("SELECT count(*) FROM said WHERE NOT understood")?;
            photos = unless_damaged(named_photos(conn), findings)?.unwrap_or_default();
            Ok(())
        })?;
        report.photos = photos.len() as u64;
        for photo in photos {
            report.findings.extend(self.check_photo(photo));
        }
        report.stray = self.stray()?;
        Ok(report)
    }

    /// What is wrong with the database: its file, its lines and its tables.
    pub(crate) fn verify_journal(&self) -> Result<Vec<Finding>, NotebookError> {
        let mut findings = self.read(|conn| {
            let mut findings = Vec::new();
            let checked = check_file(conn, &mut findings);
            unless_damaged(checked, &mut findings)?;
            let checked = check_lines(conn, &mut findings);
            unless_damaged(checked, &mut findings)?;
            Ok(findings)
        })?;
        // A journal that does not read cannot be built from.
        if findings.is_empty() {
            findings = self.write_if(false, |pen| {
                let compared = rebuild_and_compare(pen.conn());
                let differing = unless_damaged(compared, &mut findings)?;
                findings.extend(differing.unwrap_or_default());
                Ok(findings)
            })?;
        }
        Ok(findings)
    }

    /// Builds every table but the journal anew where it differs, makes damaged small pictures anew, moves damaged photos to
    /// the folder `aside`, and says what was wrong. Where a line of the journal or the file is damaged, see [`crate::mend`].
    ///
    /// # Errors
    /// Where a line of the journal is damaged, or the notebook cannot be written.
    pub fn repair(&self) -> Result<Vec<Finding>, NotebookError> {
        let mut findings = self.write(|pen| rebuild_and_compare(pen.conn()))?;
        for photo in self.named_photos()? {
            let Some(finding) = self.check_photo(photo) else {
                continue;
            };
            match &finding {
                Finding::PhotoDamaged { .. } => self.move_aside(&self.photos.original(&photo))?,
                Finding::SmallPicture { .. } => self.photos.make_smaller_anew(&photo)?,
                _ => continue,
            }
            findings.push(finding);
        }
        Ok(findings)
    }

    fn check_photo(&self, photo: PhotoHash) -> Option<Finding> {
        match self.photos.verify(&photo) {
            Ok(()) if self.photos.smaller_are_sound(&photo) => None,
            Ok(()) => Some(Finding::SmallPicture { photo }),
            Err(PhotoError::Missing { .. }) => Some(Finding::PhotoMissing { photo }),
            Err(error) => Some(Finding::PhotoDamaged {
                photo,
                detail: error.to_string(),
            }),
        }
    }
}

/// What was read; where damage kept it from being read, that is a finding.
fn unless_damaged<T>(
    read: Result<T, Fault>,
    findings: &mut Vec<Finding>,
) -> Result<Option<T>, Fault> {
    match read {
        Ok(value) => Ok(Some(value)),
        Err(fault) => {
            let detail = fault.damage().ok_or(fault)?;
            // Whatever else is wrong may be the cause, and has been said.
            if findings.is_empty() {
                findings.push(Finding::File { detail });
            }
            Ok(None)
        }
    }
}

/// Works all tables out anew, and says which of them differed.
fn rebuild_and_compare(conn: &Connection) -> Result<Vec<Finding>, Fault> {
    let before = digests(conn)?;
    rebuild::rebuild(conn)?;
    let after = digests(conn)?;
    let differing = rebuild::TABLES
        .iter()
        .zip(before.iter().zip(&after))
        .filter(|(_, (before, after))| before != after);
    Ok(differing
        .map(|(table, _)| Finding::Table {
            table: table.name.to_owned(),
        })
        .collect())
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
        match check_line(conn, row, device, seq) {
            Ok(None) => {}
            Ok(Some(finding)) => findings.push(finding),
            Err(fault) => {
                let detail = fault.damage().ok_or(fault)?;
                findings.push(Finding::Line {
                    device,
                    seq,
                    detail,
                });
            }
        }
    }
    Ok(())
}

fn check_line(
    conn: &Connection,
    row: &Row<'_>,
    device: DeviceId,
    seq: u64,
) -> Result<Option<Finding>, Fault> {
    let line = Line::read(row.get(3)?).map_err(Fault::unreadable)?;
    let entry = line.entry();
    if LineHash(row.get(2)?) != line.hash() {
        return Err(Fault::unreadable("its text does not match its hash"));
    }
    let columns = (
        row.get::<_, Uuid>(4)?,
        row.get::<_, String>(5)?,
        row.get::<_, Uuid>(6)?,
    );
    if (device, seq) != (entry.device, entry.seq)
        || columns != (entry.id.0, entry.kind.clone(), entry.subject)
    {
        return Err(Fault::unreadable("its columns do not match its text"));
    }
    let follows = match entry.prev {
        Some(prev) => journal::holds(conn, device, seq.saturating_sub(1), prev)?,
        None => true,
    };
    Ok((!follows).then_some(Finding::Gap { device, seq }))
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
