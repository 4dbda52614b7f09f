//! Leaving on the shelf what it lacks of this notebook's own lines, and photos.

use super::error::ExchangeError;
use super::segment::SegmentName;
use super::shelf::{Left, Shelf, Survey};
use super::{Report, plan};
use crate::notebook::{DeviceId, Head, Line, Notebook};
use std::ops::RangeInclusive;

/// How many bytes of lines go into one file.
const FILE: usize = 4 << 20;
/// How many lines are read from the notebook at once.
const READ: u64 = 4096;

/// Leaves photos, then lines.
pub(super) fn leave(
    notebook: &Notebook,
    shelf: &Shelf,
    survey: &Survey,
    report: &mut Report,
) -> Result<(), ExchangeError> {
    let plan = plan::photos(
        &notebook.named_photos()?,
        &notebook.photo_sizes()?,
        &survey.photos,
    );
    for photo in plan.leave {
        shelf.leave_photo(&photo, &notebook.photos().original(&photo))?;
        report.photos_left += 1;
    }
    let mut left = Vec::new();
    for device in notebook.own_devices()? {
        left.extend(leave_device(notebook, shelf, survey, device, report)?);
    }
    notebook.note_left(&left)?;
    Ok(())
}

/// Leaves the lines of one of this notebook's identities. A device has one end, or more where it was copied; then the
/// stretch that they have in common goes first. Gives the numbers up to which its lines are there now.
fn leave_device(
    notebook: &Notebook,
    shelf: &Shelf,
    survey: &Survey,
    device: DeviceId,
    report: &mut Report,
) -> Result<Vec<(DeviceId, u64)>, ExchangeError> {
    let mut held = held(shelf, survey, device)?;
    let ends = notebook.ends(device)?;
    for &end in &ends {
        let mut covered = Vec::new();
        for stretch in &held {
            if notebook.is_on_line(end, &stretch.last)? {
                covered.push(stretch.first..=stretch.last.seq);
            }
        }
        for range in plan::missing(end.seq, &covered) {
            leave_range(notebook, shelf, end, range, &mut held, report)?;
        }
    }
    Ok(ends.iter().map(|end| (device, end.seq)).collect())
}

/// A file that the shelf has: from this number up to this line.
struct Stretch {
    first: u64,
    last: Head,
}

fn held(shelf: &Shelf, survey: &Survey, device: DeviceId) -> Result<Vec<Stretch>, ExchangeError> {
    let mut held = Vec::new();
    for name in survey.segments.get(&device).into_iter().flatten() {
        if let Some(line) = shelf
            .last_line(device, name)?
            .and_then(|text| Line::read(text).ok())
        {
            held.push(Stretch {
                first: name.first,
                last: head_of(&line),
            });
        }
    }
    Ok(held)
}

fn head_of(line: &Line) -> Head {
    Head {
        device: line.entry().device,
        seq: line.entry().seq,
        hash: line.hash(),
    }
}

/// Leaves the lines of a range that leads to `end`, in files of [`FILE`] bytes.
fn leave_range(
    notebook: &Notebook,
    shelf: &Shelf,
    end: Head,
    range: RangeInclusive<u64>,
    held: &mut Vec<Stretch>,
    report: &mut Report,
) -> Result<(), ExchangeError> {
    let mut lines: Vec<Line> = Vec::new();
    let mut next = *range.start();
    while next <= *range.end() || !lines.is_empty() {
        while next <= *range.end() && lines.iter().map(size).sum::<usize>() <= FILE {
            let until = range.end().min(&(next + READ - 1)).to_owned();
            lines.extend(notebook.lines_to(end, next..=until)?);
            next = until + 1;
        }
        let rest = lines.split_off(plan::first_file(lines.iter().map(size), FILE).min(lines.len()));
        leave_file(shelf, end.device, &lines)?;
        report.entries_left += lines.len();
        if let (Some(first), Some(last)) = (lines.first(), lines.last()) {
            held.push(Stretch {
                first: first.entry().seq,
                last: head_of(last),
            });
        }
        lines = rest;
    }
    Ok(())
}

fn size(line: &Line) -> usize {
    line.text().len() + 1
}

fn leave_file(shelf: &Shelf, device: DeviceId, lines: &[Line]) -> Result<(), ExchangeError> {
    let Some(first) = lines.first() else {
        return Ok(());
    };
    let bytes: Vec<u8> = lines
        .iter()
        .flat_map(|line| [line.text(), "\n"])
        .flat_map(str::bytes)
        .collect();
    let seq = first.entry().seq;
    for name in [
        SegmentName::plain(seq),
        SegmentName::branch(seq, first.hash()),
    ] {
        if shelf.leave_segment(device, &name, &bytes)? == Left::There {
            return Ok(());
        }
    }
    let file = shelf.segment(device, &SegmentName::branch(seq, first.hash()));
    Err(ExchangeError::Shelf {
        file,
        detail: "another file has its name".to_owned(),
    })
}
