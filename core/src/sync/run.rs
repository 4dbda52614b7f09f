//! One running sync: the state that pull and push share.

use super::error::SyncError;
use super::progress::{OnProgress, Progress, SyncPhase};
use super::remote::Remote;
use super::{Problem, SyncReport};
use crate::notebook::Notebook;
use crate::photo::PhotoHash;
use std::collections::BTreeSet;
use std::convert::Infallible;
use std::io::{self, Read, Write};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Duration;

/// Number of photos in transit at once: while one waits for a disk, others use the network.
const PARALLEL_TRANSFERS: usize = 4;
/// How often a sync asks whether it was canceled while its remote does not answer.
const CANCEL_INTERVAL: Duration = Duration::from_millis(250);

/// One running sync.
pub(super) struct SyncRun<'a> {
    pub notebook: &'a Notebook,
    pub remote: &'a dyn Remote,
    pub report: SyncReport,
    /// The files in [`SyncReport::problems`].
    skipped: BTreeSet<String>,
    shared: Arc<SharedProgress<'a>>,
}

/// Progress and cancellation, updated from several threads.
pub(super) struct SharedProgress<'a> {
    on_progress: &'a OnProgress<'a>,
    progress: Mutex<Progress>,
    stopped: AtomicBool,
}

impl<'a> SyncRun<'a> {
    pub fn new(
        notebook: &'a Notebook,
        remote: &'a dyn Remote,
        on_progress: &'a OnProgress<'a>,
    ) -> Self {
        let progress = Progress::at(SyncPhase::Listing);
        Self {
            notebook,
            remote,
            report: SyncReport::default(),
            skipped: BTreeSet::new(),
            shared: Arc::new(SharedProgress {
                on_progress,
                progress: Mutex::new(progress),
                stopped: AtomicBool::new(false),
            }),
        }
    }

    /// Does the work of this sync. Once it is canceled, its remote is interrupted, so that nothing
    /// waits for a remote that does not answer.
    pub fn interruptible<T>(
        &mut self,
        work: impl FnOnce(&mut Self) -> Result<T, SyncError>,
    ) -> Result<T, SyncError> {
        let (remote, shared) = (self.remote, self.shared_progress());
        let (working, ended) = mpsc::channel::<Infallible>();
        let done = thread::scope(|scope| {
            let shared = &shared;
            scope.spawn(move || interrupt_once_canceled(remote, shared, &ended));
            let done = work(self);
            drop(working);
            done
        });
        done.map_err(|error| match shared.is_canceled() {
            true => SyncError::Canceled,
            false => error,
        })
    }

    /// Starts a phase in which `entries` entries and `photo_bytes` bytes of photos are expected.
    pub fn start_phase(
        &self,
        phase: SyncPhase,
        entries: u64,
        photo_bytes: u64,
    ) -> Result<(), SyncError> {
        tracing::debug!(?phase, entries, photo_bytes, "sync phase");
        self.report_progress(|progress| {
            *progress = Progress {
                entries_total: entries,
                photo_bytes_total: photo_bytes,
                ..Progress::at(phase)
            }
        })
    }

    /// Updates the progress and reports it; fails if the sync was canceled.
    pub fn report_progress(&self, change: impl FnOnce(&mut Progress)) -> Result<(), SyncError> {
        if self.shared.update(change) {
            Ok(())
        } else {
            Err(SyncError::Canceled)
        }
    }

    /// Fails if the sync was canceled.
    pub fn check_canceled(&self) -> Result<(), SyncError> {
        self.shared.or_canceled(Ok(()))
    }

    /// The progress, to be updated from other threads.
    pub fn shared_progress(&self) -> Arc<SharedProgress<'a>> {
        self.shared.clone()
    }

    /// Adds a file that could not be transferred to the report. Each file is named once, with the
    /// first reason.
    pub fn record_problem(&mut self, problem: Problem) {
        if self.skipped.insert(problem.file.clone()) {
            self.report.problems.push(problem);
        }
    }

    /// Removes the problem of a file that was replaced by a good one.
    pub fn solve_problem(&mut self, file: &str) {
        if self.skipped.remove(file) {
            let problems = &mut self.report.problems;
            problems.retain(|problem| problem.file != file);
        }
    }

    /// Transfers photos in parallel. Photos that fail alone ([`SyncError::File`]) are reported and
    /// returned; any other error ends the transfer.
    pub fn photos(
        &mut self,
        photos: &[PhotoHash],
        one: impl Fn(&SharedProgress<'a>, PhotoHash) -> Result<(), SyncError> + Sync,
    ) -> Result<Vec<PhotoHash>, SyncError> {
        let queue = Mutex::new(photos.iter());
        let ended = AtomicBool::new(false);
        let shared = &self.shared;
        let work = || {
            let mut results = Vec::new();
            while !ended.load(Ordering::Relaxed) {
                let Some(photo) = queue.lock().unwrap_or_else(PoisonError::into_inner).next()
                else {
                    break;
                };
                let result = one(shared, *photo);
                let can_continue = matches!(result, Ok(()) | Err(SyncError::File(_)));
                results.push((*photo, result));
                if !can_continue {
                    ended.store(true, Ordering::Relaxed);
                }
            }
            results
        };
        let results: Vec<_> = thread::scope(|scope| {
            let workers = (0..PARALLEL_TRANSFERS.min(photos.len())).map(|_| scope.spawn(work));
            let workers: Vec<_> = workers.collect();
            let joined = workers.into_iter().map(thread::ScopedJoinHandle::join);
            joined
                .flat_map(|done| done.unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
                .collect()
        });
        let mut failed = Vec::new();
        let mut outcome = Ok(());
        for (photo, result) in results {
            match result {
                Ok(()) => {}
                Err(SyncError::File(problem)) => {
                    self.record_problem(problem);
                    failed.push(photo);
                }
                Err(error) => outcome = Err(error),
            }
        }
        outcome.map(|()| failed)
    }
}

/// Interrupts the remote once the sync was canceled. Returns when the sync has ended.
fn interrupt_once_canceled(
    remote: &dyn Remote,
    shared: &SharedProgress<'_>,
    ended: &Receiver<Infallible>,
) {
    while ended.recv_timeout(CANCEL_INTERVAL) == Err(RecvTimeoutError::Timeout) {
        if !shared.update(|_| {}) {
            return remote.interrupt();
        }
    }
}

impl SharedProgress<'_> {
    fn is_canceled(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }

    /// Updates the progress and reports it; returns false if the sync was canceled.
    pub fn update(&self, change: impl FnOnce(&mut Progress)) -> bool {
        let mut progress = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        change(&mut progress);
        let now = *progress;
        // Release the lock before calling foreign code.
        drop(progress);
        if (self.on_progress)(now) == ControlFlow::Break(()) {
            self.stopped.store(true, Ordering::Relaxed);
        }
        !self.is_canceled()
    }

    fn count_bytes(&self, bytes: usize) -> io::Result<()> {
        if self.update(|progress| progress.photo_bytes += bytes as u64) {
            Ok(())
        } else {
            Err(io::Error::other("the sync was canceled"))
        }
    }

    /// Returns [`SyncError::Canceled`] if the sync was canceled, whatever error that caused;
    /// otherwise `result`.
    pub fn or_canceled(&self, result: Result<(), SyncError>) -> Result<(), SyncError> {
        if self.is_canceled() {
            Err(SyncError::Canceled)
        } else {
            result
        }
    }
}

/// A reader or writer that counts a photo's bytes as they pass, and fails once the sync is
/// canceled.
pub(super) struct CountedIo<'t, 'a, T> {
    inner: T,
    shared: &'t SharedProgress<'a>,
}

impl<'t, 'a, T> CountedIo<'t, 'a, T> {
    pub fn new(inner: T, shared: &'t SharedProgress<'a>) -> Self {
        Self { inner, shared }
    }
}

impl<T: Write> Write for CountedIo<'_, '_, T> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(bytes)?;
        self.shared.count_bytes(written)?;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl<T: Read> Read for CountedIo<'_, '_, T> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let read = self.inner.read(buffer)?;
        self.shared.count_bytes(read)?;
        Ok(read)
    }
}
