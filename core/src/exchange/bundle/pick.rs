//! Which lines go into a bundle.

use super::super::leave::{self, Lacking};
use super::super::shelf::Survey;
use super::super::stretch::Stretch;
use crate::notebook::{DeviceId, Notebook, NotebookError};

/// What a bundle is to hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum What {
    /// All that the notebook knows, of other devices too, with its photos. Whoever takes it needs nothing else.
    All,
    /// What was written here and lies on no shelf yet, with the photos that it names. Whoever takes it must have what
    /// was written here before.
    NotHome,
}

/// The lines to write, in the order in which they stand in a bundle.
pub(super) fn lines(notebook: &Notebook, what: What) -> Result<Vec<Lacking>, NotebookError> {
    let elsewhere = match what {
        What::All => Survey::default(),
        What::NotHome => lie_elsewhere(notebook)?,
    };
    let mut lines = leave::lacking(notebook, &elsewhere)?;
    // The notebook names its own device first; a bundle is to be the same whoever writes it.
    lines.sort_by_key(|lacking| (lacking.end.device, *lacking.lines.start()));
    Ok(lines)
}

/// The last line of each of this notebook's identities.
pub(super) fn own_ends(notebook: &Notebook) -> Result<Vec<(DeviceId, u64)>, NotebookError> {
    let mut own = Vec::new();
    for device in notebook.own_devices()? {
        let ends = notebook.ends(device)?;
        own.extend(ends.iter().map(|end| (device, end.seq)));
    }
    Ok(own)
}

/// What need not be written: this notebook's own lines that lie on a shelf, and all those of others.
fn lie_elsewhere(notebook: &Notebook) -> Result<Survey, NotebookError> {
    let own = notebook.own_devices()?;
    let mut elsewhere = Survey::default();
    for device in notebook.devices()? {
        let brought = match own.contains(&device) {
            true => notebook.brought_home(device)?,
            false => u64::MAX,
        };
        for end in notebook.ends(device)? {
            let last = match brought.min(end.seq) {
                0 => None,
                last => notebook.line_on(end, last)?,
            };
            elsewhere
                .stretches
                .extend(last.map(|last| Stretch::to(&last, 1)));
        }
    }
    Ok(elsewhere)
}
