//! Taking from the shelf what the notebook lacks.

use super::error::ExchangeError;
use super::run::{Counted, Run, Tally};
use super::shelf::{Shelf, Survey};
use super::stretch::Stretch;
use super::watch::Stage;
use super::{Problem, piece, plan};
use crate::notebook::{Line, NotTaken, Notebook, NotebookError, PhotoBody};
use crate::photo::{PhotoError, PhotoHash};
use serde::Deserialize;
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicBool, Ordering};

/// Takes every stretch that the notebook lacks, each piece after the photos that it names; then photos that were lacking
/// from before.
pub(super) fn take(run: &mut Run<'_>, survey: &mut Survey) -> Result<(), ExchangeError> {
    let lacking = lacking(run.notebook, survey)?;
    // A shelf may claim any numbers and sizes; they only tell how far it is.
    let mut entries = 0_u64;
    for stretch in &lacking {
        let held = run.notebook.last_number(stretch.device)?.min(stretch.last);
        entries = entries.saturating_add(stretch.last - held.max(stretch.first - 1));
    }
    run.enter(Stage::Taking, entries, 0)?;
    take_stretches(run, survey, lacking)?;
    take_photos(run, survey)
}

/// The stretches whose last line is not here.
pub(super) fn lacking(notebook: &Notebook, survey: &Survey) -> Result<Vec<Stretch>, NotebookError> {
    let mut lacking = Vec::new();
    for stretch in &survey.stretches {
        let here = notebook.numbered(stretch.device, stretch.last)?;
        if !here.iter().any(|line| stretch.end.is_of(line.hash)) {
            lacking.push(stretch.clone());
        }
    }
    Ok(lacking)
}

/// Takes stretches until none that is left can be: a line may name one in a stretch that comes later.
fn take_stretches(
    run: &mut Run<'_>,
    survey: &Survey,
    mut waiting: Vec<Stretch>,
) -> Result<(), ExchangeError> {
    loop {
        let before = waiting.len();
        let mut refused = Vec::new();
        let mut later = Vec::new();
        for stretch in waiting {
            match take_stretch(run, survey, &stretch) {
                Ok(()) => {}
                Err(ExchangeError::File(problem)) => {
                    refused.push(problem);
                    later.push(stretch);
                }
                Err(error) => return Err(error),
            }
        }
        if later.is_empty() || later.len() == before {
            refused.into_iter().for_each(|problem| run.note(problem));
            return Ok(());
        }
        waiting = later;
    }
}

/// Takes what is lacking of a stretch. Where the line before the first that is lacking turns out to be another one here,
/// since the device's notebook was copied, it takes the stretch from its start.
fn take_stretch(
    run: &mut Run<'_>,
    survey: &Survey,
    stretch: &Stretch,
) -> Result<(), ExchangeError> {
    let held = run.notebook.last_number(stretch.device)?;
    let from = (held + 1).clamp(stretch.first, stretch.last);
    let mut taken = take_from(run, survey, stretch, from)?;
    if from > stretch.first && matches!(taken, Err(NotTaken::Gap { .. })) {
        taken = take_from(run, survey, stretch, stretch.first)?;
    }
    taken.map_err(|why| problem(stretch, &why.to_string()))
}

/// Takes a stretch from a line on. While one piece is written, the next is on its way.
fn take_from(
    run: &mut Run<'_>,
    survey: &Survey,
    stretch: &Stretch,
    from: u64,
) -> Result<Result<(), NotTaken>, ExchangeError> {
    let (notebook, tally) = (run.notebook, run.tally());
    let refused = AtomicBool::new(false);
    let mut source = Source {
        run,
        survey,
        stretch,
        from,
        refused: &refused,
        failed: Ok(()),
    };
    let mut became = Vec::new();
    let pieces = std::iter::from_fn(|| source.next());
    notebook.take_pieces(pieces, |taken| {
        match &taken {
            Ok(taken) => {
                tally.tell(|progress| progress.entries += taken.new as u64);
            }
            Err(_) => refused.store(true, Ordering::Relaxed),
        }
        became.push(taken);
    })?;
    let failed = source.failed;
    for taken in became {
        match taken {
            Ok(taken) => {
                run.report.entries_taken += taken.new;
                run.report.went_on_as = taken.went_on_as.or(run.report.went_on_as);
            }
            // What comes behind it lacks it.
            Err(why) => return Ok(Err(why)),
        }
    }
    failed.and_then(|()| run.go_on()).map(Ok)
}

/// Brings the pieces of a stretch, each once the photos that it names are here.
struct Source<'s, 'a> {
    run: &'s mut Run<'a>,
    survey: &'s Survey,
    stretch: &'s Stretch,
    /// The line that is wanted next.
    from: u64,
    /// Whether a piece was refused, so that those behind it are of no use.
    refused: &'s AtomicBool,
    /// Why there are no more pieces.
    failed: Result<(), ExchangeError>,
}

impl Source<'_, '_> {
    fn next(&mut self) -> Option<Vec<Line>> {
        let ended = self.from > self.stretch.last || self.failed.is_err();
        if ended || self.refused.load(Ordering::Relaxed) {
            return None;
        }
        match self.bring() {
            Ok(lines) => {
                let last = lines.last().map(|line| line.entry().seq);
                self.from = last.unwrap_or(self.stretch.last) + 1;
                Some(lines)
            }
            Err(error) => {
                self.failed = Err(error);
                None
            }
        }
    }

    fn bring(&mut self) -> Result<Vec<Line>, ExchangeError> {
        self.run.go_on()?;
        let bytes = self.run.shelf.lines(self.stretch, self.from)?;
        let lines = piece::read(self.stretch, self.from, bytes).map_err(|why| {
            self.run.shelf.doubt(&self.stretch.to_string());
            problem(self.stretch, &why.to_string())
        })?;
        let there = &self.survey.photos;
        let here = self.run.notebook.photos();
        let named = lines.iter().filter_map(photo_named_by);
        let photos: BTreeSet<_> = named
            .filter(|photo| there.contains_key(photo) && !here.holds(photo))
            .collect();
        fetch(self.run, self.survey, photos.into_iter().collect())?;
        Ok(lines)
    }
}

pub(super) fn photo_named_by(line: &Line) -> Option<PhotoHash> {
    let entry = line.entry();
    (entry.kind == "photo").then(|| {
        PhotoBody::deserialize(&entry.body)
            .ok()
            .map(|body| body.hash)
    })?
}

/// Takes photos that entries name and that are not here, from earlier exchanges too.
fn take_photos(run: &mut Run<'_>, survey: &mut Survey) -> Result<(), ExchangeError> {
    let named = run.notebook.named_photos()?;
    let plan = plan::photos(&named, &run.notebook.photo_sizes()?, &survey.photos);
    let refused = fetch(run, survey, plan.take)?;
    for photo in &refused {
        // So that whoever has it leaves it again.
        survey.photos.remove(photo);
    }
    run.report.photos_missing = plan.missing;
    run.report.photos_missing.extend(refused);
    Ok(())
}

/// Brings photos from the shelf; gives those that could not be had.
fn fetch(
    run: &mut Run<'_>,
    survey: &Survey,
    photos: Vec<PhotoHash>,
) -> Result<Vec<PhotoHash>, ExchangeError> {
    if photos.is_empty() {
        return Ok(photos);
    }
    let sizes = photos.iter().filter_map(|photo| survey.photos.get(photo));
    let bytes = sizes.fold(0, |sum: u64, size| sum.saturating_add(*size));
    run.tell(|progress| {
        progress.photo_bytes_of = progress.photo_bytes_of.saturating_add(bytes);
    })?;
    let (notebook, shelf) = (run.notebook, run.shelf);
    let refused = run.photos(&photos, |tally, photo| {
        tally.or_stopped(fetch_one(notebook, shelf, tally, photo))
    })?;
    run.report.photos_taken += photos.len() - refused.len();
    Ok(refused)
}

fn fetch_one(
    notebook: &Notebook,
    shelf: &dyn Shelf,
    tally: &Tally<'_>,
    photo: PhotoHash,
) -> Result<(), ExchangeError> {
    let adopted = notebook.photos().adopt_with(&photo, |file| {
        shelf.photo(&photo, &mut Counted::new(file, tally))
    });
    adopted.map_err(|error| match error {
        ExchangeError::Photo(PhotoError::StorageFull { .. } | PhotoError::Storage { .. }) => error,
        ExchangeError::Photo(refused) => {
            let file = format!("photos/{photo}");
            if matches!(refused, PhotoError::NotAsNamed { .. }) {
                shelf.doubt(&file);
            }
            let why = format!("of this: {refused}");
            ExchangeError::File(Problem { file, why })
        }
        error => error,
    })
}

fn problem(stretch: &Stretch, why: &str) -> ExchangeError {
    ExchangeError::File(Problem {
        file: stretch.to_string(),
        why: why.to_owned(),
    })
}
