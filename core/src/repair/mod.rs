//! Repairs a damaged notebook from everything in it that can still be read. Nothing is deleted.
//!
//! A database whose file or lines are damaged is moved to the folder `aside`, with its log, and a
//! new one is built of every readable line that follows the one before it. Lines after a lost one
//! are kept in `aside` too, as a remote that the notebook can sync with once the lost line is back.
//! Damaged photos are moved aside, so that the next sync pulls good ones; tables and previews are
//! made again.
//!
//! A repair may be interrupted at any point: what it had recovered is in a work folder, where the
//! next one finds it.

mod disk;
mod pages;
mod salvage;

use crate::notebook::{
    DeviceId, FILE, FORMER_REPAIR_PREFIX, Finding, Head, Line, LocalState, Notebook, NotebookError,
    NotebookLock, PHOTOS, REPAIR_PREFIX, Restored, SettingName, VerifyReport, aside_path,
    side_file,
};
use crate::sync::{FolderRemote, Remote, Segment};
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
    /// Number of readable entries after a lost one.
    pub waiting: u64,
    /// The remote in `aside` that holds those, as a path in the notebook's folder.
    pub waiting_remote: Option<PathBuf>,
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

/// A layout number above this is damage, not a newer program.
const LARGEST_LAYOUT: i64 = 1000;

/// Repairs the notebook in the folder `dir`, which no program may have open. Blocks until it is
/// done. Reads the whole database into memory.
///
/// # Errors
/// [`NotebookError::OpenElsewhere`] if a program has it open, [`NotebookError::Newer`] if a newer
/// version wrote it, [`NotebookError::NotANotebook`] if there is none; also if the folder cannot be
/// read or written. Nothing is lost then.
pub fn repair(dir: &Path) -> Result<RepairReport, NotebookError> {
    let file = dir.join(FILE);
    if !file.is_file() && !side_file(&file, "-wal").is_file() {
        return Err(NotebookError::NotANotebook {
            path: dir.to_owned(),
            why: "there is no notebook in it",
        });
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
    for done in earlier {
        fs::remove_dir_all(done).map_err(failed)?;
    }
    work.close().map_err(failed)?;
    let notebook = Notebook::open_exclusive(dir, lock)?;
    let mut findings = diagnosis.findings;
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

/// Returns the work folders of interrupted repairs.
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
        let parts = [disk::FOUND, disk::NEW];
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
    let copy = disk::copy(dir, work).map_err(failed)?;
    let damaged = |detail: String| Diagnosis {
        findings: vec![Finding::File { detail }],
        damaged: true,
        state: LocalState::default(),
    };
    let notebook = match Notebook::open(&copy) {
        Ok(notebook) => notebook,
        Err(error) => return cannot_read(dir, salvage, error).map(damaged),
    };
    let state = match notebook.local_state() {
        Err(NotebookError::Damaged { .. }) => LocalState::default(),
        state => state?,
    };
    let findings = match find_damage(&notebook, salvage) {
        Ok(findings) => findings,
        Err(error) => damaged(cannot_read(dir, salvage, error)?).findings,
    };
    let only_tables = |finding: &Finding| matches!(finding, Finding::Table { .. });
    Ok(Diagnosis {
        damaged: !findings.iter().all(only_tables),
        findings,
        state,
    })
}

/// Returns what is wrong with a database that can be opened.
fn find_damage(notebook: &Notebook, salvage: &Salvage) -> Result<Vec<Finding>, NotebookError> {
    let mut findings = notebook.verify_journal()?;
    let is_whole = !salvage.log_is_cut && notebook.holds_all(&salvage.line_keys())?;
    if findings.is_empty() && !is_whole {
        let detail = "its log is damaged, and entries in it are not shown".to_owned();
        findings.push(Finding::File { detail });
    }
    Ok(findings)
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
    let waiting_remote = save_waiting(dir, &restored.waiting)?;
    let replaced = disk::put(dir, &new.join(FILE));
    replaced.map_err(|error| NotebookError::from_io(&error, dir))?;
    Ok(Recovered {
        entries: restored.entries,
        waiting: restored.waiting.len() as u64,
        waiting_remote,
        gaps: gaps(state, &restored),
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

/// Saves lines that cannot be inserted yet to a remote of their own in the folder `aside`.
fn save_waiting(dir: &Path, waiting: &[Line]) -> Result<Option<PathBuf>, NotebookError> {
    if waiting.is_empty() {
        return Ok(None);
    }
    let failed = |detail: String| NotebookError::Storage {
        dir: dir.to_owned(),
        detail,
    };
    let path = aside_path(dir, "entries").map_err(|error| NotebookError::from_io(&error, dir))?;
    let (remote, _) = FolderRemote::open(&path).map_err(|error| failed(error.to_string()))?;
    let follows = |before: &Line, line: &Line| line.entry().prev == Some(before.hash());
    for lines in waiting.chunk_by(follows) {
        let [Some(first), Some(last)] = [lines.first(), lines.last()] else {
            continue;
        };
        let head = Head {
            device: last.entry().device,
            seq: last.entry().seq,
            hash: last.hash(),
        };
        let text: String = lines.iter().flat_map(|line| [line.text(), "\n"]).collect();
        let segment = Segment::ending_at(&head, first.entry().seq);
        let pushed = remote.push_lines(&segment, text.as_bytes());
        pushed.map_err(|error| failed(error.to_string()))?;
    }
    Ok(path.strip_prefix(dir).ok().map(Path::to_owned))
}

/// Returns the lost entries of each device: up to its last known line, or up to the first waiting
/// one.
fn gaps(state: &LocalState, restored: &Restored) -> Vec<Gap> {
    let waiting = restored.waiting.iter().map(|line| line.entry());
    let before_waiting = waiting.map(|entry| (entry.device, entry.seq - 1));
    let ends = state.ends.iter().map(|end| (end.device, end.seq));
    let mut gaps: Vec<Gap> = Vec::new();
    for (device, last) in before_waiting.chain(ends) {
        let here = restored.ends.iter().filter(|end| end.device == device);
        let first = here.map(|end| end.seq).max().unwrap_or(0) + 1;
        let known = gaps.iter().any(|gap| gap.device == device);
        if first <= last && !known {
            gaps.push(Gap {
                device,
                first,
                last,
            });
        }
    }
    gaps
}

#[cfg(test)]
mod tests;
