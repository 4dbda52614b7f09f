//! Interrupting requests to a remote that does not answer, when the sync was canceled.
//!
//! [`ureq::Agent::shutdown`] closes connections that are open. What blocks before there is one, a name
//! lookup or connecting, runs on a thread of its own and is left behind; it ends by its timeout.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;
use ureq::Agent;

/// How often a wait asks whether it was interrupted.
pub(crate) const POLL_INTERVAL: Duration = Duration::from_millis(50);

/// Set once a sync was canceled. Clones share it.
#[derive(Debug, Clone, Default)]
pub(crate) struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Ends all waits, and closes the agent's connections.
    pub fn set(&self, agent: &Agent) {
        self.0.store(true, Ordering::SeqCst);
        agent.clone().shutdown();
    }

    /// Returns whether the sync was canceled.
    pub fn is_set(&self) -> bool {
        self.0.load(Ordering::SeqCst)
    }

    /// Runs work that cannot be interrupted on a thread of its own, and returns its result; `None`
    /// once the sync was canceled.
    pub fn unless_set<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Option<T> {
        let (sender, result) = mpsc::channel();
        // A late result is dropped, since the receiver is gone.
        thread::spawn(move || drop(sender.send(work())));
        while !self.is_set() {
            match result.recv_timeout(POLL_INTERVAL) {
                Ok(done) => return Some(done),
                Err(RecvTimeoutError::Timeout) => {}
                // The work panicked.
                Err(RecvTimeoutError::Disconnected) => return None,
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn work_that_cannot_be_interrupted_is_left_behind() {
        let interrupt = Interrupt::default();
        assert_eq!(interrupt.unless_set(|| 7), Some(7));
        let (release, released) = mpsc::channel::<()>();
        let done = thread::scope(|scope| {
            let waiting = scope.spawn(|| interrupt.unless_set(move || released.recv()));
            interrupt.set(&Agent::new_with_defaults());
            waiting.join().unwrap()
        });
        assert_eq!(done, None);
        drop(release);
        assert_eq!(interrupt.unless_set(|| 7), None);
    }
}
