//! Progress of a sync, and canceling it.

use std::ops::ControlFlow;

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

impl Progress {
    /// A phase in which nothing is done yet.
    pub(super) fn at(stage: SyncPhase) -> Self {
        Self {
            phase: stage,
            entries: 0,
            entries_total: 0,
            photo_bytes: 0,
            photo_bytes_total: 0,
        }
    }
}
