//! A background run: what it does, how far it is, and its result.

use chrono::{DateTime, FixedOffset};
use holebook_core::sync::{Progress, SyncReport};
use std::error::Error;
use std::fmt;
use std::path::PathBuf;
use std::sync::Arc;

/// Tasks that were started together and run one after the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// The steps, in order.
    pub steps: Vec<RunStep>,
    /// When the last step ended; `None` while it is running.
    pub ended: Option<DateTime<FixedOffset>>,
}

impl Run {
    /// Returns whether it is still running.
    #[must_use]
    pub fn is_running(&self) -> bool {
        self.ended.is_none()
    }

    /// Returns the bundle or export that it wrote, if any.
    #[must_use]
    pub fn bundle(&self) -> Option<&BundleFile> {
        self.steps.iter().find_map(|step| match &step.state {
            RunStepState::Done(RunResult::BundleWritten(file) | RunResult::Exported(file)) => {
                Some(file)
            }
            _ => None,
        })
    }
}

/// One step of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct RunStep {
    /// What it does.
    pub kind: TaskKind,
    /// The name of the remote or bundle in a sentence, such as `the shop computer Bench`.
    pub name: String,
    /// How far it is.
    pub state: RunStepState,
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TaskKind {
    /// Syncs with a remote.
    Sync,
    /// Imports a bundle.
    ImportBundle,
    /// Writes a bundle.
    WriteBundle,
    /// Exports the notebook.
    Export,
}

/// How far a step is.
#[derive(Debug, Clone, PartialEq)]
pub enum RunStepState {
    /// It has not started.
    Waiting,
    /// It is running, with its progress once that is known.
    Running(Option<Progress>),
    /// It ended well.
    Done(RunResult),
    /// It failed or was canceled.
    Failed(StepFailure),
}

/// The result of a step.
#[derive(Debug, Clone, PartialEq)]
pub enum RunResult {
    /// What a sync or an import transferred.
    Synced(SyncReport),
    /// A bundle was written.
    BundleWritten(BundleFile),
    /// The notebook was exported.
    Exported(BundleFile),
}

/// Why a step failed: a sentence for people, and the error itself for typed calls.
#[derive(Debug, Clone)]
pub struct StepFailure(Arc<dyn Error + Send + Sync>);

impl StepFailure {
    /// Wraps an error whose message is one sentence: what, where, and what to do.
    pub fn new(error: impl Error + Send + Sync + 'static) -> Self {
        Self(Arc::new(error))
    }

    /// Returns the error if it is of this type.
    #[must_use]
    pub fn cause<E: Error + 'static>(&self) -> Option<&E> {
        self.0.downcast_ref()
    }
}

impl fmt::Display for StepFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl PartialEq for StepFailure {
    fn eq(&self, other: &Self) -> bool {
        self.to_string() == other.to_string()
    }
}

/// A bundle or export that was written and can be downloaded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundleFile {
    /// Its path.
    pub path: PathBuf,
    /// The file name for the download.
    pub name: String,
    /// Its size, bytes.
    pub bytes: u64,
    /// How many entries it holds.
    pub entries: u64,
    /// How many photos it holds.
    pub photos: u64,
}
