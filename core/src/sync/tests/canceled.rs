//! Canceling while the remote does not answer.

use super::*;
use crate::photo::PhotoHash;
use crate::sync::{Listing, Remote, Segment, SyncError, pull_from, sync_with};
use std::io::{Read, Write};
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::sync::mpsc::{self, Receiver, Sender};
use std::time::Duration;

/// A remote that lists nothing until it is interrupted.
struct StalledRemote {
    interrupted: Mutex<Receiver<()>>,
    interrupt: Sender<()>,
}

impl StalledRemote {
    fn new() -> Self {
        let (interrupt, interrupted) = mpsc::channel();
        Self {
            interrupted: Mutex::new(interrupted),
            interrupt,
        }
    }

    fn unreachable(&self) -> SyncError {
        SyncError::Unreachable {
            remote: self.name(),
            detail: "no answer".to_owned(),
        }
    }
}

impl Remote for StalledRemote {
    fn id(&self) -> String {
        "stalled".to_owned()
    }

    fn name(&self) -> String {
        "the stalled remote".to_owned()
    }

    fn list(&self, _: Option<&str>) -> Result<Option<Listing>, SyncError> {
        let interrupted = self.interrupted.lock().unwrap();
        let waited = interrupted.recv_timeout(Duration::from_secs(60));
        waited.expect("the remote is interrupted");
        Err(self.unreachable())
    }

    fn pull_lines(&self, _: &Segment, _: u64) -> Result<Vec<u8>, SyncError> {
        Err(self.unreachable())
    }

    fn push_lines(&self, _: &Segment, _: &[u8]) -> Result<(), SyncError> {
        Err(self.unreachable())
    }

    fn pull_photo(&self, _: &PhotoHash, _: &mut dyn Write) -> Result<(), SyncError> {
        Err(self.unreachable())
    }

    fn push_photo(&self, _: &PhotoHash, _: u64, _: &mut dyn Read) -> Result<(), SyncError> {
        Err(self.unreachable())
    }

    fn interrupt(&self) {
        self.interrupt.send(()).unwrap();
    }
}

#[test]
fn a_remote_that_does_not_answer_is_interrupted_once_the_sync_is_canceled() {
    let bench = Bench::new();
    // The first call is from the sync itself, before it waits.
    let cancel_later = || {
        let calls = Mutex::new(0);
        move |_| {
            let mut calls = calls.lock().unwrap();
            *calls += 1;
            match *calls {
                1 => ControlFlow::Continue(()),
                _ => ControlFlow::Break(()),
            }
        }
    };
    let synced = sync_with(&bench.notebook, &StalledRemote::new(), &cancel_later());
    assert!(matches!(synced, Err(SyncError::Canceled)), "{synced:?}");
    let pulled = pull_from(&bench.notebook, &StalledRemote::new(), &cancel_later());
    assert!(matches!(pulled, Err(SyncError::Canceled)), "{pulled:?}");
}
