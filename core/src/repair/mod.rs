//! Repairs a damaged notebook from everything in it that can still be read. Nothing is deleted.
//!
//! A database whose file or lines are damaged is moved to the folder `aside`, with its log, and a
//! new one is built of every readable line. Lines behind a lost one stay in view: they are not
//! verified, and not synced, until a remote brings the lost one back or a person accepts the loss.
//! Damaged photos are moved aside, so that the next sync pulls good ones; tables and previews are
//! made again.
//!
//! A repair may be interrupted at any point: what it had recovered is in a work folder, where the
//! next one finds it.

mod disk;
mod pages;
mod salvage;

use crate::notebook::{
    CUT_LOG_PREFIX, DeviceId, FILE, FORMER_REPAIR_PREFIX, FOUND, Finding, LARGEST_LAYOUT,
    LocalState, LostLines, Notebook, NotebookError, NotebookLock, PHOTOS, REPAIR_PREFIX,
    SettingName, VerifyReport, check_folder, copy_database, side_file,
};
use salvage::Salvage;
use serde::Serialize;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The result of a repair.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RepairReport {
    /// The faults that were found; empty if there were none.
    pub findings: Vec<Finding>,
    /// The files that were moved to the folder `aside`, as paths in the notebook's folder.
    pub moved: Vec<PathBuf>,
    /// What was recovered, if the database was rebuilt.
    pub recovered: Option<Recovered>,
    /// The verification after the repair.
    pub now: VerifyReport,
}

/// What was recovered from a damaged database.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Recovered {
    /// Number of entries in the new database.
    pub entries: u64,
    /// Number of them that come after a lost one, so they are not verified.
    pub unverified: u64,
    /// The lost entries, as far as known. A sync with a remote that has them restores them.
    pub gaps: Vec<Gap>,
    /// The new device id, if the notebook's own lines are not all there.
    pub continued_as: Option<DeviceId>,
    /// Whether the settings could not be read and must be set again.
    pub settings_lost: bool,
}

/// Lost entries of a device.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// The device.
    pub device: DeviceId,
    /// Sequence number of the first.
    pub first: u64,
    /// Sequence number of the last one known.
    pub last: u64,
}

impl From<&LostLines> for Gap {
    fn from(lost: &LostLines) -> Self {
        Self {
            device: lost.device,
            first: lost.first,
            last: lost.last,
        }
    }
}

/// Repairs the notebook in the folder `dir`, which no program may have open. Blocks until it is
/// done. Reads the whole database into memory.
///
/// # Errors
/// [`NotebookError::OpenElsewhere`] if a program has it open, [`NotebookError::Newer`] if a newer
/// version wrote it, [`NotebookError::NotANotebook`] if there is none; also if the folder cannot be
/// read or written. Nothing is lost then.
pub fn repair(dir: &Path) -> Result<RepairReport, NotebookError> {
    let file = dir.join(FILE);
    let has_database = file.is_file() || side_file(&file, "-wal").is_file();
    if !has_database && !Notebook::is_without_database(dir) {
        return Err(NotebookError::NotANotebook {
            path: dir.to_owned(),
            why: "there is no notebook in it".to_owned(),
        });
    }
    if !has_database && let Err(error @ NotebookError::NotANotebook { .. }) = check_folder(dir) {
        // A remote has photos too.
        return Err(error);
    }
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    let lock = NotebookLock::exclusive(dir)?;
    let aside_before = disk::list_aside(dir).map_err(failed)?;
    let earlier = earlier_repairs(dir).map_err(failed)?;
    let work = tempfile::Builder::new()
        .prefix(REPAIR_PREFIX)
        .tempdir_in(dir);
    let work = work.map_err(failed)?;
    let salvage = search(dir, &earlier).map_err(failed)?;
    let mut diagnosis = diagnose(dir, work.path(), &salvage)?;
    let recovered = match diagnosis.damaged {
        true => Some(rebuild_database(
            dir,
            work.path(),
            salvage,
            &mut diagnosis.state,
        )?),
        false => None,
    };
    let mut findings = cut_logs(&earlier);
    findings.extend(diagnosis.findings);
    for done in earlier {
        disk::clear(dir, &done).map_err(failed)?;
    }
    work.close().map_err(failed)?;
    let notebook = Notebook::open_exclusive(dir, lock)?;
    for finding in notebook.repair()? {
        if !findings.contains(&finding) {
            findings.push(finding);
        }
    }
    let now = notebook.verify()?;
    let mut moved = disk::list_aside(dir).map_err(failed)?;
    moved.retain(|file| !aside_before.contains(file));
    Ok(RepairReport {
        findings,
        moved: moved.into_iter().collect(),
        recovered,
        now,
    })
}

/// Returns a finding for each copy of a log that was cut by damage.
fn cut_logs(earlier: &[PathBuf]) -> Vec<Finding> {
    let names = earlier.iter().filter_map(|path| path.file_name());
    let copies = names.filter(|name| name.to_string_lossy().starts_with(CUT_LOG_PREFIX));
    copies
        .map(|copy| Finding::Log { copy: copy.into() })
        .collect()
}

/// Returns the work folders of interrupted repairs, and the copies of logs that were cut by damage.
fn earlier_repairs(dir: &Path) -> io::Result<Vec<PathBuf>> {
    let mut earlier = Vec::new();
    for entry in fs::read_dir(dir)? {
        let entry = entry?;
        let name = entry.file_name();
        let prefixes = [REPAIR_PREFIX, FORMER_REPAIR_PREFIX];
        if prefixes
            .iter()
            .any(|prefix| name.to_string_lossy().starts_with(prefix))
        {
            earlier.push(entry.path());
        }
    }
    Ok(earlier)
}

/// Searches the database as it is, and what earlier repairs had recovered, before SQLite opens any
/// of it.
fn search(dir: &Path, earlier: &[PathBuf]) -> io::Result<Salvage> {
    let mut salvage = Salvage::default();
    let before = earlier.iter().flat_map(|earlier| {
        let parts = [FOUND, disk::NEW];
        parts.map(|part| earlier.join(part))
    });
    for folder in before.chain([dir.to_owned()]) {
        let file = folder.join(FILE);
        let log = read(&side_file(&file, "-wal"))?;
        salvage.search(read(&file)?, log);
    }
    Ok(salvage)
}

fn read(file: &Path) -> io::Result<Vec<u8>> {
    match fs::read(file) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
        read => read,
    }
}

/// What is wrong with a database, and its local state.
struct Diagnosis {
    findings: Vec<Finding>,
    damaged: bool,
    state: LocalState,
}

/// Verifies a copy of the database, so that SQLite does not change the original.
fn diagnose(dir: &Path, work: &Path, salvage: &Salvage) -> Result<Diagnosis, NotebookError> {
    let failed = |error: io::Error| NotebookError::from_io(&error, dir);
    let copy = copy_database(dir, work).map_err(failed)?;
    let damaged = |detail: String| Diagnosis {
        findings: vec![Finding::File { detail }],
        damaged: true,
        state: LocalState::default(),
    };
    if let Err(error) = check_folder(dir) {
        return cannot_read(dir, salvage, error).map(damaged);
    }
    // Under this lock no copy of a cut log is kept.
    let opened =
        NotebookLock::exclusive(&copy).and_then(|lock| Notebook::open_exclusive(&copy, lock));
    let notebook = match opened {
        Ok(notebook) => notebook,
        Err(error) => return cannot_read(dir, salvage, error).map(damaged),
    };
    let state = match notebook.local_state() {
        Err(NotebookError::Damaged { .. }) => LocalState::default(),
        state => state?,
    };
    match find_damage(&notebook, salvage) {
        Ok((findings, damaged)) => Ok(Diagnosis {
            findings,
            damaged,
            state,
        }),
        Err(error) => Ok(Diagnosis {
            state,
            ..damaged(cannot_read(dir, salvage, error)?)
        }),
    }
}

/// Returns what is wrong with a database that can be opened, and whether it must be built anew. What
/// an earlier repair found to be lost stays lost.
fn find_damage(
    notebook: &Notebook,
    salvage: &Salvage,
) -> Result<(Vec<Finding>, bool), NotebookError> {
    let mut findings = notebook.verify_journal()?;
    let (gaps, ends) = notebook.known_losses()?;
    let is_known = |finding: &Finding| match finding {
        Finding::Table { .. } | Finding::Setting { .. } => true,
        Finding::Gap { device, seq } => gaps
            .iter()
            .any(|gap| (gap.line.device, gap.line.seq) == (*device, *seq)),
        Finding::End { device, seq } => ends
            .iter()
            .any(|end| (end.device, end.seq) == (*device, *seq)),
        _ => false,
    };
    let mut damaged = !findings.iter().all(is_known);
    let is_whole = !salvage.log_is_cut && notebook.holds_all(&salvage.line_keys())?;
    if !damaged && !is_whole {
        let detail = "its log is damaged, and entries in it are not shown".to_owned();
        findings.push(Finding::File { detail });
        damaged = true;
    }
    Ok((findings, damaged))
}

/// Returns the damage that prevents reading a notebook; fails if the cause is something else.
fn cannot_read(
    dir: &Path,
    salvage: &Salvage,
    error: NotebookError,
) -> Result<String, NotebookError> {
    use NotebookError::{Damaged, Newer, NotANotebook, NotWritable, Storage, StorageFull};
    let ours = !salvage.line_keys().is_empty() || dir.join(PHOTOS).is_dir();
    let dir = dir.to_owned();
    match error {
        Newer { theirs, .. } if theirs > LARGEST_LAYOUT => Ok("its start is damaged".to_owned()),
        Newer { theirs, ours, .. } => Err(Newer { dir, theirs, ours }),
        NotANotebook { .. } if ours => Ok("its start is damaged".to_owned()),
        NotANotebook { why, .. } => {
            let path = dir.join(FILE);
            Err(NotANotebook { path, why })
        }
        Damaged { detail, .. } | Storage { detail, .. } => Ok(detail),
        StorageFull { .. } => Err(StorageFull { dir }),
        NotWritable { .. } => Err(NotWritable { dir }),
        error => Err(error),
    }
}

/// Builds a new database from what was found, and replaces the damaged one with it.
fn rebuild_database(
    dir: &Path,
    work: &Path,
    salvage: Salvage,
    state: &mut LocalState,
) -> Result<Recovered, NotebookError> {
    let settings_lost = state.setting(SettingName::Device).is_none();
    if settings_lost {
        use_salvaged_settings(&salvage, state);
    }
    let new = work.join(disk::NEW);
    let notebook = Notebook::open(&new)?;
    let restored = notebook.restore(salvage.into_lines(), state)?;
    drop(notebook);
    let replaced = disk::put(dir, &new.join(FILE));
    replaced.map_err(|error| NotebookError::from_io(&error, dir))?;
    Ok(Recovered {
        entries: restored.entries,
        unverified: restored.unverified,
        gaps: restored.lost.iter().map(Gap::from).collect(),
        continued_as: restored.continued_as,
        settings_lost,
    })
}

/// Uses settings that were found outside their table. Earlier values may be in the file too: a
/// setting with several values is not used, and each device id is one that the notebook had.
fn use_salvaged_settings(salvage: &Salvage, state: &mut LocalState) {
    for name in SettingName::ALL {
        let values = salvage.setting(name);
        if let (false, [value]) = (name == SettingName::Device, &values[..]) {
            state.settings.push((name, (*value).to_owned()));
        }
    }
    let devices = salvage.setting(SettingName::Device);
    let devices = devices
        .into_iter()
        .filter_map(|device| device.parse::<DeviceId>().ok());
    state.former.extend(devices);
}

#[cfg(test)]
mod tests;
