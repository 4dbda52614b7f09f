//! Progress of a sync, and canceling it.

use std::ops::ControlFlow;
use std::sync::{Mutex, PoisonError};

/// What a sync is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SyncPhase {
    /// Listing what the remote holds.
    Listing,
    /// Pulling entries and the photos that they name.
    Pulling,
    /// Pushing photos, then entries.
    Pushing,
}

/// How far a sync is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// The current phase.
    pub phase: SyncPhase,
    /// Number of entries done in this phase.
    pub entries: u64,
    /// Number of entries in this phase, as far as known.
    pub entries_total: u64,
    /// Bytes of photos done in this phase.
    pub photo_bytes: u64,
    /// Bytes of photos in this phase, as far as known; grows while pulled lines name more photos.
    pub photo_bytes_total: u64,
}

/// Progress callback. It is called now and then, from several threads; returning `Break` cancels
/// the sync. What was moved by then stays, and the next sync continues from there.
pub type OnProgress<'a> = dyn Fn(Progress) -> ControlFlow<()> + Sync + 'a;

/// Ignores progress and never cancels.
pub fn ignore_progress(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

/// Returns true once the sync was canceled. It is called from several threads.
pub type IsCanceled<'a> = dyn Fn() -> bool + Sync + 'a;

/// Never cancels.
pub(super) fn never_canceled() -> bool {
    false
}

/// A progress callback that also answers whether the sync was canceled, for the time in which
/// nothing is transferred: it reports the last progress again.
pub struct CancelableProgress<'a> {
    on_progress: &'a OnProgress<'a>,
    last: Mutex<Progress>,
}

impl<'a> CancelableProgress<'a> {
    /// Wraps a callback.
    #[must_use]
    pub fn new(on_progress: &'a OnProgress<'a>) -> Self {
        Self {
            on_progress,
            last: Mutex::new(Progress::at(SyncPhase::Listing)),
        }
    }

    /// Passes progress on.
    pub fn report(&self, progress: Progress) -> ControlFlow<()> {
        *self.last.lock().unwrap_or_else(PoisonError::into_inner) = progress;
        (self.on_progress)(progress)
    }

    /// Returns whether the sync was canceled.
    #[must_use]
    pub fn is_canceled(&self) -> bool {
        let last = *self.last.lock().unwrap_or_else(PoisonError::into_inner);
        (self.on_progress)(last).is_break()
    }
}

impl Progress {
    /// A phase in which nothing is done yet.
    pub(crate) fn at(stage: SyncPhase) -> Self {
        Self {
            phase: stage,
            entries: 0,
            entries_total: 0,
            photo_bytes: 0,
            photo_bytes_total: 0,
        }
    }
}
