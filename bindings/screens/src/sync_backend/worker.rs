//! Runs jobs on a background thread, one run at a time.

use super::run::{Run, RunResult, RunStep, RunStepState, StepFailure, TaskKind};
use holebook_core::sync::OnProgress;
use std::any::Any;
use std::io;
use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

type JobFn = Box<dyn FnOnce(&OnProgress<'_>) -> Result<RunResult, StepFailure> + Send>;

/// One step of a run, not started yet.
pub struct Job {
    kind: TaskKind,
    name: String,
    work: JobFn,
}

impl Job {
    /// Creates a job. `work` is to return soon once its progress callback breaks, with any failure.
    pub fn new(
        kind: TaskKind,
        name: impl Into<String>,
        work: impl FnOnce(&OnProgress<'_>) -> Result<RunResult, StepFailure> + Send + 'static,
    ) -> Self {
        Self {
            kind,
            name: name.into(),
            work: Box::new(work),
        }
    }
}

/// Runs jobs in the background, one run at a time, and reports progress.
#[derive(Default)]
pub struct Worker {
    last: Mutex<Option<RunHandle>>,
}

/// A run that was started, also after later ones started. Clones refer to the same run.
#[derive(Clone)]
pub struct RunHandle(Arc<RunState>);

/// Why a run was not started.
#[derive(Debug, thiserror::Error)]
pub enum StartError {
    /// Another one is running.
    #[error("a sync is already running; wait until it is done, or cancel it")]
    Busy,
    /// No thread could be started.
    #[error("the sync could not be started ({0}); close other programs and retry")]
    NoThread(#[from] io::Error),
}

/// Why a step of a run did not come to its own end.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StepInterrupted {
    /// The run was canceled before this step.
    #[error("the sync was canceled before this step; sync again")]
    Canceled,
    /// The step panicked, or one before it did.
    #[error("the program hit a bug; what was synced before is safe, so sync again")]
    Panicked {
        /// The panic's message; empty in the steps after it.
        message: String,
    },
}

struct RunState {
    run: Mutex<Run>,
    ended: Condvar,
    canceled: AtomicBool,
}

impl Worker {
    /// Starts a run.
    ///
    /// # Errors
    /// If one is running, or no thread can be started.
    pub fn start(&self, jobs: Vec<Job>) -> Result<RunHandle, StartError> {
        let mut last = self.lock();
        if last.as_ref().is_some_and(|handle| !handle.is_over()) {
            return Err(StartError::Busy);
        }
        let handle = RunHandle(Arc::new(RunState::new(&jobs)));
        let state = Arc::clone(&handle.0);
        std::thread::Builder::new()
            .name("sync".to_owned())
            .spawn(move || state.run_jobs(jobs))?;
        *last = Some(handle.clone());
        Ok(handle)
    }

    /// Returns the current run, or the last one.
    #[must_use]
    pub fn run(&self) -> Option<Run> {
        self.last().map(|handle| handle.run())
    }

    /// Cancels the current run, without waiting. What was synced by then stays.
    pub fn cancel(&self) {
        if let Some(handle) = self.last() {
            handle.cancel();
        }
    }

    /// Waits until nothing is running.
    pub fn wait(&self) {
        if let Some(handle) = self.last() {
            handle.wait();
        }
    }

    fn last(&self) -> Option<RunHandle> {
        self.lock().clone()
    }

    fn lock(&self) -> MutexGuard<'_, Option<RunHandle>> {
        self.last.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl RunHandle {
    /// Returns the progress or the result.
    #[must_use]
    pub fn run(&self) -> Run {
        self.0.lock().clone()
    }

    /// Returns whether it has ended.
    #[must_use]
    pub fn is_over(&self) -> bool {
        !self.0.lock().is_running()
    }

    /// Cancels it, without waiting. What was synced by then stays.
    pub fn cancel(&self) {
        self.0.canceled.store(true, Ordering::Relaxed);
    }

    /// Waits until it has ended.
    pub fn wait(&self) {
        let mut run = self.0.lock();
        while run.is_running() {
            let woken = self.0.ended.wait(run);
            run = woken.unwrap_or_else(PoisonError::into_inner);
        }
    }
}

impl RunState {
    fn new(jobs: &[Job]) -> Self {
        let steps = jobs.iter().map(|job| RunStep {
            kind: job.kind,
            name: job.name.clone(),
            state: RunStepState::Waiting,
        });
        let run = Run {
            steps: steps.collect(),
            ended: None,
        };
        Self {
            run: Mutex::new(run),
            ended: Condvar::new(),
            canceled: AtomicBool::new(false),
        }
    }

    fn lock(&self) -> MutexGuard<'_, Run> {
        self.run.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set(&self, step: usize, state: RunStepState) {
        if let Some(step) = self.lock().steps.get_mut(step) {
            step.state = state;
        }
    }

    fn is_canceled(&self) -> bool {
        self.canceled.load(Ordering::Relaxed)
    }

    /// Runs the jobs in order. A panic ends the run: the steps after it fail too.
    fn run_jobs(&self, jobs: Vec<Job>) {
        let mut panicked = None;
        for (step, job) in jobs.into_iter().enumerate() {
            let done = match &panicked {
                Some(failure) => Err(StepFailure::clone(failure)),
                None if self.is_canceled() => Err(StepFailure::new(StepInterrupted::Canceled)),
                None => catch_unwind(AssertUnwindSafe(|| self.run_job(step, job))).unwrap_or_else(
                    |panic| {
                        let later = StepInterrupted::Panicked {
                            message: String::new(),
                        };
                        panicked = Some(StepFailure::new(later));
                        Err(StepFailure::new(StepInterrupted::Panicked {
                            message: panic_message(panic.as_ref()).to_owned(),
                        }))
                    },
                ),
            };
            self.set(
                step,
                done.map_or_else(RunStepState::Failed, RunStepState::Done),
            );
        }
        self.lock().ended = Some(holebook_core::notebook::now());
        self.ended.notify_all();
    }

    fn run_job(&self, step: usize, job: Job) -> Result<RunResult, StepFailure> {
        self.set(step, RunStepState::Running(None));
        (job.work)(&|progress| {
            self.set(step, RunStepState::Running(Some(progress)));
            if self.is_canceled() {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        })
    }
}

fn panic_message(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| panic.downcast_ref::<&str>().copied())
        .unwrap_or("no message")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use holebook_core::sync::{Progress, SyncPhase, SyncReport};
    use std::sync::mpsc::{Receiver, Sender, channel};

    fn progress() -> Progress {
        Progress {
            phase: SyncPhase::Pulling,
            entries: 1,
            entries_total: 2,
            photo_bytes: 0,
            photo_bytes_total: 0,
        }
    }

    fn canceled() -> StepFailure {
        StepFailure::new(StepInterrupted::Canceled)
    }

    /// Reports that it is running, then waits before it checks whether it was canceled.
    fn held(started: Sender<()>, go: Receiver<()>) -> Job {
        Job::new(TaskKind::Sync, "the remote a", move |on_progress| {
            assert!(on_progress(progress()).is_continue());
            started.send(()).unwrap();
            go.recv().unwrap();
            match on_progress(progress()) {
                ControlFlow::Continue(()) => Ok(RunResult::Synced(SyncReport::default())),
                ControlFlow::Break(()) => Err(StepFailure::new(io::Error::other("stopped"))),
            }
        })
    }

    fn quick() -> Job {
        Job::new(TaskKind::Sync, "the remote b", |_| {
            Ok(RunResult::Synced(SyncReport::default()))
        })
    }

    fn states(run: Run) -> Vec<RunStepState> {
        run.steps.into_iter().map(|step| step.state).collect()
    }

    #[test]
    fn one_run_at_a_time_reports_progress_and_can_be_canceled() {
        let worker = Worker::default();
        let ((started, has_started), (go, may_go)) = (channel(), channel());
        let first = worker.start(vec![held(started, may_go), quick()]).unwrap();
        has_started.recv().unwrap();
        let now = worker.run().unwrap();
        assert!(now.is_running());
        assert_eq!(
            states(now),
            [
                RunStepState::Running(Some(progress())),
                RunStepState::Waiting
            ]
        );
        let refused = worker.start(vec![quick()]).err();
        assert!(matches!(refused, Some(StartError::Busy)));
        worker.cancel();
        go.send(()).unwrap();
        worker.wait();
        let after = worker.run().unwrap();
        assert!(!after.is_running());
        assert_eq!(
            states(after),
            [
                RunStepState::Failed(StepFailure::new(io::Error::other("stopped"))),
                RunStepState::Failed(canceled())
            ]
        );

        // Canceling one run does not cancel the next, and the first one's handle still has its result.
        worker.start(vec![quick()]).unwrap();
        worker.wait();
        assert_eq!(first.run().steps.len(), 2);
        assert!(matches!(
            states(worker.run().unwrap())[..],
            [RunStepState::Done(_)]
        ));
    }

    #[test]
    fn a_panic_ends_the_run_but_not_the_worker() {
        let worker = Worker::default();
        let panics = Job::new(TaskKind::Sync, "the remote a", |_| panic!("on purpose"));
        worker.start(vec![panics, quick()]).unwrap();
        worker.wait();
        let causes: Vec<StepInterrupted> = states(worker.run().unwrap())
            .into_iter()
            .map(|state| match state {
                RunStepState::Failed(failure) => {
                    failure.cause::<StepInterrupted>().unwrap().clone()
                }
                other => panic!("{other:?}"),
            })
            .collect();
        let panicked = |message: &str| StepInterrupted::Panicked {
            message: message.to_owned(),
        };
        assert_eq!(causes, [panicked("on purpose"), panicked("")]);
        worker.start(vec![quick()]).unwrap();
    }
}
