//! Pull: imports from the remote what the notebook lacks.

use super::error::SyncError;
use super::progress::SyncPhase;
use super::remote::{Listing, Remote};
use super::run::{CountedIo, SharedProgress, SyncRun};
use super::segment::Segment;
use super::{Problem, chunk, plan};
use crate::notebook::{EntryKind, Line, Notebook, NotebookError, PhotoBody, RejectedLine};
use crate::photo::{PhotoError, PhotoHash};
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};

/// Pulls every segment that the notebook lacks, each chunk after the photos that it names; then
/// photos that were still missing from before.
pub(super) fn pull(run: &mut SyncRun<'_>, listing: &mut Listing) -> Result<(), SyncError> {
    let missing = missing_here(run.notebook, listing)?;
    // A remote may claim any numbers and sizes; they are used for progress only.
    let mut entries = 0_u64;
    for segment in &missing {
        let last_here = run.notebook.last_number(segment.device)?.min(segment.last);
        entries = entries.saturating_add(segment.last - last_here.max(segment.first - 1));
    }
    run.start_phase(SyncPhase::Pulling, entries, 0)?;
    pull_segments(run, listing, missing)?;
    pull_photos(run, listing)
}

/// The segments whose last line is not in the notebook.
pub(super) fn missing_here(
    notebook: &Notebook,
    listing: &Listing,
) -> Result<Vec<Segment>, NotebookError> {
    let mut missing = Vec::new();
    for segment in &listing.segments {
        let here = notebook.numbered(segment.device, segment.last)?;
        if !here.iter().any(|line| segment.last_hash.matches(line.hash)) {
            missing.push(segment.clone());
        }
    }
    Ok(missing)
}

/// Pulls segments until none can be applied: a line may refer to one in a segment that comes later.
fn pull_segments(
    run: &mut SyncRun<'_>,
    listing: &Listing,
    mut waiting: Vec<Segment>,
) -> Result<(), SyncError> {
    loop {
        let mut applied = false;
        let mut rejected = Vec::new();
        for segment in waiting {
            match pull_segment(run, listing, &segment) {
                Ok(Ok(())) => applied = true,
                Ok(Err(reason)) => rejected.push((segment, reason)),
                Err(SyncError::File(problem)) => run.record_problem(problem),
                Err(error) => return Err(error),
            }
        }
        if !applied || rejected.is_empty() {
            for (segment, reason) in rejected {
                run.record_problem(segment_problem(&segment, &reason.to_string()));
            }
            return Ok(());
        }
        waiting = rejected.into_iter().map(|(segment, _)| segment).collect();
    }
}

/// Pulls the missing part of a segment. If the line before it turns out to differ here, because the
/// device's notebook was copied, pulls the whole segment.
fn pull_segment(
    run: &mut SyncRun<'_>,
    listing: &Listing,
    segment: &Segment,
) -> Result<Result<(), RejectedLine>, SyncError> {
    let last_here = run.notebook.last_number(segment.device)?;
    let from = (last_here + 1).clamp(segment.first, segment.last);
    let mut imported = pull_segment_from(run, listing, segment, from)?;
    if from > segment.first && matches!(imported, Err(RejectedLine::Gap { .. })) {
        imported = pull_segment_from(run, listing, segment, segment.first)?;
    }
    Ok(imported)
}

/// Pulls a segment starting at line `from`. The next chunk is fetched while one is being written.
fn pull_segment_from(
    run: &mut SyncRun<'_>,
    listing: &Listing,
    segment: &Segment,
    from: u64,
) -> Result<Result<(), RejectedLine>, SyncError> {
    let (notebook, shared) = (run.notebook, run.shared_progress());
    let rejected = AtomicBool::new(false);
    let mut source = ChunkSource {
        run,
        listing,
        segment,
        from,
        rejected: &rejected,
        failed: Ok(()),
    };
    let mut results = Vec::new();
    let chunks = std::iter::from_fn(|| source.next());
    notebook.import_chunks(chunks, |imported| {
        match &imported {
            Ok(imported) => {
                shared.update(|progress| progress.entries += imported.new as u64);
            }
            Err(_) => rejected.store(true, Ordering::Relaxed),
        }
        results.push(imported);
    })?;
    let failed = source.failed;
    for imported in results {
        match imported {
            Ok(imported) => {
                run.report.entries_pulled += imported.new as u32;
                run.report.continued_as = imported.continued_as.or(run.report.continued_as);
            }
            // The chunks after it have a gap before them.
            Err(reason) => return Ok(Err(reason)),
        }
    }
    failed.and_then(|()| run.check_canceled()).map(Ok)
}

/// Fetches the chunks of a segment, each after the photos that it names.
struct ChunkSource<'s, 'a> {
    run: &'s mut SyncRun<'a>,
    listing: &'s Listing,
    segment: &'s Segment,
    /// The next line to fetch.
    from: u64,
    /// Set when a chunk was rejected: those after it are useless.
    rejected: &'s AtomicBool,
    /// The error that ended the fetching.
    failed: Result<(), SyncError>,
}

impl ChunkSource<'_, '_> {
    fn next(&mut self) -> Option<Vec<Line>> {
        let ended = self.from > self.segment.last || self.failed.is_err();
        if ended || self.rejected.load(Ordering::Relaxed) {
            return None;
        }
        match self.fetch_chunk() {
            Ok(lines) => {
                let last = lines.last().map(|line| line.entry().seq);
                self.from = last.unwrap_or(self.segment.last) + 1;
                Some(lines)
            }
            Err(error) => {
                self.failed = Err(error);
                None
            }
        }
    }

    fn fetch_chunk(&mut self) -> Result<Vec<Line>, SyncError> {
        self.run.check_canceled()?;
        let bytes = self.run.remote.pull_lines(self.segment, self.from)?;
        let lines = chunk::read(self.segment, self.from, bytes).map_err(|reason| {
            self.run.remote.report_corrupt(&self.segment.to_string());
            SyncError::File(segment_problem(self.segment, &reason.to_string()))
        })?;
        let there = &self.listing.photos;
        let here = self.run.notebook.photos();
        let named = lines.iter().filter_map(photo_named_by);
        let photos: BTreeSet<_> = named
            .filter(|photo| there.contains_key(photo) && !here.contains(photo))
            .collect();
        fetch_photos(self.run, self.listing, photos.into_iter().collect())?;
        Ok(lines)
    }
}

pub(super) fn photo_named_by(line: &Line) -> Option<PhotoHash> {
    let entry = line.entry();
    (EntryKind::from_name(&entry.kind) == Some(EntryKind::Photo)).then(|| {
        PhotoBody::deserialize(&entry.body)
            .ok()
            .map(|body| body.hash)
    })?
}

/// Pulls photos that entries name and that are missing here, including those of earlier syncs.
fn pull_photos(run: &mut SyncRun<'_>, listing: &mut Listing) -> Result<(), SyncError> {
    let named = run.notebook.named_photos()?;
    let plan = plan::photos(&named, &run.notebook.photo_sizes()?, &listing.photos);
    let rejected = fetch_photos(run, listing, plan.pull)?;
    for photo in &rejected {
        // So that a device that has it pushes it again.
        listing.photos.remove(photo);
    }
    run.report.photos_missing = plan.missing;
    run.report.photos_missing.extend(rejected);
    Ok(())
}

/// Pulls photos; returns those that could not be pulled.
fn fetch_photos(
    run: &mut SyncRun<'_>,
    listing: &Listing,
    photos: Vec<PhotoHash>,
) -> Result<Vec<PhotoHash>, SyncError> {
    if photos.is_empty() {
        return Ok(photos);
    }
    let sizes = photos.iter().filter_map(|photo| listing.photos.get(photo));
    let bytes = sizes.fold(0, |sum: u64, size| sum.saturating_add(*size));
    run.report_progress(|progress| {
        progress.photo_bytes_total = progress.photo_bytes_total.saturating_add(bytes);
    })?;
    let (notebook, remote) = (run.notebook, run.remote);
    let rejected = run.photos(&photos, |shared, photo| {
        shared.or_canceled(fetch_photo(notebook, remote, shared, photo))
    })?;
    run.report.photos_pulled += (photos.len() - rejected.len()) as u32;
    Ok(rejected)
}

fn fetch_photo(
    notebook: &Notebook,
    remote: &dyn Remote,
    shared: &SharedProgress<'_>,
    photo: PhotoHash,
) -> Result<(), SyncError> {
    let received = notebook.photos().receive_with(&photo, |file| {
        remote.pull_photo(&photo, &mut CountedIo::new(file, shared))
    });
    received.map_err(|error| match error {
        SyncError::Photo(PhotoError::StorageFull { .. } | PhotoError::Storage { .. }) => error,
        SyncError::Photo(rejected) => {
            let file = format!("photos/{photo}");
            if matches!(rejected, PhotoError::NotAsNamed { .. }) {
                remote.report_corrupt(&file);
            }
            let reason = format!("of this error: {rejected}");
            SyncError::File(Problem { file, reason })
        }
        error => error,
    })
}

fn segment_problem(segment: &Segment, reason: &str) -> Problem {
    Problem {
        file: segment.to_string(),
        reason: reason.to_owned(),
    }
}
