//! Exchange: bring notebooks together over a shelf, without a lock or a clock.
//!
//! A shelf ([`Shelf`]) is a place where devices leave lines of their journals, and photos named by their content. An
//! exchange takes what the notebook lacks and leaves what the shelf lacks: first photos, then the lines that name them.
//! What a notebook knows of other devices it leaves too, so that news travel over any chain of shelves; lines that two
//! leave are the same byte for byte, under the same name. Nothing on a shelf is trusted: each line is checked against its
//! chain, each photo against its name, before it reaches the notebook.
//!
//! An exchange may be cut off anywhere. What it moved by then is whole, and the next one goes on from there. Where both
//! sides are as the last exchange left them, it looks at nothing else.
//!
//! Where a notebook was copied and both copies went on, two lines of the same device exist; both are kept and passed on.

pub mod bundle;
mod error;
mod folder;
mod leave;
mod own;
mod piece;
mod plan;
mod run;
mod shelf;
mod stretch;
mod take;
mod watch;

pub use bundle::{Bundle, BundleError};
pub use error::ExchangeError;
pub use folder::FolderShelf;
pub use own::NotebookShelf;
pub use piece::PieceError;
pub use shelf::{PIECE_BYTES, Shelf, Survey};
pub use stretch::{LineMark, NotAStretch, Stretch};
pub use watch::{Progress, Stage, Watch, unwatched};

use crate::notebook::{DeviceId, HoleId, Moved, Notebook, NotebookError, Same};
use crate::photo::PhotoHash;
use run::Run;
use serde::Serialize;
use std::fmt;
use std::path::Path;

/// What an exchange did.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Report {
    /// Whether the shelf was new, and made.
    pub made_shelf: bool,
    /// How many entries were taken.
    pub entries_taken: usize,
    /// How many entries were left.
    pub entries_left: usize,
    /// How many photos were taken.
    pub photos_taken: usize,
    /// How many photos were left.
    pub photos_left: usize,
    /// Photos that entries name and that neither the notebook nor the shelf has.
    pub photos_missing: Vec<PhotoHash>,
    /// Holes in which two answers stand since this exchange, and somebody is to settle it.
    pub in_question: Vec<HoleId>,
    /// The identity under which this notebook goes on, where the shelf showed that it was copied or restored.
    pub went_on_as: Option<DeviceId>,
    /// Files that were not taken; all else was.
    pub problems: Vec<Problem>,
}

/// A file on the shelf that was not taken.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The file, from the shelf's folder.
    pub file: String,
    /// Why not.
    pub why: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, why } = self;
        write!(
            f,
            "{file} on the shelf was not taken because {why}; exchange again from the device that left it"
        )
    }
}

/// Exchanges with the shelf in the folder `shelf`: takes what the notebook lacks, leaves what the shelf lacks. The
/// folder is made where only its last part is missing. Blocks until all is on both disks.
///
/// # Errors
/// Where the shelf cannot be reached, read or written, or the notebook cannot be written. What was taken by then stays.
pub fn exchange(notebook: &Notebook, shelf: &Path) -> Result<Report, ExchangeError> {
    exchange_folder(notebook, shelf, &unwatched)
}

/// As [`exchange`], and `watch` may end it.
///
/// # Errors
/// As [`exchange`], and where `watch` ended it.
pub fn exchange_folder(
    notebook: &Notebook,
    shelf: &Path,
    watch: &Watch<'_>,
) -> Result<Report, ExchangeError> {
    let (shelf, made_shelf) = FolderShelf::open(shelf)?;
    let report = exchange_over(notebook, &shelf, watch)?;
    Ok(Report {
        made_shelf,
        ..report
    })
}

/// Exchanges over any shelf. Blocks until all is kept on both sides, or `watch` ends it.
///
/// # Errors
/// Where the shelf cannot be reached, read or written, the notebook cannot be written, or `watch` ended it. What was
/// moved by then stays.
pub fn exchange_over(
    notebook: &Notebook,
    shelf: &dyn Shelf,
    watch: &Watch<'_>,
) -> Result<Report, ExchangeError> {
    let mut run = Run::new(notebook, shelf, watch);
    run.enter(Stage::Looking, 0, 0)?;
    let known = known_same(notebook, shelf)?;
    let known_state = known.as_ref().map(|same| same.shelf.as_str());
    let same = match shelf.survey(known_state)? {
        None => known,
        Some(mut survey) => {
            take_all(&mut run, &mut survey)?;
            // What is recorded here from now on is for the next exchange.
            let notebook = run.notebook.state_for_exchange()?;
            leave::leave(&mut run, &survey)?;
            state_after(&run, survey)?.map(|shelf| Same { shelf, notebook })
        }
    };
    note(&run, same)?;
    Ok(run.report)
}

/// Takes from a shelf what the notebook lacks, and leaves nothing.
///
/// # Errors
/// As [`exchange_over`].
pub fn take_from(
    notebook: &Notebook,
    shelf: &dyn Shelf,
    watch: &Watch<'_>,
) -> Result<Report, ExchangeError> {
    let mut run = Run::new(notebook, shelf, watch);
    run.enter(Stage::Looking, 0, 0)?;
    let mut survey = shelf.survey(None)?.unwrap_or_default();
    take_all(&mut run, &mut survey)?;
    Ok(run.report)
}

/// Takes, and sees what came in question by it.
fn take_all(run: &mut Run<'_>, survey: &mut Survey) -> Result<(), ExchangeError> {
    std::mem::take(&mut survey.unsound)
        .into_iter()
        .for_each(|problem| run.note(problem));
    let before = run.notebook.holes_in_question()?;
    take::take(run, survey)?;
    let now = run.notebook.holes_in_question()?;
    run.report.in_question = now.difference(&before).copied().collect();
    Ok(())
}

/// Both sides after the last exchange, where nothing has changed here since.
fn known_same(notebook: &Notebook, shelf: &dyn Shelf) -> Result<Option<Same>, NotebookError> {
    let id = shelf.id();
    let mut shelves = notebook.shelves()?.into_iter();
    let same = shelves
        .find(|known| known.id == id)
        .and_then(|known| known.same);
    match same {
        Some(same) if notebook.state_for_exchange()? == same.notebook => Ok(Some(same)),
        _ => Ok(None),
    }
}

/// The state of the shelf now, where an exchange would find nothing more to do.
fn state_after(run: &Run<'_>, survey: Survey) -> Result<Option<String>, ExchangeError> {
    let report = &run.report;
    if survey.state.is_none() || !report.problems.is_empty() {
        return Ok(None);
    }
    if report.entries_left + report.photos_left == 0 {
        return Ok(survey.state);
    }
    // Others may have left something meanwhile, so its state is not known from what was left.
    let survey = run.shelf.survey(None)?.unwrap_or_default();
    let lacking = take::lacking(run.notebook, &survey)?;
    Ok(survey.state.filter(|_| lacking.is_empty()))
}

fn note(run: &Run<'_>, same: Option<Same>) -> Result<(), ExchangeError> {
    let Report {
        entries_taken,
        entries_left,
        photos_taken,
        photos_left,
        ..
    } = run.report;
    let moved = Moved {
        entries_taken,
        entries_left,
        photos_taken,
        photos_left,
    };
    Ok(run
        .notebook
        .note_exchange((run.shelf.id(), run.shelf.name()), moved, same)?)
}

#[cfg(test)]
mod tests;
