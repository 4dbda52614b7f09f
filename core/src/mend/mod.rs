//! Repair: a damaged notebook made whole from all of it that still reads. Nothing is deleted.
//!
//! A database whose file or lines are damaged is moved to the folder `aside`, with its log, and a new one is made of every line
//! that still reads and follows the one before it. Lines behind one that is lost are left in `aside` too, as a shelf that the
//! notebook can exchange with once the lost one has come back from another shelf. Damaged photos go aside, so that the next
//! exchange brings sound ones; tables and small pictures are made anew.
//!
//! A repair may be cut off anywhere: what it had saved by then lies in a folder of its own, where the next one finds it.

mod pages;
mod place;
mod salvage;

use crate::exchange::{FolderShelf, Shelf, Stretch};
use crate::notebook::{
    DeviceId, FILE, Finding, Head, Kept, Line, MENDING, Notebook, NotebookError, PHOTOS, Presence,
    Refilled, Report, SettingName, place_aside, side_file,
};
use salvage::Salvage;
use serde::Serialize;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// What a repair found and did.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Mended {
    /// What was wrong. Empty: nothing.
    pub found: Vec<Finding>,
    /// What was moved to the folder `aside`, from the notebook's folder.
    pub moved: Vec<PathBuf>,
    /// What was saved, where the database was made anew.
    pub saved: Option<Saved>,
    /// How it is now.
    pub now: Report,
}

/// What was saved of a damaged database.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Saved {
    /// How many entries stand in the new one.
    pub entries: u64,
    /// How many more read, but stand behind one that is lost.
    pub waiting: u64,
    /// The shelf on which those were left, from the notebook's folder.
    pub waiting_on: Option<PathBuf>,
    /// What is lost, as far as it is known. An exchange with a shelf that has it brings it back.
    pub gaps: Vec<Gap>,
    /// The new identity under which the notebook goes on, where its own lines are not all there.
    pub went_on_as: Option<DeviceId>,
    /// Whether the settings could not be read, and are to be set again.
    pub settings_lost: bool,
}

/// Entries of a device that are lost here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Gap {
    /// The device.
    pub device: DeviceId,
    /// The number of the first.
    pub first: u64,
    /// The number of the last that is known of.
    pub last: u64,
}

/// A layout above this is taken for damage, not for a newer program's.
const LARGEST_LAYOUT: i64 = 1000;

/// Repairs the notebook in the folder `dir`, which nobody may have open. Blocks until all is done; reads all there is, the database
/// at once, so that it wants as much memory.
///
/// # Errors
/// [`NotebookError::OpenElsewhere`] where somebody has it open, [`NotebookError::Newer`] where a newer version wrote it,
/// [`NotebookError::NotANotebook`] where there is none; and where the folder cannot be read or written. Nothing is lost then.
pub fn mend(dir: &Path) -> Result<Mended, NotebookError> {
    let file = dir.join(FILE);
    if !file.is_file() && !side_file(&file, "-wal").is_file() {
        return Err(NotebookError::NotANotebook {
            path: dir.to_owned(),
            why: "there is no notebook in it",
        });
    }
    let told = |error: io::Error| NotebookError::from_io(&error, dir);
    let alone = Presence::alone(dir)?;
    let aside_before = place::list_aside(dir).map_err(told)?;
    let earlier = earlier_repairs(dir).map_err(told)?;
    let work = tempfile::Builder::new().prefix(MENDING).tempdir_in(dir);
    let work = work.map_err(told)?;
    let salvage = search(dir, &earlier).map_err(told)?;
    let mut judged = judge(dir, work.path(), &salvage)?;
    let saved = match judged.damaged {
        true => Some(make_anew(dir, work.path(), salvage, &mut judged.kept)?),
        false => None,
    };
    for done in earlier {
        fs::remove_dir_all(done).map_err(told)?;
    }
    work.close().map_err(told)?;
    let notebook = Notebook::open_alone(dir, alone)?;
    let mut found = judged.found;
    for finding in notebook.repair()? {
        if !found.contains(&finding) {
            found.push(finding);
        }
    }
    let now = notebook.verify()?;
    let mut moved = place::list_aside(dir).map_err(told)?;
    moved.retain(|place| !aside_before.contains(place));
    Ok(Mended {
        found,
        moved: moved.into_iter().collect(),
        saved,
        now,
    })
}

/// The folders of repairs that were cut off.
fn earlier_repairs(dir: &Path) -> io::Result<Vec<PathBuf>> {
    let mut earlier = Vec::new();
    for entry in fs::read_dir(dir)? {
        let entry = entry?;
        if entry.file_name().to_string_lossy().starts_with(MENDING) {
            earlier.push(entry.path());
        }
    }
    Ok(earlier)
}

/// Searches the database as it lies, and what earlier repairs had saved, before SQLite opens any of it.
fn search(dir: &Path, earlier: &[PathBuf]) -> io::Result<Salvage> {
    let mut salvage = Salvage::default();
    let before = earlier.iter().flat_map(|earlier| {
        let parts = [place::FOUND, place::NEW];
        parts.map(|part| earlier.join(part))
    });
    for place in before.chain([dir.to_owned()]) {
        let file = place.join(FILE);
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

/// What is wrong with a database, and what else it holds.
struct Judged {
    found: Vec<Finding>,
    damaged: bool,
    kept: Kept,
}

/// Verifies a copy, so that SQLite changes nothing of what was found.
fn judge(dir: &Path, work: &Path, salvage: &Salvage) -> Result<Judged, NotebookError> {
    let told = |error: io::Error| NotebookError::from_io(&error, dir);
    let copy = place::copy(dir, work).map_err(told)?;
    let damaged = |detail: String| Judged {
        found: vec![Finding::File { detail }],
        damaged: true,
        kept: Kept::default(),
    };
    let notebook = match Notebook::open(&copy) {
        Ok(notebook) => notebook,
        Err(error) => return cannot_read(dir, salvage, error).map(damaged),
    };
    let kept = match notebook.kept() {
        Err(NotebookError::Damaged { .. }) => Kept::default(),
        kept => kept?,
    };
    let found = match look(&notebook, salvage) {
        Ok(found) => found,
        Err(error) => damaged(cannot_read(dir, salvage, error)?).found,
    };
    let only_tables = |finding: &Finding| matches!(finding, Finding::Table { .. });
    Ok(Judged {
        damaged: !found.iter().all(only_tables),
        found,
        kept,
    })
}

/// What is wrong with a database that can be opened.
fn look(notebook: &Notebook, salvage: &Salvage) -> Result<Vec<Finding>, NotebookError> {
    let mut found = notebook.verify_journal()?;
    let is_whole = !salvage.log_is_cut && notebook.hold_all(&salvage.places())?;
    if found.is_empty() && !is_whole {
        let detail = "its log is damaged, and entries in it are not shown".to_owned();
        found.push(Finding::File { detail });
    }
    Ok(found)
}

/// The damage that keeps a notebook from being read; or what else does.
fn cannot_read(
    dir: &Path,
    salvage: &Salvage,
    error: NotebookError,
) -> Result<String, NotebookError> {
    use NotebookError::{Damaged, Newer, NotANotebook, NotWritable, Storage, StorageFull};
    let ours = !salvage.places().is_empty() || dir.join(PHOTOS).is_dir();
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

/// Makes a new database of what was found, and puts it in the damaged one's place.
fn make_anew(
    dir: &Path,
    work: &Path,
    salvage: Salvage,
    kept: &mut Kept,
) -> Result<Saved, NotebookError> {
    let settings_lost = kept.setting(SettingName::Device).is_none();
    if settings_lost {
        keep_what_was_found(&salvage, kept);
    }
    let new = work.join(place::NEW);
    let notebook = Notebook::open(&new)?;
    let refilled = notebook.refill(salvage.into_lines(), kept)?;
    drop(notebook);
    let waiting_on = leave_waiting(dir, &refilled.waiting)?;
    let placed = place::put(dir, &new.join(FILE));
    placed.map_err(|error| NotebookError::from_io(&error, dir))?;
    Ok(Saved {
        entries: refilled.entries,
        waiting: refilled.waiting.len() as u64,
        waiting_on,
        gaps: gaps(kept, &refilled),
        went_on_as: refilled.went_on_as,
        settings_lost,
    })
}

/// Settings that could not be read by their table. An earlier value may lie in the file too: where there are several, none is
/// taken, and each identity is one that the notebook had.
fn keep_what_was_found(salvage: &Salvage, kept: &mut Kept) {
    for name in SettingName::ALL {
        let values = salvage.setting(name);
        if let (false, [value]) = (name == SettingName::Device, &values[..]) {
            kept.settings.push((name, (*value).to_owned()));
        }
    }
    let devices = salvage.setting(SettingName::Device);
    let devices = devices
        .into_iter()
        .filter_map(|device| device.parse::<DeviceId>().ok());
    kept.former.extend(devices);
}

/// Leaves lines that cannot be taken yet on a shelf of their own in the folder `aside`.
fn leave_waiting(dir: &Path, waiting: &[Line]) -> Result<Option<PathBuf>, NotebookError> {
    if waiting.is_empty() {
        return Ok(None);
    }
    let told = |detail: String| NotebookError::Storage {
        dir: dir.to_owned(),
        detail,
    };
    let place = place_aside(dir, "entries").map_err(|error| NotebookError::from_io(&error, dir))?;
    let (shelf, _) = FolderShelf::open(&place).map_err(|error| told(error.to_string()))?;
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
        let left = shelf.leave_lines(&Stretch::to(&head, first.entry().seq), text.as_bytes());
        left.map_err(|error| told(error.to_string()))?;
    }
    Ok(place.strip_prefix(dir).ok().map(Path::to_owned))
}

/// What is lost of each device: up to where its lines ended, or up to the first that waits.
fn gaps(kept: &Kept, refilled: &Refilled) -> Vec<Gap> {
    let waiting = refilled.waiting.iter().map(|line| line.entry());
    let before_waiting = waiting.map(|entry| (entry.device, entry.seq - 1));
    let ends = kept.ends.iter().map(|end| (end.device, end.seq));
    let mut gaps: Vec<Gap> = Vec::new();
    for (device, last) in before_waiting.chain(ends) {
        let here = refilled.ends.iter().filter(|end| end.device == device);
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
