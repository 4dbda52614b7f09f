//! Leaving on the shelf what it lacks: photos, then lines, this notebook's own and those of others that it knows.

use super::error::ExchangeError;
use super::run::{Counted, Run, Tally};
use super::shelf::{PIECE_BYTES, Shelf, Survey};
use super::stretch::Stretch;
use super::watch::Stage;
use super::{Problem, plan};
use crate::notebook::{DeviceId, Head, Notebook, NotebookError};
use crate::photo::PhotoHash;
use std::fs::File;
use std::ops::RangeInclusive;

/// Lines that the shelf lacks, and the line that they lead to.
pub(super) struct Lacking {
    pub end: Head,
    pub lines: RangeInclusive<u64>,
}

impl Lacking {
    /// The next piece as it stands on a shelf, from line `next` on; none where that is behind the last.
    pub fn piece(
        &self,
        notebook: &Notebook,
        next: u64,
    ) -> Result<Option<(Stretch, Vec<u8>)>, NotebookError> {
        if !self.lines.contains(&next) {
            return Ok(None);
        }
        let (text, last) = notebook.piece(self.end, next..=*self.lines.end(), PIECE_BYTES)?;
        Ok(Some((Stretch::to(&last, next), text)))
    }
}

/// Leaves photos, then lines.
pub(super) fn leave(run: &mut Run<'_>, survey: &Survey) -> Result<(), ExchangeError> {
    // In this order, since somebody may record something meanwhile: that is not home by this, and no line is left whose
    // photo is not.
    let own = own_ends(run.notebook)?;
    let lacking = lacking(run.notebook, survey)?;
    let here = run.notebook.photo_sizes()?;
    let doubted = |photo: &PhotoHash| survey.doubted.contains(&format!("photos/{photo}"));
    let there = survey.photos.iter().filter(|(photo, _)| !doubted(photo));
    let there = there.map(|(photo, bytes)| (*photo, *bytes)).collect();
    let photos = plan::photos(&run.notebook.named_photos()?, &here, &there).leave;
    let entries = lacking
        .iter()
        .map(|lacking| lacking.lines.clone().count() as u64);
    let bytes = photos.iter().filter_map(|photo| here.get(photo)).sum();
    run.enter(Stage::Leaving, entries.sum(), bytes)?;
    leave_photos(run, &photos, survey)?;
    for lacking in lacking {
        leave_lines(run, lacking)?;
    }
    run.shelf.finish()?;
    Ok(run.notebook.note_left(&own)?)
}

/// The numbers up to which this notebook's own lines reach.
fn own_ends(notebook: &Notebook) -> Result<Vec<(DeviceId, u64)>, NotebookError> {
    let mut ends = Vec::new();
    for device in notebook.own_devices()? {
        ends.extend(notebook.ends(device)?.iter().map(|end| (device, end.seq)));
    }
    Ok(ends)
}

/// The lines of all devices that the shelf lacks. A device has one end, or more where its notebook was copied; then the
/// stretch that they have in common goes first.
pub(super) fn lacking(notebook: &Notebook, survey: &Survey) -> Result<Vec<Lacking>, NotebookError> {
    let mut lacking = Vec::new();
    for device in notebook.devices()? {
        let mut held = held(notebook, survey, device)?;
        // Left again in their place.
        lacking.extend(
            held.iter()
                .filter(|held| !held.is_whole)
                .map(|held| Lacking {
                    end: held.last,
                    lines: held.first..=held.last.seq,
                }),
        );
        for end in notebook.ends(device)? {
            let mut covered = Vec::new();
            for stretch in &held {
                if notebook.is_on_line(end, &stretch.last)? {
                    covered.push(stretch.first..=stretch.last.seq);
                }
            }
            for lines in plan::missing(end.seq, &covered) {
                let last = notebook.line_on(end, *lines.end())?;
                held.extend(last.map(|last| Held {
                    first: *lines.start(),
                    last,
                    is_whole: true,
                }));
                lacking.push(Lacking { end, lines });
            }
        }
    }
    Ok(lacking)
}

/// Lines that the shelf has: from this number up to this line.
struct Held {
    first: u64,
    last: Head,
    is_whole: bool,
}

/// What the shelf has of a device, as far as it is known here.
fn held(
    notebook: &Notebook,
    survey: &Survey,
    device: DeviceId,
) -> Result<Vec<Held>, NotebookError> {
    let mut held = Vec::new();
    for stretch in survey.stretches.iter().filter(|held| held.device == device) {
        let here = notebook.numbered(device, stretch.last)?.into_iter();
        for last in here.filter(|line| stretch.end.is_of(line.hash)) {
            held.push(Held {
                first: stretch.first,
                last,
                is_whole: is_whole(notebook, survey, stretch)?,
            });
        }
    }
    Ok(held)
}

/// Whether a stretch on the shelf has the size of its lines, as far as both are known, and nobody found it to be others.
fn is_whole(
    notebook: &Notebook,
    survey: &Survey,
    stretch: &Stretch,
) -> Result<bool, NotebookError> {
    if survey.doubted.contains(&stretch.to_string()) {
        return Ok(false);
    }
    let Some(there) = survey.sizes.get(stretch) else {
        return Ok(true);
    };
    let here = notebook.piece_bytes(stretch.device, stretch.first..=stretch.last)?;
    Ok(here.is_none_or(|here| here == *there))
}

/// Leaves lines in pieces.
fn leave_lines(run: &mut Run<'_>, lacking: Lacking) -> Result<(), ExchangeError> {
    let mut next = *lacking.lines.start();
    while let Some((stretch, text)) = lacking.piece(run.notebook, next)? {
        run.shelf.leave_lines(&stretch, &text)?;
        // Where the file there was not whole, it is now.
        let file = stretch.to_string();
        run.report.problems.retain(|problem| problem.file != file);
        let left = stretch.last - next + 1;
        run.report.entries_left += left as usize;
        run.tell(|progress| progress.entries += left)?;
        next = stretch.last + 1;
    }
    Ok(())
}

fn leave_photos(
    run: &mut Run<'_>,
    photos: &[PhotoHash],
    survey: &Survey,
) -> Result<(), ExchangeError> {
    let (notebook, shelf) = (run.notebook, run.shelf);
    let refused = run.photos(photos, |tally, photo| {
        let sound = match survey.photos.contains_key(&photo) {
            true => sound_here(notebook, &photo),
            false => Ok(()),
        };
        tally.or_stopped(sound.and_then(|()| leave_photo(notebook, shelf, tally, photo)))
    })?;
    run.report.photos_left += photos.len() - refused.len();
    Ok(())
}

/// What is on the shelf under a photo's name makes room for what is here, and may be the last that is whole.
fn sound_here(notebook: &Notebook, photo: &PhotoHash) -> Result<(), ExchangeError> {
    notebook.photos().verify(photo).map_err(|_| {
        ExchangeError::File(Problem {
            file: format!("photos/{photo}"),
            why: "what was damaged here is not to replace it; have this notebook repaired first"
                .to_owned(),
        })
    })
}

fn leave_photo(
    notebook: &Notebook,
    shelf: &dyn Shelf,
    tally: &Tally<'_>,
    photo: PhotoHash,
) -> Result<(), ExchangeError> {
    let place = notebook.photos().original(&photo);
    let unreadable = |error: std::io::Error| {
        ExchangeError::File(Problem {
            file: format!("photos/{photo}"),
            why: format!("it cannot be read here ({error})"),
        })
    };
    let file = File::open(&place).map_err(unreadable)?;
    let bytes = file.metadata().map_err(unreadable)?.len();
    shelf.leave_photo(&photo, bytes, &mut Counted::new(file, tally))
}
