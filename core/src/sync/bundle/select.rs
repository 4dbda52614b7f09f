//! Selects the lines that go into a bundle.

use super::super::push::{self, MissingLines};
use super::super::remote::Listing;
use super::super::segment::Segment;
use crate::notebook::{Notebook, NotebookError};

/// What a bundle contains.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BundleContent {
    /// Everything the notebook knows, including other devices' entries, with photos. The receiver
    /// needs nothing else.
    All,
    /// What was recorded here and is on no remote yet, with the photos that it names. The receiver
    /// must have this notebook's earlier entries.
    NotSynced,
}

/// Returns the lines to write, in the order of the bundle.
pub(super) fn select_lines(
    notebook: &Notebook,
    content: BundleContent,
) -> Result<Vec<MissingLines>, NotebookError> {
    let elsewhere = match content {
        BundleContent::All => Listing::default(),
        BundleContent::NotSynced => already_elsewhere(notebook)?,
    };
    let mut lines = push::missing_on_remote(notebook, &elsewhere)?;
    // The notebook lists its own device first, but a bundle must be the same whichever device
    // writes it.
    lines.sort_by_key(|missing| (missing.end.device, *missing.lines.start()));
    Ok(lines)
}

/// Lists what need not be written: this notebook's own lines that are on a remote, and all lines of
/// other devices.
fn already_elsewhere(notebook: &Notebook) -> Result<Listing, NotebookError> {
    let own = notebook.own_devices()?;
    let mut elsewhere = Listing::default();
    for device in notebook.devices()? {
        let last_synced = match own.contains(&device) {
            true => notebook.last_pushed(device)?,
            false => u64::MAX,
        };
        for end in notebook.ends(device)? {
            let last = match last_synced.min(end.seq) {
                0 => None,
                last => notebook.line_on(end, last)?,
            };
            elsewhere
                .segments
                .extend(last.map(|last| Segment::ending_at(&last, 1)));
        }
    }
    Ok(elsewhere)
}
