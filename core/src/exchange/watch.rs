//! Watching an exchange: how far it is, and ending it early.

use std::ops::ControlFlow;

/// What an exchange is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// Looking at what lies on the shelf.
    Looking,
    /// Taking entries, and the photos that they name.
    Taking,
    /// Leaving photos, then entries.
    Leaving,
}

/// How far an exchange is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// What it is doing.
    pub stage: Stage,
    /// How many entries are done in this stage.
    pub entries: u64,
    /// Of how many, as far as is known.
    pub entries_of: u64,
    /// How many bytes of photos are done in this stage.
    pub photo_bytes: u64,
    /// Of how many, as far as is known; it grows where lines that are taken name more.
    pub photo_bytes_of: u64,
}

/// Told now and then, from any of several threads, how far an exchange is; breaks to end it. What was taken and left by
/// then stays, and the next exchange goes on from there.
pub type Watch<'a> = dyn Fn(Progress) -> ControlFlow<()> + Sync + 'a;

/// Watches nothing.
pub fn unwatched(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

impl Progress {
    /// Nothing done yet in a stage.
    pub(super) fn at(stage: Stage) -> Self {
        Self {
            stage,
            entries: 0,
            entries_of: 0,
            photo_bytes: 0,
            photo_bytes_of: 0,
        }
    }
}
