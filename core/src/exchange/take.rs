//! Taking from the shelf what the notebook lacks.

use super::error::ExchangeError;
use super::segment::{self, SegmentError, SegmentName};
use super::shelf::{Shelf, Survey};
use super::{Problem, Report, plan};
use crate::notebook::{DeviceId, Line, Notebook, NotebookError, PhotoBody};
use crate::photo::{PhotoError, PhotoHash};
use serde::Deserialize;

/// Takes all segments that hold a line the notebook lacks, each after the photos that it names; then photos that were
/// lacking from before.
pub(super) fn take(
    notebook: &Notebook,
    shelf: &Shelf,
    survey: &mut Survey,
    report: &mut Report,
) -> Result<(), ExchangeError> {
    let mut waiting = Vec::new();
    for (device, names) in &survey.segments {
        for name in names {
            if !is_known(notebook, shelf, *device, name)? {
                waiting.push((*device, name.clone()));
            }
        }
    }
    take_segments(notebook, shelf, survey, waiting, report)?;
    take_photos(notebook, shelf, survey, report)
}

/// Whether the notebook has a segment's last line, and so all of its lines.
fn is_known(
    notebook: &Notebook,
    shelf: &Shelf,
    device: DeviceId,
    name: &SegmentName,
) -> Result<bool, ExchangeError> {
    let last = shelf
        .last_line(device, name)?
        .and_then(|text| Line::read(text).ok());
    match last {
        Some(line) if line.entry().device == device => Ok(notebook.holds(&line)?),
        _ => Ok(false),
    }
}

/// Takes segments until none that is left can be: a line may name one in a file that comes later.
fn take_segments(
    notebook: &Notebook,
    shelf: &Shelf,
    survey: &Survey,
    mut waiting: Vec<(DeviceId, SegmentName)>,
    report: &mut Report,
) -> Result<(), ExchangeError> {
    loop {
        let before = waiting.len();
        let mut refused = Vec::new();
        let mut later = Vec::new();
        for (device, name) in waiting {
            if let Err(why) = take_segment(notebook, shelf, survey, device, &name, report)? {
                refused.push(problem(device, &name, &why));
                later.push((device, name));
            }
        }
        if later.is_empty() || later.len() == before {
            report.problems.extend(refused);
            return Ok(());
        }
        waiting = later;
    }
}

/// Takes a segment whole; or says why not.
fn take_segment(
    notebook: &Notebook,
    shelf: &Shelf,
    survey: &Survey,
    device: DeviceId,
    name: &SegmentName,
    report: &mut Report,
) -> Result<Result<(), String>, ExchangeError> {
    let bytes = shelf.read_segment(device, name)?;
    let read = bytes
        .ok_or(SegmentError::TooLarge)
        .and_then(|bytes| segment::read(device, name, bytes));
    let lines = match read {
        Ok(lines) => lines,
        Err(why) => return Ok(Err(why.to_string())),
    };
    for photo in lines.iter().filter_map(photo_named_by) {
        if survey.photos.contains_key(&photo) && !notebook.photos().holds(&photo) {
            take_photo(notebook, shelf, photo, report)?;
        }
    }
    match notebook.take(&lines) {
        Ok(taken) => {
            report.entries_taken += taken.new;
            report.went_on_as = taken.went_on_as.or(report.went_on_as);
            Ok(Ok(()))
        }
        Err(NotebookError::NotTaken(why)) => Ok(Err(why.to_string())),
        Err(error) => Err(error.into()),
    }
}

fn photo_named_by(line: &Line) -> Option<PhotoHash> {
    let entry = line.entry();
    (entry.kind == "photo").then(|| {
        PhotoBody::deserialize(&entry.body)
            .ok()
            .map(|body| body.hash)
    })?
}

/// Takes photos that entries name and that are not here, from earlier exchanges too.
fn take_photos(
    notebook: &Notebook,
    shelf: &Shelf,
    survey: &mut Survey,
    report: &mut Report,
) -> Result<(), ExchangeError> {
    let plan = plan::photos(
        &notebook.named_photos()?,
        &notebook.photo_sizes()?,
        &survey.photos,
    );
    report.photos_missing = plan.missing;
    for photo in plan.take {
        if !take_photo(notebook, shelf, photo, report)? {
            report.photos_missing.push(photo);
            // So that whoever has it leaves it again.
            survey.photos.remove(&photo);
        }
    }
    Ok(())
}

/// Takes a photo; or notes why not, and goes on without it.
fn take_photo(
    notebook: &Notebook,
    shelf: &Shelf,
    photo: PhotoHash,
    report: &mut Report,
) -> Result<bool, ExchangeError> {
    match notebook.photos().adopt(&photo, &shelf.photo(&photo)) {
        Ok(()) => {
            report.photos_taken += 1;
            Ok(true)
        }
        Err(error @ (PhotoError::StorageFull { .. } | PhotoError::Storage { .. })) => {
            Err(error.into())
        }
        Err(error) => {
            let found = Problem {
                file: format!("photos/{photo}"),
                why: format!("of this: {error}"),
            };
            if !report.problems.contains(&found) {
                report.problems.push(found);
            }
            Ok(false)
        }
    }
}

fn problem(device: DeviceId, name: &SegmentName, why: &str) -> Problem {
    Problem {
        file: format!("journal/{device}/{name}"),
        why: why.to_owned(),
    }
}
