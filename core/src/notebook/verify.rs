//! Verifies the journal against its hashes and chains, the tables against the journal, and the
//! photos against their hashes.

use super::chain::LineHash;
use super::entry::Line;
use super::error::{Fault, NotebookError};
use super::finding::Finding;
use super::gaps::KnownGap;
use super::id::DeviceId;
use super::journal::Head;
use super::unexpected_files::UnexpectedFile;
use super::{Notebook, cut_log, gaps, invalid_settings, journal, rebuild, schema};
use crate::photo::{PhotoError, PhotoHash};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Row};
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::collections::BTreeSet;
use uuid::Uuid;

/// What [`Notebook::verify`] found.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct VerifyReport {
    /// Number of entries in the journal.
    pub entries: u64,
    /// Number of devices that wrote them.
    pub devices: u64,
    /// Number of photos that they name.
    pub photos: u64,
    /// Number of entries that this version does not understand. They are kept and synced.
    pub unknown_entries: u64,
    /// Number of entries behind a lost one, so not verified. They are kept, and not synced.
    pub unverified_entries: u64,
    /// The faults; empty if there are none.
    pub findings: Vec<Finding>,
    /// Files in the notebook's folder that do not belong there. They do no harm.
    pub unexpected_files: Vec<UnexpectedFile>,
}

impl VerifyReport {
    /// Returns whether there are no findings.
    pub fn is_ok(&self) -> bool {
        self.findings.is_empty()
    }
}

impl Notebook {
    /// Verifies everything: the file, each line against its hash, each chain, each table against
    /// the journal, and each photo against its hash. Reads the whole notebook; others cannot write
    /// meanwhile.
    ///
    /// # Errors
    /// If the notebook cannot be read. Damage in what can be read is a finding.
    pub fn verify(&self) -> Result<VerifyReport, NotebookError> {
        let mut report = VerifyReport {
            findings: self.cut_logs()?,
            ..VerifyReport::default()
        };
        report.findings.extend(self.verify_journal()?);
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
            report.unknown_entries =
                count("SELECT count(*) FROM entry_status WHERE NOT understood")?;
            let unverified = unless_damaged(gaps::count_unverified(conn), findings)?;
            report.unverified_entries = unverified.unwrap_or(0);
            photos = unless_damaged(named_photos(conn), findings)?.unwrap_or_default();
            Ok(())
        })?;
        report.photos = photos.len() as u64;
        for photo in photos {
            report.findings.extend(self.check_photo(photo));
        }
        report.unexpected_files = self.unexpected_files()?;
        Ok(report)
    }

    /// Returns a finding for each log that was cut by damage and not recovered yet.
    fn cut_logs(&self) -> Result<Vec<Finding>, NotebookError> {
        let copies = cut_log::copies(&self.dir);
        let copies = copies.map_err(|error| NotebookError::from_io(&error, &self.dir))?;
        Ok(copies
            .into_iter()
            .map(|copy| Finding::Log { copy })
            .collect())
    }

    /// Verifies the database: its file, its schema, its lines, its settings and its tables.
    pub(crate) fn verify_journal(&self) -> Result<Vec<Finding>, NotebookError> {
        let mut findings = self.read(|conn| {
            let mut findings = Vec::new();
            let checked = check_file(conn, &mut findings);
            unless_damaged(checked, &mut findings)?;
            let checked = check_lines(conn, &mut findings);
            unless_damaged(checked, &mut findings)?;
            let checked = check_ends(conn, &mut findings);
            unless_damaged(checked, &mut findings)?;
            let differing = unless_damaged(schema::differences(conn), &mut findings)?;
            findings.extend(differing.unwrap_or_default());
            let invalid = unless_damaged(invalid_settings::find(conn), &mut findings)?;
            findings.extend(invalid.unwrap_or_default());
            Ok(findings)
        })?;
        // The tables cannot be rebuilt from a damaged journal.
        if findings.iter().all(Finding::leaves_journal_readable) {
            findings = self.write_if(false, |tx| {
                let compared = rebuild_and_compare(tx.conn());
                let differing = unless_damaged(compared, &mut findings)?;
                findings.extend(differing.unwrap_or_default());
                Ok(findings)
            })?;
        }
        Ok(findings)
    }

    /// Rebuilds the tables, resets settings that cannot be read, makes damaged previews again, moves damaged photos to the folder
    /// `aside`, and returns what was wrong. For a damaged line or file see [`crate::repair`].
    ///
    /// # Errors
    /// If a line of the journal is damaged, or if the notebook cannot be written.
    pub fn repair(&self) -> Result<Vec<Finding>, NotebookError> {
        let mut findings = self.write(|tx| {
            let mut findings = invalid_settings::reset(tx.conn())?;
            findings.extend(rebuild_and_compare(tx.conn())?);
            Ok(findings)
        })?;
        for photo in self.named_photos()? {
            let Some(finding) = self.check_photo(photo) else {
                continue;
            };
            match &finding {
                Finding::PhotoDamaged { .. } => self.move_aside(&self.photos.original(&photo))?,
                Finding::Preview { .. } => self.photos.rebuild_previews(&photo)?,
                _ => continue,
            }
            findings.push(finding);
        }
        Ok(findings)
    }

    fn check_photo(&self, photo: PhotoHash) -> Option<Finding> {
        match self.photos.verify(&photo) {
            Ok(()) if self.photos.previews_ok(&photo) => None,
            Ok(()) => Some(Finding::Preview { photo }),
            Err(PhotoError::Missing { .. }) => Some(Finding::PhotoMissing { photo }),
            Err(error) => Some(Finding::PhotoDamaged {
                photo,
                detail: error.to_string(),
            }),
        }
    }
}

/// Returns what was read; adds a finding if damage prevented it.
fn unless_damaged<T>(
    read: Result<T, Fault>,
    findings: &mut Vec<Finding>,
) -> Result<Option<T>, Fault> {
    match read {
        Ok(value) => Ok(Some(value)),
        Err(fault) => {
            let detail = fault.damage().ok_or(fault)?;
            // An earlier finding may be the cause.
            if findings.is_empty() {
                findings.push(Finding::File { detail });
            }
            Ok(None)
        }
    }
}

/// Rebuilds all tables, and returns a finding for each one that differed.
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
    let lines = statement.query_map([], |row| row.get::<_, String>(0))?;
    for detail in lines {
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

/// Verifies each line against its hash, its columns and the line before it.
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

/// Verifies that the last line of each device is here, as far as something else tells of it.
fn check_ends(conn: &Connection, findings: &mut Vec<Finding>) -> Result<(), Fault> {
    let mut ends = gaps::lost_ends(conn)?;
    for head in journal::heads(conn)? {
        if !journal::holds(conn, head.device, head.seq, head.hash)? && !ends.contains(&head) {
            ends.push(head);
        }
    }
    findings.extend(ends.iter().map(|end| Finding::End {
        device: end.device,
        seq: end.seq,
    }));
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
    let hash = line.hash();
    let is_accepted = |gap: &&KnownGap| gap.accepted && gap.line == Head { device, seq, hash };
    let gap = !follows && !gaps::read(conn)?.iter().any(|gap| is_accepted(&gap));
    Ok(gap.then_some(Finding::Gap { device, seq }))
}

/// Returns a digest of each derived table.
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

/// Returns the photos that active entries name.
pub(crate) fn named_photos(conn: &Connection) -> Result<BTreeSet<PhotoHash>, Fault> {
    let mut statement = conn.prepare_cached("SELECT hash FROM photo")?;
    let hashes = statement.query_map([], |row| row.get::<_, String>(0))?;
    hashes
        .map(|hash| hash?.parse().map_err(Fault::unreadable))
        .collect()
}
