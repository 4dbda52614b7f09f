//! Push: stores on the remote what it lacks. Photos first, then lines, both this notebook's own and
//! those of other devices.

use super::error::SyncError;
use super::progress::SyncPhase;
use super::remote::{CHUNK_BYTES, Listing, Remote};
use super::run::{CountedIo, SharedProgress, SyncRun};
use super::segment::Segment;
use super::{Problem, plan};
use crate::notebook::{DeviceId, Head, Notebook, NotebookError};
use crate::photo::PhotoHash;
use std::fs::File;
use std::ops::RangeInclusive;

/// Lines that the remote lacks, and the end of the chain that they belong to.
pub(super) struct MissingLines {
    pub end: Head,
    pub lines: RangeInclusive<u64>,
}

impl MissingLines {
    /// The next chunk to push, starting at line `next`; none if that is past the last line.
    pub fn chunk(
        &self,
        notebook: &Notebook,
        next: u64,
    ) -> Result<Option<(Segment, Vec<u8>)>, NotebookError> {
        if !self.lines.contains(&next) {
            return Ok(None);
        }
        let (text, last) = notebook.chunk(self.end, next..=*self.lines.end(), CHUNK_BYTES)?;
        Ok(Some((Segment::ending_at(&last, next), text)))
    }
}

/// Pushes photos, then lines.
pub(super) fn push(run: &mut SyncRun<'_>, listing: &Listing) -> Result<(), SyncError> {
    // The order matters, since entries may be recorded meanwhile: those do not count as synced by
    // this push, and no line is pushed before its photo.
    let mut own = own_ends(run.notebook)?;
    let missing = missing_on_remote(run.notebook, listing)?;
    let local = run.notebook.photo_sizes()?;
    let is_corrupt = |photo: &PhotoHash| {
        listing
            .reported_corrupt
            .contains(&format!("photos/{photo}"))
    };
    let on_remote = listing
        .photos
        .iter()
        .filter(|(photo, _)| !is_corrupt(photo));
    let on_remote = on_remote.map(|(photo, bytes)| (*photo, *bytes)).collect();
    let photos = plan::photos(&run.notebook.named_photos()?, &local, &on_remote).push;
    let entries = missing
        .iter()
        .map(|missing| missing.lines.clone().count() as u64);
    let bytes = photos.iter().filter_map(|photo| local.get(photo)).sum();
    run.start_phase(SyncPhase::Pushing, entries.sum(), bytes)?;
    push_photos(run, &photos, listing)?;
    for missing in missing {
        let device = missing.end.device;
        match push_lines(run, missing) {
            Err(SyncError::File(problem)) => {
                run.record_problem(problem);
                own.retain(|(own, _)| *own != device);
            }
            pushed => pushed?,
        }
    }
    run.remote.finish()?;
    Ok(run.notebook.remember_pushed(&own)?)
}

/// The last line numbers of this notebook's own chains.
pub(super) fn own_ends(notebook: &Notebook) -> Result<Vec<(DeviceId, u64)>, NotebookError> {
    let mut ends = Vec::new();
    for device in notebook.own_devices()? {
        ends.extend(notebook.ends(device)?.iter().map(|end| (device, end.seq)));
    }
    Ok(ends)
}

/// Returns the lines of all devices that the remote lacks. A device whose notebook was copied has
/// more than one end; the part that the chains share is then pushed once, first.
pub(super) fn missing_on_remote(
    notebook: &Notebook,
    listing: &Listing,
) -> Result<Vec<MissingLines>, NotebookError> {
    let mut missing = Vec::new();
    for device in notebook.devices()? {
        let mut held = ranges_on_remote(notebook, listing, device)?;
        // Pushed again, in place of the damaged file.
        missing.extend(
            held.iter()
                .filter(|held| !held.is_complete)
                .map(|held| MissingLines {
                    end: held.last,
                    lines: held.first..=held.last.seq,
                }),
        );
        for end in notebook.ends(device)? {
            let mut covered = Vec::new();
            for segment in &held {
                if notebook.is_on_line(end, &segment.last)? {
                    covered.push(segment.first..=segment.last.seq);
                }
            }
            for lines in plan::missing_ranges(end.seq, &covered) {
                let last = notebook.line_on(end, *lines.end())?;
                held.extend(last.map(|last| RemoteRange {
                    first: *lines.start(),
                    last,
                    is_complete: true,
                }));
                missing.push(MissingLines { end, lines });
            }
        }
    }
    Ok(missing)
}

/// Lines that the remote holds: from number `first` to the line `last`.
struct RemoteRange {
    first: u64,
    last: Head,
    is_complete: bool,
}

/// The lines of a device that the remote holds, as far as this notebook knows them.
fn ranges_on_remote(
    notebook: &Notebook,
    listing: &Listing,
    device: DeviceId,
) -> Result<Vec<RemoteRange>, NotebookError> {
    let mut held = Vec::new();
    for segment in listing.segments.iter().filter(|held| held.device == device) {
        let local = notebook.numbered(device, segment.last)?.into_iter();
        for last in local.filter(|line| segment.last_hash.matches(line.hash)) {
            held.push(RemoteRange {
                first: segment.first,
                last,
                is_complete: is_complete(notebook, listing, segment)?,
            });
        }
    }
    Ok(held)
}

/// Whether a segment on the remote has the size of its lines, as far as both are known, and was not
/// reported corrupt.
fn is_complete(
    notebook: &Notebook,
    listing: &Listing,
    segment: &Segment,
) -> Result<bool, NotebookError> {
    if listing.reported_corrupt.contains(&segment.to_string()) {
        return Ok(false);
    }
    let Some(on_remote) = listing.segment_sizes.get(segment) else {
        return Ok(true);
    };
    let local = notebook.chunk_bytes(segment.device, segment.first..=segment.last)?;
    Ok(local.is_none_or(|local| local == *on_remote))
}

/// Pushes lines in chunks.
fn push_lines(run: &mut SyncRun<'_>, missing: MissingLines) -> Result<(), SyncError> {
    let mut next = *missing.lines.start();
    while let Some((segment, text)) = missing.chunk(run.notebook, next)? {
        run.remote.push_lines(&segment, &text)?;
        // If the file there was damaged, it no longer is.
        let file = segment.to_string();
        run.solve_problem(&file);
        let left = segment.last - next + 1;
        run.report.entries_pushed += left as u32;
        run.report_progress(|progress| progress.entries += left)?;
        next = segment.last + 1;
    }
    Ok(())
}

fn push_photos(
    run: &mut SyncRun<'_>,
    photos: &[PhotoHash],
    listing: &Listing,
) -> Result<(), SyncError> {
    let (notebook, remote) = (run.notebook, run.remote);
    let rejected = run.photos(photos, |shared, photo| {
        let verified = match listing.photos.contains_key(&photo) {
            true => verify_local_photo(notebook, &photo),
            false => Ok(()),
        };
        shared.or_canceled(verified.and_then(|()| push_photo(notebook, remote, shared, photo)))
    })?;
    for photo in photos.iter().filter(|photo| !rejected.contains(photo)) {
        run.solve_problem(&format!("photos/{photo}"));
    }
    run.report.photos_pushed += (photos.len() - rejected.len()) as u32;
    Ok(())
}

/// Verifies the local photo before it replaces the one on the remote, which may be the last good
/// copy.
fn verify_local_photo(notebook: &Notebook, photo: &PhotoHash) -> Result<(), SyncError> {
    notebook.photos().verify(photo).map_err(|_| {
        SyncError::File(Problem {
            file: format!("photos/{photo}"),
            reason: "the photo in this notebook is damaged and must not replace it; repair this notebook first"
                .to_owned(),
        })
    })
}

fn push_photo(
    notebook: &Notebook,
    remote: &dyn Remote,
    shared: &SharedProgress<'_>,
    photo: PhotoHash,
) -> Result<(), SyncError> {
    let path = notebook.photos().original(&photo);
    let unreadable = |error: std::io::Error| {
        SyncError::File(Problem {
            file: format!("photos/{photo}"),
            reason: format!("this notebook cannot read it ({error})"),
        })
    };
    let file = File::open(&path).map_err(unreadable)?;
    let bytes = file.metadata().map_err(unreadable)?.len();
    remote.push_photo(&photo, bytes, &mut CountedIo::new(file, shared))
}
