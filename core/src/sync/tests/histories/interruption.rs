//! Interrupting a sync: a remote that fails after some calls, and a notebook that fails after some
//! commits.

use super::plan::{InterruptAt, Interruption};
use crate::notebook::Notebook;
use crate::photo::PhotoHash;
use crate::sync::{Listing, Remote, Segment, SyncError};
use std::io::{Read, Write};
use std::sync::atomic::{AtomicU8, Ordering};

/// A remote that becomes unreachable after some calls.
pub struct InterruptedRemote<'a> {
    pub remote: &'a dyn Remote,
    left: AtomicU8,
    reply: bool,
}

impl<'a> InterruptedRemote<'a> {
    pub fn new(remote: &'a dyn Remote, interruption: Option<Interruption>) -> Self {
        let (left, reply) = match interruption {
            Some(Interruption {
                at: InterruptAt::Request,
                after,
                ..
            }) => (after, false),
            Some(Interruption {
                at: InterruptAt::Response,
                after,
                ..
            }) => (after, true),
            _ => (u8::MAX, false),
        };
        Self {
            remote,
            left: AtomicU8::new(left),
            reply,
        }
    }

    fn call<T>(&self, call: impl FnOnce() -> Result<T, SyncError>) -> Result<T, SyncError> {
        let left = self
            .left
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, |left| {
                left.checked_sub(1)
            });
        let broken = || SyncError::Unreachable {
            remote: self.remote.name(),
            detail: "interrupted by the test".to_owned(),
        };
        match left {
            Err(_) => Err(broken()),
            Ok(1) if self.reply => call().and_then(|_| Err(broken())),
            Ok(_) => call(),
        }
    }
}

impl Remote for InterruptedRemote<'_> {
    fn id(&self) -> String {
        self.remote.id()
    }

    fn name(&self) -> String {
        self.remote.name()
    }

    fn list(&self, known: Option<&str>) -> Result<Option<Listing>, SyncError> {
        self.call(|| self.remote.list(known))
    }

    fn pull_lines(&self, segment: &Segment, from: u64) -> Result<Vec<u8>, SyncError> {
        self.call(|| self.remote.pull_lines(segment, from))
    }

    fn push_lines(&self, segment: &Segment, lines: &[u8]) -> Result<(), SyncError> {
        self.call(|| self.remote.push_lines(segment, lines))
    }

    fn pull_photo(&self, photo: &PhotoHash, into: &mut dyn Write) -> Result<(), SyncError> {
        self.call(|| self.remote.pull_photo(photo, into))
    }

    fn push_photo(
        &self,
        photo: &PhotoHash,
        bytes: u64,
        from: &mut dyn Read,
    ) -> Result<(), SyncError> {
        self.call(|| self.remote.push_photo(photo, bytes, from))
    }

    fn report_corrupt(&self, file: &str) {
        self.remote.report_corrupt(file);
    }

    fn finish(&self) -> Result<(), SyncError> {
        self.call(|| self.remote.finish())
    }
}

/// From now on `times` commits of the notebook succeed, and all later ones fail.
pub fn limit_commits(notebook: &Notebook, times: u8) {
    let mut left = times;
    let hook = move || {
        let fails = left == 0;
        left = left.saturating_sub(1);
        fails
    };
    let result = notebook.connection().commit_hook(Some(hook));
    result.expect("a hook");
}

/// All commits succeed again.
pub fn allow_commits(notebook: &Notebook) {
    let result = notebook.connection().commit_hook(None::<fn() -> bool>);
    result.expect("a hook");
}
