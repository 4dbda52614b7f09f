//! Sync: brings notebooks together over a remote, without a lock or a clock.
//!
//! A [`Remote`] is a place where devices put lines of their journals and photos named by their
//! content. A sync pulls what the notebook lacks and pushes what the remote lacks: photos first,
//! then the lines that name them. A notebook also pushes what it knows of other devices, so news
//! travels over any chain of remotes. Two devices that push the same lines write the same bytes
//! under the same name.
//!
//! Nothing on a remote is trusted: each line is validated against its chain, and each photo against
//! its name, before it reaches the notebook.
//!
//! A sync may be interrupted anywhere. What it moved by then is complete, and the next sync
//! continues from there (a retry is always safe). If neither side has changed since the last sync,
//! nothing is transferred.
//!
//! If a notebook was copied and both copies went on, one device has two chains; both are kept and
//! passed on.

pub mod bundle;
mod chunk;
mod error;
mod folder;
mod notebook_remote;
mod plan;
mod progress;
mod pull;
mod push;
mod remote;
mod run;
mod segment;

pub use bundle::{Bundle, BundleError};
pub use chunk::ChunkError;
pub use error::SyncError;
pub use folder::{FolderRemote, MissingFolder, folder_name};
pub use notebook_remote::NotebookRemote;
pub use progress::{
    CancelableProgress, IsCanceled, OnProgress, Progress, SyncPhase, ignore_progress,
};
pub use remote::{CHUNK_BYTES, Listing, Remote};
pub use segment::{HashPrefix, InvalidSegmentName, Segment};

use crate::notebook::{DeviceId, HoleId, Notebook, NotebookError, SyncCounts, Unchanged};
use crate::photo::PhotoHash;
use run::SyncRun;
use serde::Serialize;
use std::fmt;
use std::path::Path;

/// What a sync did.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct SyncReport {
    /// Whether the remote did not exist and was created.
    pub created_remote: bool,
    /// Number of entries pulled.
    pub entries_pulled: u32,
    /// Number of entries pushed.
    pub entries_pushed: u32,
    /// Number of photos pulled.
    pub photos_pulled: u32,
    /// Number of photos pushed.
    pub photos_pushed: u32,
    /// Photos that entries name and that neither the notebook nor the remote has.
    pub photos_missing: Vec<PhotoHash>,
    /// Holes that have a conflict since this sync; a person resolves it.
    pub conflicts: Vec<HoleId>,
    /// Other devices whose first entries this sync pulled. Whoever can write on the remote can write
    /// entries in the name of any device.
    pub new_devices: Vec<DeviceId>,
    /// The new device id of this notebook, if the remote showed that the notebook was copied or
    /// restored.
    pub continued_as: Option<DeviceId>,
    /// Files that were skipped; everything else was transferred.
    pub problems: Vec<Problem>,
}

/// A file on the remote that was skipped.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// The file's path on the remote.
    pub file: String,
    /// Why it was skipped.
    pub reason: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, reason } = self;
        write!(
            f,
            "{file} on the remote was skipped because {reason}; sync again from the device that has it"
        )
    }
}

/// Syncs with the folder `remote`: pulls what the notebook lacks, then pushes what the folder
/// lacks. Creates the folder if its parent exists. Blocks until everything is on both disks.
///
/// # Errors
/// If the folder cannot be reached, read or written, or the notebook cannot be written. What was
/// pulled by then stays.
pub fn sync_folder(notebook: &Notebook, remote: &Path) -> Result<SyncReport, SyncError> {
    sync_folder_with(notebook, remote, MissingFolder::Create, &ignore_progress)
}

/// Like [`sync_folder`], with progress; `on_progress` may cancel it. `missing` says what to do if
/// there is no such folder.
///
/// # Errors
/// As [`sync_folder`] and [`FolderRemote::open_with`], and [`SyncError::Canceled`].
pub fn sync_folder_with(
    notebook: &Notebook,
    remote: &Path,
    missing: MissingFolder,
    on_progress: &OnProgress<'_>,
) -> Result<SyncReport, SyncError> {
    let progress = CancelableProgress::new(on_progress);
    let is_canceled = || progress.is_canceled();
    let remote = FolderRemote::open_with(remote, missing, &is_canceled)?;
    let report = sync_with(notebook, &remote, &|now| progress.report(now))?;
    Ok(SyncReport {
        created_remote: remote.was_created(),
        ..report
    })
}

/// Syncs with any remote. Blocks until everything is stored on both sides or `on_progress` cancels
/// it.
///
/// # Errors
/// If the remote cannot be reached, read or written, the notebook cannot be written, or
/// `on_progress` canceled the sync. What was moved by then stays.
pub fn sync_with(
    notebook: &Notebook,
    remote: &dyn Remote,
    on_progress: &OnProgress<'_>,
) -> Result<SyncReport, SyncError> {
    let mut run = SyncRun::new(notebook, remote, on_progress);
    let unchanged = run.interruptible(pull_and_push)?;
    record_sync(&run, unchanged)?;
    Ok(run.report)
}

/// Pulls, then pushes. Returns the state of both sides if another sync would have nothing to do.
fn pull_and_push(run: &mut SyncRun<'_>) -> Result<Option<Unchanged>, SyncError> {
    let (notebook, remote) = (run.notebook, run.remote);
    run.start_phase(SyncPhase::Listing, 0, 0)?;
    let known = known_state(notebook, remote)?;
    let known_state = known.as_ref().map(|known| known.remote.as_str());
    let Some(mut listing) = remote.list(known_state)? else {
        return Ok(known);
    };
    pull_all(run, &mut listing)?;
    // Taken before the push: what is recorded from now on is for the next sync.
    let notebook = notebook.sync_fingerprint()?;
    push::push(run, &listing)?;
    let remote = state_after_sync(run, listing)?;
    Ok(remote.map(|remote| Unchanged { remote, notebook }))
}

/// Pulls what the notebook lacks and pushes nothing.
///
/// # Errors
/// As [`sync_with`].
pub fn pull_from(
    notebook: &Notebook,
    remote: &dyn Remote,
    on_progress: &OnProgress<'_>,
) -> Result<SyncReport, SyncError> {
    let mut run = SyncRun::new(notebook, remote, on_progress);
    run.interruptible(|run| {
        run.start_phase(SyncPhase::Listing, 0, 0)?;
        let mut listing = remote.list(None)?.unwrap_or_default();
        pull_all(run, &mut listing)
    })?;
    Ok(run.report)
}

/// Pulls, and reports the conflicts that this created.
fn pull_all(run: &mut SyncRun<'_>, listing: &mut Listing) -> Result<(), SyncError> {
    std::mem::take(&mut listing.unreadable)
        .into_iter()
        .for_each(|problem| run.record_problem(problem));
    let before = run.notebook.holes_with_conflicts()?;
    let known = run.notebook.devices()?;
    pull::pull(run, listing)?;
    let mut new = run.notebook.devices()?;
    new.retain(|device| !known.contains(device));
    run.report.new_devices = run.notebook.record_arrivals(&new, &run.remote.name())?;
    let now = run.notebook.holes_with_conflicts()?;
    run.report.conflicts = now.difference(&before).copied().collect();
    Ok(())
}

/// The state of both sides after the last sync, if the notebook has not changed since.
fn known_state(
    notebook: &Notebook,
    remote: &dyn Remote,
) -> Result<Option<Unchanged>, NotebookError> {
    let id = remote.id();
    let mut remotes = notebook.remotes()?.into_iter();
    let unchanged = remotes
        .find(|known| known.id == id)
        .and_then(|known| known.unchanged);
    match unchanged {
        Some(known) if notebook.sync_fingerprint()? == known.notebook => Ok(Some(known)),
        _ => Ok(None),
    }
}

/// The remote's state after this sync, if another sync would have nothing to do.
fn state_after_sync(run: &SyncRun<'_>, listing: Listing) -> Result<Option<String>, SyncError> {
    let report = &run.report;
    if listing.state.is_none() || !report.problems.is_empty() {
        return Ok(None);
    }
    if report.entries_pushed + report.photos_pushed == 0 {
        return Ok(listing.state);
    }
    // Others may have pushed meanwhile, so the remote is listed once more.
    let listing = run.remote.list(None)?.unwrap_or_default();
    let missing = pull::missing_here(run.notebook, &listing)?;
    Ok(listing.state.filter(|_| missing.is_empty()))
}

fn record_sync(run: &SyncRun<'_>, unchanged: Option<Unchanged>) -> Result<(), SyncError> {
    let SyncReport {
        entries_pulled,
        entries_pushed,
        photos_pulled,
        photos_pushed,
        ..
    } = run.report;
    let counts = SyncCounts {
        entries_pulled,
        entries_pushed,
        photos_pulled,
        photos_pushed,
    };
    Ok(run
        .notebook
        .remember_sync((run.remote.id(), run.remote.name()), counts, unchanged)?)
}

#[cfg(test)]
mod tests;
