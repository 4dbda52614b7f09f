//! One exchange on its way: what is shared by taking and leaving.

use super::error::ExchangeError;
use super::shelf::Shelf;
use super::watch::{Progress, Stage, Watch};
use super::{Problem, Report};
use crate::notebook::Notebook;
use crate::photo::PhotoHash;
use std::io::{self, Read, Write};
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

/// How many photos are on their way at once: while one waits for a disk, others use the network.
const AT_ONCE: usize = 4;

/// One exchange.
pub(super) struct Run<'a> {
    pub notebook: &'a Notebook,
    pub shelf: &'a dyn Shelf,
    pub report: Report,
    tally: Arc<Tally<'a>>,
}

/// How far it is, told from several threads.
pub(super) struct Tally<'a> {
    watch: &'a Watch<'a>,
    progress: Mutex<Progress>,
    stopped: AtomicBool,
}

impl<'a> Run<'a> {
    pub fn new(notebook: &'a Notebook, shelf: &'a dyn Shelf, watch: &'a Watch<'a>) -> Self {
        let progress = Progress::at(Stage::Looking);
        Self {
            notebook,
            shelf,
            report: Report::default(),
            tally: Arc::new(Tally {
                watch,
                progress: Mutex::new(progress),
                stopped: AtomicBool::new(false),
            }),
        }
    }

    /// Goes on to a stage of so many entries and bytes of photos.
    pub fn enter(&self, stage: Stage, entries: u64, photo_bytes: u64) -> Result<(), ExchangeError> {
        self.tell(|progress| {
            *progress = Progress {
                entries_of: entries,
                photo_bytes_of: photo_bytes,
                ..Progress::at(stage)
            }
        })
    }

    /// Tells whoever watches what has changed.
    pub fn tell(&self, change: impl FnOnce(&mut Progress)) -> Result<(), ExchangeError> {
        if self.tally.tell(change) {
            Ok(())
        } else {
            Err(ExchangeError::Stopped)
        }
    }

    /// Says whether whoever watches has ended it.
    pub fn go_on(&self) -> Result<(), ExchangeError> {
        self.tally.or_stopped(Ok(()))
    }

    /// How far it is, to be told beside it.
    pub fn tally(&self) -> Arc<Tally<'a>> {
        self.tally.clone()
    }

    /// Notes a file that could not be had, once.
    pub fn note(&mut self, problem: Problem) {
        if !self.report.problems.contains(&problem) {
            self.report.problems.push(problem);
        }
    }

    /// Moves photos, several at once. Those of which only they cannot be had are noted and given back; anything else
    /// that goes wrong ends it.
    pub fn photos(
        &mut self,
        photos: &[PhotoHash],
        one: impl Fn(&Tally<'a>, PhotoHash) -> Result<(), ExchangeError> + Sync,
    ) -> Result<Vec<PhotoHash>, ExchangeError> {
        let queue = Mutex::new(photos.iter());
        let ended = AtomicBool::new(false);
        let tally = &self.tally;
        let work = || {
            let mut results = Vec::new();
            while !ended.load(Ordering::Relaxed) {
                let Some(photo) = queue.lock().unwrap_or_else(PoisonError::into_inner).next()
                else {
                    break;
                };
                let result = one(tally, *photo);
                let goes_on = matches!(result, Ok(()) | Err(ExchangeError::File(_)));
                results.push((*photo, result));
                if !goes_on {
                    ended.store(true, Ordering::Relaxed);
                }
            }
            results
        };
        let results: Vec<_> = thread::scope(|scope| {
            let workers = (0..AT_ONCE.min(photos.len())).map(|_| scope.spawn(work));
            let workers: Vec<_> = workers.collect();
            let joined = workers.into_iter().map(thread::ScopedJoinHandle::join);
            joined
                .flat_map(|done| done.unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
                .collect()
        });
        let mut refused = Vec::new();
        let mut worst = Ok(());
        for (photo, result) in results {
            match result {
                Ok(()) => {}
                Err(ExchangeError::File(problem)) => {
                    self.note(problem);
                    refused.push(photo);
                }
                Err(error) => worst = Err(error),
            }
        }
        worst.map(|()| refused)
    }
}

impl Tally<'_> {
    /// Tells whoever watches what has changed, and says whether to go on.
    pub fn tell(&self, change: impl FnOnce(&mut Progress)) -> bool {
        let mut progress = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        change(&mut progress);
        let now = *progress;
        // Not held while somebody else's code runs.
        drop(progress);
        if (self.watch)(now) == ControlFlow::Break(()) {
            self.stopped.store(true, Ordering::Relaxed);
        }
        !self.stopped.load(Ordering::Relaxed)
    }

    fn moved(&self, bytes: usize) -> io::Result<()> {
        if self.tell(|progress| progress.photo_bytes += bytes as u64) {
            Ok(())
        } else {
            Err(io::Error::other("the exchange was ended"))
        }
    }

    /// What went wrong with a photo: if the exchange was ended, it is that.
    pub fn or_stopped(&self, result: Result<(), ExchangeError>) -> Result<(), ExchangeError> {
        if self.stopped.load(Ordering::Relaxed) {
            Err(ExchangeError::Stopped)
        } else {
            result
        }
    }
}

/// Bytes of a photo that go by are counted, and stop where the exchange was ended.
pub(super) struct Counted<'t, 'a, T> {
    inner: T,
    tally: &'t Tally<'a>,
}

impl<'t, 'a, T> Counted<'t, 'a, T> {
    pub fn new(inner: T, tally: &'t Tally<'a>) -> Self {
        Self { inner, tally }
    }
}

impl<T: Write> Write for Counted<'_, '_, T> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.inner.write(bytes)?;
        self.tally.moved(written)?;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner.flush()
    }
}

impl<T: Read> Read for Counted<'_, '_, T> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let read = self.inner.read(buffer)?;
        self.tally.moved(read)?;
        Ok(read)
    }
}
