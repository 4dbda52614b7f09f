//! Does what takes long on a thread of its own, one run at a time.

use super::run::{Done, Leg, LegState, Run, Way};
use chrono::Local;
use holebook_core::exchange::Watch;
use std::io;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

type Work = Box<dyn FnOnce(&Watch<'_>) -> Result<Done, String> + Send>;

/// A leg to be done.
pub struct Piece {
    way: Way,
    name: String,
    work: Work,
}

impl Piece {
    /// Work that ends soon, with any sentence, once what watches it says so.
    pub fn new(
        way: Way,
        name: impl Into<String>,
        work: impl FnOnce(&Watch<'_>) -> Result<Done, String> + Send + 'static,
    ) -> Self {
        Self {
            way,
            name: name.into(),
            work: Box::new(work),
        }
    }
}

/// Does pieces of work one after the other in the background, one run at a time, and says how far it is.
#[derive(Default)]
pub struct Worker {
    last: Mutex<Option<Begun>>,
}

/// A run that was begun, whichever came after it. Clones are of the same run.
#[derive(Clone)]
pub struct Begun(Arc<Desk>);

/// Why a run was not begun.
#[derive(Debug, thiserror::Error)]
pub enum NotBegun {
    /// Another one goes on.
    #[error("an exchange is under way already; wait until it is done, or end it")]
    UnderWay,
    /// The system gives no thread.
    #[error("the exchange could not be begun ({0}); close other programs and try again")]
    NoThread(#[from] io::Error),
}

struct Desk {
    run: Mutex<Run>,
    ended: Condvar,
    to_end: AtomicBool,
}

impl Worker {
    /// Begins a run.
    ///
    /// # Errors
    /// Where one is under way, and where the system gives no thread.
    pub fn begin(&self, pieces: Vec<Piece>) -> Result<Begun, NotBegun> {
        let mut last = self.lock();
        if last.as_ref().is_some_and(|begun| !begun.is_over()) {
            return Err(NotBegun::UnderWay);
        }
        let begun = Begun(Arc::new(Desk::of(&pieces)));
        let desk = Arc::clone(&begun.0);
        std::thread::Builder::new()
            .name("exchange".to_owned())
            .spawn(move || desk.work(pieces))?;
        *last = Some(begun.clone());
        Ok(begun)
    }

    /// What is under way, or was done last.
    #[must_use]
    pub fn run(&self) -> Option<Run> {
        self.last().map(|begun| begun.run())
    }

    /// Ends what is under way, soon. What was moved by then stays.
    pub fn end(&self) {
        if let Some(begun) = self.last() {
            begun.end();
        }
    }

    /// Waits until nothing is under way.
    pub fn wait(&self) {
        if let Some(begun) = self.last() {
            begun.wait();
        }
    }

    fn last(&self) -> Option<Begun> {
        self.lock().clone()
    }

    fn lock(&self) -> MutexGuard<'_, Option<Begun>> {
        self.last.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Begun {
    /// How far it is, or what came of it.
    #[must_use]
    pub fn run(&self) -> Run {
        self.0.lock().clone()
    }

    /// Whether it has ended.
    #[must_use]
    pub fn is_over(&self) -> bool {
        !self.0.lock().is_under_way()
    }

    /// Ends it, soon. What was moved by then stays.
    pub fn end(&self) {
        self.0.to_end.store(true, Ordering::Relaxed);
    }

    /// Waits until it has ended.
    pub fn wait(&self) {
        let mut run = self.0.lock();
        while run.is_under_way() {
            let woken = self.0.ended.wait(run);
            run = woken.unwrap_or_else(PoisonError::into_inner);
        }
    }
}

impl Desk {
    fn of(pieces: &[Piece]) -> Self {
        let legs = pieces.iter().map(|piece| Leg {
            way: piece.way,
            name: piece.name.clone(),
            state: LegState::Waiting,
        });
        let run = Run {
            legs: legs.collect(),
            ended: None,
        };
        Self {
            run: Mutex::new(run),
            ended: Condvar::new(),
            to_end: AtomicBool::new(false),
        }
    }

    fn lock(&self) -> MutexGuard<'_, Run> {
        self.run.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set(&self, leg: usize, state: LegState) {
        if let Some(leg) = self.lock().legs.get_mut(leg) {
            leg.state = state;
        }
    }

    fn is_to_end(&self) -> bool {
        self.to_end.load(Ordering::Relaxed)
    }

    fn work(&self, pieces: Vec<Piece>) {
        // Also where a piece panics: a run that never ends would keep every other from beginning.
        let _ending = Ending(self);
        for (leg, piece) in pieces.into_iter().enumerate() {
            let done = if self.is_to_end() {
                Err(ENDED.to_owned())
            } else {
                self.set(leg, LegState::UnderWay(None));
                (piece.work)(&|progress| {
                    self.set(leg, LegState::UnderWay(Some(progress)));
                    if self.is_to_end() {
                        ControlFlow::Break(())
                    } else {
                        ControlFlow::Continue(())
                    }
                })
            };
            self.set(leg, done.map_or_else(LegState::Failed, LegState::Done));
        }
    }
}

const ENDED: &str = "the exchange was ended before it came to this; exchange again";
const FAULT: &str =
    "the program met a fault of its own; what was moved before is safe, so exchange again";

struct Ending<'a>(&'a Desk);

impl Drop for Ending<'_> {
    fn drop(&mut self) {
        let mut run = self.0.lock();
        for leg in &mut run.legs {
            if matches!(leg.state, LegState::UnderWay(_) | LegState::Waiting) {
                leg.state = LegState::Failed(FAULT.to_owned());
            }
        }
        run.ended = Some(Local::now().fixed_offset());
        drop(run);
        self.0.ended.notify_all();
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::exchange::{Progress, Report, Stage};
    use std::sync::mpsc::{Receiver, Sender, channel};

    fn progress() -> Progress {
        Progress {
            stage: Stage::Taking,
            entries: 1,
            entries_of: 2,
            photo_bytes: 0,
            photo_bytes_of: 0,
        }
    }

    /// Says that it is under way, then waits for a word before it looks whether it shall end.
    fn held(started: Sender<()>, go: Receiver<()>) -> Piece {
        Piece::new(Way::Exchange, "the shelf a", move |watch| {
            assert!(watch(progress()).is_continue());
            started.send(()).unwrap();
            go.recv().unwrap();
            match watch(progress()) {
                ControlFlow::Continue(()) => Ok(Done::Moved(Report::default())),
                ControlFlow::Break(()) => Err("ended".to_owned()),
            }
        })
    }

    fn quick() -> Piece {
        Piece::new(Way::Exchange, "the shelf b", |_| {
            Ok(Done::Moved(Report::default()))
        })
    }

    #[test]
    fn one_run_at_a_time_says_how_far_it_is_and_ends_when_told() {
        let worker = Worker::default();
        let ((started, has_started), (go, may_go)) = (channel(), channel());
        let first = worker.begin(vec![held(started, may_go), quick()]).unwrap();
        has_started.recv().unwrap();
        let states = |run: Run| {
            run.legs
                .into_iter()
                .map(|leg| leg.state)
                .collect::<Vec<_>>()
        };
        let now = worker.run().unwrap();
        assert!(now.is_under_way());
        assert_eq!(
            states(now),
            [LegState::UnderWay(Some(progress())), LegState::Waiting]
        );
        let refused = worker.begin(vec![quick()]).err();
        assert!(matches!(refused, Some(NotBegun::UnderWay)));
        worker.end();
        go.send(()).unwrap();
        worker.wait();
        let after = worker.run().unwrap();
        assert!(!after.is_under_way());
        assert_eq!(
            states(after),
            [
                LegState::Failed("ended".to_owned()),
                LegState::Failed(ENDED.to_owned())
            ]
        );

        // What was told to one run does not end the next, and whoever began the first still hears of it.
        worker.begin(vec![quick()]).unwrap();
        worker.wait();
        assert_eq!(first.run().legs.len(), 2);
        assert!(matches!(
            states(worker.run().unwrap())[..],
            [LegState::Done(_)]
        ));
    }

    #[test]
    fn a_fault_ends_the_run_and_not_the_worker() {
        let worker = Worker::default();
        let fault = Piece::new(Way::Exchange, "the shelf a", |_| panic!("on purpose"));
        worker.begin(vec![fault, quick()]).unwrap();
        worker.wait();
        let legs = worker.run().unwrap().legs;
        let failed = |leg: &Leg| leg.state == LegState::Failed(FAULT.to_owned());
        assert!(legs.iter().all(failed), "{legs:?}");
        worker.begin(vec![quick()]).unwrap();
    }
}
