//! Lists what a folder holds, and clears what interrupted syncs left there.

use super::dir::Dir;
use super::error::{FolderError, unreadable};
use super::{CORRUPT_REPORTS, JOURNAL, PHOTOS, TEMP_PREFIX};
use crate::notebook::{DeviceId, LineHash, MAX_LINE_BYTES};
use crate::sync::{ChunkError, Listing, Problem, Segment};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::time::{Duration, SystemTime};

/// How many bytes of a file's end are read first, to find its last line.
const TAIL_BYTES: u64 = 16 << 10;
/// A temporary file this old belongs to a sync that was interrupted. Longer than any clock of a
/// device or file server should be off.
const ABANDONED: Duration = Duration::from_secs(3 * 24 * 60 * 60);

/// Lists the folder. A file that cannot be read is reported and not listed. `alive` is called for
/// each file.
pub(super) fn list(root: &Dir, alive: &dyn Fn()) -> Result<Listing, FolderError> {
    let mut listing = Listing {
        reported_corrupt: reported_corrupt(root),
        ..Listing::default()
    };
    if let Some(journal) = root.subdir_if_any(JOURNAL)? {
        for name in journal.names()? {
            let device = name.parse().ok();
            let Some(device) = device.filter(|device: &DeviceId| device.to_string() == name) else {
                continue;
            };
            if let Err(error) = list_device(&journal, device, &mut listing, alive) {
                let folder = format!("{JOURNAL}/{device}");
                listing.unreadable.push(unreadable(&folder, &error));
            }
        }
    }
    if let Some(photos) = root.subdir_if_any(PHOTOS)? {
        list_photos(&photos, &mut listing, alive)?;
    }
    Ok(listing)
}

/// Adds a device's segments to the listing.
fn list_device(
    journal: &Dir,
    device: DeviceId,
    listing: &mut Listing,
    alive: &dyn Fn(),
) -> io::Result<()> {
    let dir = journal.subdir(&device.to_string())?;
    for file in dir.names()? {
        alive();
        clear_if_abandoned(&dir, &file);
        let Some(segment) = Segment::from_file_name(device, &file) else {
            continue;
        };
        let ends = dir
            .open_file(&file)
            .and_then(|mut open| last_line(&mut open));
        let problem = match ends {
            Ok(Some(line)) if segment.last_hash.matches(LineHash::of(&line)) => None,
            Ok(_) => Some(Problem {
                file: segment.to_string(),
                reason: ChunkError::Truncated.to_string(),
            }),
            Err(error) => Some(unreadable(&segment.to_string(), &error)),
        };
        match problem {
            None => drop(listing.segments.insert(segment)),
            Some(problem) => listing.unreadable.push(problem),
        }
    }
    Ok(())
}

fn list_photos(photos: &Dir, listing: &mut Listing, alive: &dyn Fn()) -> io::Result<()> {
    for name in photos.names()? {
        alive();
        clear_if_abandoned(photos, &name);
        let Ok(photo) = name.parse() else { continue };
        match photos.info(&name) {
            Ok(info) => drop(listing.photos.insert(photo, info.bytes)),
            Err(error) => {
                let file = format!("{PHOTOS}/{name}");
                listing.unreadable.push(unreadable(&file, &error));
            }
        }
    }
    Ok(())
}

/// The files that a device has reported as corrupt. Without the reports, nothing is pushed again
/// because of them.
fn reported_corrupt(root: &Dir) -> BTreeSet<String> {
    let reports = root.subdir(CORRUPT_REPORTS).and_then(|dir| dir.names());
    // Neither a device id nor a photo hash contains a dot.
    let names = reports.unwrap_or_default().into_iter();
    names
        .map(|name| name.splitn(3, '.').collect::<Vec<_>>().join("/"))
        .collect()
}

/// Removes a temporary file that an interrupted sync left. One that cannot be removed does no harm.
fn clear_if_abandoned(dir: &Dir, name: &str) {
    if !name.starts_with(TEMP_PREFIX) {
        return;
    }
    let modified = dir.info(name).map(|info| info.modified);
    let age = modified.map(|at| SystemTime::now().duration_since(at).unwrap_or_default());
    if age.is_ok_and(|age| age > ABANDONED) {
        let _ = dir.remove_file(name);
    }
}

/// A file's last line; none if the file does not end with a complete one.
fn last_line(file: &mut File) -> io::Result<Option<String>> {
    let mut reach = TAIL_BYTES;
    loop {
        let (tail, is_all) = tail(file, reach)?;
        let Some(line) = tail.strip_suffix(b"\n") else {
            return Ok(None);
        };
        let before = line.iter().rposition(|byte| *byte == b'\n');
        match before.map(|at| at + 1).or(is_all.then_some(0)) {
            Some(start) => return Ok(String::from_utf8(line[start..].to_vec()).ok()),
            None if reach > MAX_LINE_BYTES as u64 + 1 => return Ok(None),
            None => reach *= 8,
        }
    }
}

/// Up to `reach` bytes of a file's end, and whether that is the whole file.
fn tail(file: &mut File, reach: u64) -> io::Result<(Vec<u8>, bool)> {
    let size = file.seek(SeekFrom::End(0))?;
    file.seek(SeekFrom::Start(size.saturating_sub(reach)))?;
    let mut tail = Vec::new();
    file.take(reach).read_to_end(&mut tail)?;
    Ok((tail, size <= reach))
}
