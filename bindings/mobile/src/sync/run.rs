//! A sync in the background: started, watched, canceled, and its result.

use super::SyncReport;
use crate::error::{NotebookError, RemoteProblem};
use crate::guard::guard;
use crate::notebook::Notebook;
use crate::values::count;
use holebook_core::sync::SyncPhase;
use holebook_screens::sync_backend::{
    RunHandle, RunResult, RunStep, RunStepState, StepFailure, StepInterrupted,
};
use holebook_sync::service::{self, ServiceError};
use std::path::Path;
use std::sync::Arc;

/// What to sync with.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum SyncTarget {
    /// A folder, created if only its last part is missing.
    Folder {
        /// The absolute path.
        path: String,
    },
    /// A paired shop computer, over the local network.
    Shop {
        /// The id of the paired shop, or of its known remote.
        id: String,
    },
    /// A bundle: pulls what is new in it and pushes nothing; the file stays.
    Bundle {
        /// The absolute path.
        path: String,
    },
    /// Every known remote, one after the other: shop computers, then folders. One that cannot be
    /// reached does not stop the others.
    All,
}

impl SyncTarget {
    fn as_target(&self) -> service::SyncTarget<'_> {
        match self {
            Self::Folder { path } => service::SyncTarget::Folder(Path::new(path)),
            Self::Shop { id } => service::SyncTarget::Shop(id),
            Self::Bundle { path } => service::SyncTarget::Bundle(Path::new(path)),
            Self::All => service::SyncTarget::All,
        }
    }
}

/// What a run is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, uniffi::Enum)]
pub enum SyncRunPhase {
    /// It has started, and nothing is known yet.
    Starting,
    /// It lists what is on the remote.
    Listing,
    /// It pulls entries, and the photos that they name.
    Pulling,
    /// It pushes photos, then entries.
    Pushing,
    /// It has ended, well or not; the result says which.
    Finished,
}

impl From<SyncPhase> for SyncRunPhase {
    fn from(phase: SyncPhase) -> Self {
        match phase {
            SyncPhase::Listing => Self::Listing,
            SyncPhase::Pulling => Self::Pulling,
            SyncPhase::Pushing => Self::Pushing,
        }
    }
}

/// The progress of a run.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SyncProgress {
    /// The name of the remote or bundle in a sentence; the last one once the run has ended.
    pub remote: String,
    /// The number of the remote, from 1.
    pub number: u32,
    /// How many remotes there are.
    pub remotes: u32,
    /// What the run is doing there.
    pub phase: SyncRunPhase,
    /// Entries done in this phase.
    pub entries: u64,
    /// Entries in this phase, as far as known.
    pub entries_total: u64,
    /// Bytes of photos done in this phase.
    pub photo_bytes: u64,
    /// Bytes of photos in this phase, as far as known; grows as pulled entries name more.
    pub photo_bytes_total: u64,
}

/// The result for one remote.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum RemoteOutcome {
    /// The sync ended well.
    Done {
        /// The name of the remote or bundle in a sentence.
        remote: String,
        /// What it did.
        report: SyncReport,
    },
    /// The sync failed. What was synced by then stays, and the next sync continues from there.
    Failed {
        /// The name of the remote or bundle in a sentence.
        remote: String,
        /// Why, in a sentence for the person.
        reason: String,
        /// What is wrong with the remote, if the remote is the problem.
        problem: Option<RemoteProblem>,
    },
}

/// A sync that was started. It continues even if this object is dropped, and still answers after
/// the notebook was shut down.
#[derive(uniffi::Object)]
pub struct SyncRun(RunHandle);

#[uniffi::export]
impl SyncRun {
    /// Returns the progress. Does not block.
    pub fn progress(&self) -> SyncProgress {
        let run = self.0.run();
        let is_open =
            |step: &RunStep| matches!(step.state, RunStepState::Waiting | RunStepState::Running(_));
        let current = run.steps.iter().position(is_open);
        let at = current.unwrap_or(run.steps.len().saturating_sub(1));
        let step = run.steps.get(at);
        let known = match step.map(|step| &step.state) {
            Some(RunStepState::Running(known)) => *known,
            _ => None,
        };
        SyncProgress {
            remote: step.map(|step| step.name.clone()).unwrap_or_default(),
            number: count(at + 1),
            remotes: count(run.steps.len()),
            phase: match (known, run.ended) {
                (_, Some(_)) => SyncRunPhase::Finished,
                (None, None) => SyncRunPhase::Starting,
                (Some(known), None) => known.phase.into(),
            },
            entries: known.map_or(0, |known| known.entries),
            entries_total: known.map_or(0, |known| known.entries_total),
            photo_bytes: known.map_or(0, |known| known.photo_bytes),
            photo_bytes_total: known.map_or(0, |known| known.photo_bytes_total),
        }
    }

    /// Returns whether it has ended, well or not. Does not block.
    pub fn is_over(&self) -> bool {
        self.0.is_over()
    }

    /// Cancels it: between two chunks, or after 30 seconds at most if the network does not respond.
    /// What was synced by then stays. Does not block, and does nothing if it has ended.
    pub fn cancel(&self) {
        self.0.cancel();
    }

    /// Waits until it is over and returns the result for each remote in order; later calls return
    /// the same.
    ///
    /// Fails if the sync with every remote failed, with the error of the first: `Remote` if it
    /// cannot be reached, read, or written, or denies access; `Bundle` if the file is not a valid
    /// bundle; `Canceled`; `Pairing` if the shop computer was forgotten meanwhile; those of the
    /// notebook; `Internal` for a bug. What was synced by then stays.
    pub fn result(&self) -> Result<Vec<RemoteOutcome>, NotebookError> {
        guard("result", || {
            self.0.wait();
            let steps = self.0.run().steps.into_iter();
            let outcomes: Vec<_> = steps.map(outcome).collect();
            if let Some(Err((_, first))) = outcomes.first()
                && outcomes.iter().all(Result::is_err)
            {
                return Err(first.clone());
            }
            let failed = |(remote, error): (String, NotebookError)| RemoteOutcome::Failed {
                remote,
                reason: error.to_string(),
                problem: error.remote_problem(),
            };
            let outcomes = outcomes.into_iter();
            Ok(outcomes.map(|done| done.unwrap_or_else(failed)).collect())
        })
    }
}

fn outcome(step: RunStep) -> Result<RemoteOutcome, (String, NotebookError)> {
    let remote = step.name;
    match step.state {
        RunStepState::Done(RunResult::Synced(report)) => Ok(RemoteOutcome::Done { remote, report }),
        RunStepState::Failed(failure) => Err((remote, error_of(&failure))),
        RunStepState::Done(RunResult::BundleWritten(_) | RunResult::Exported(_))
        | RunStepState::Waiting
        | RunStepState::Running(_) => {
            unreachable!("a finished sync run has only results and failures")
        }
    }
}

/// The typed error of a step that failed.
fn error_of(failure: &StepFailure) -> NotebookError {
    let reason = failure.to_string();
    if let Some(error) = failure.cause::<ServiceError>() {
        return error.into();
    }
    match failure.cause::<StepInterrupted>() {
        Some(StepInterrupted::Canceled) => NotebookError::Canceled { reason },
        Some(StepInterrupted::Panicked { message }) => NotebookError::Internal {
            call: "start_sync".to_owned(),
            reason: format!("{reason} ({message})"),
        },
        None => NotebookError::Internal {
            call: "start_sync".to_owned(),
            reason,
        },
    }
}

#[uniffi::export]
impl Notebook {
    /// Starts a sync in the background and returns; the run reports its progress and result. It
    /// pulls what the notebook lacks and pushes what the remote lacks. One runs at a time, and one
    /// that a page started counts too; the pages show it and can cancel it. Blocks only while the
    /// known remotes are read.
    ///
    /// Fails with `SyncRunning` if one is running; with `Pairing` if this device is not paired with
    /// that shop computer; with `Remote` if no remote is known for `All`. Later errors are in the
    /// result.
    pub fn start_sync(&self, target: SyncTarget) -> Result<Arc<SyncRun>, NotebookError> {
        self.sync("start_sync", |sync| {
            Ok(Arc::new(SyncRun(sync.start(&target.as_target())?)))
        })
    }
}
