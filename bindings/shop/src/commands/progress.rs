//! Shows a sync's progress on a terminal, and cancels it on Ctrl-C.

use crate::failure::Failure;
use crate::signal::Stop;
use crate::table::plain;
use holebook_core::sync::{Progress, SyncPhase};
use std::io::{self, IsTerminal as _, Write as _};
use std::ops::ControlFlow;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// How often the line is redrawn.
const PAUSE: Duration = Duration::from_millis(150);

/// The progress line of a sync, and its cancellation.
pub struct ProgressLine {
    stop: Stop,
    /// When the line was last drawn; `None` if standard error is not a terminal.
    written: Option<Mutex<Instant>>,
}

impl ProgressLine {
    /// Starts listening for Ctrl-C.
    ///
    /// # Errors
    /// If the listener cannot be started.
    pub fn start() -> Result<Self, Failure> {
        let shown = io::stderr().is_terminal();
        Ok(Self {
            stop: Stop::listen()?,
            written: shown.then(|| Mutex::new(Instant::now())),
        })
    }

    /// Whether Ctrl-C was pressed.
    pub fn is_canceled(&self) -> bool {
        self.stop.requested()
    }

    /// Reports the progress of the sync with the remote called `name`.
    pub fn watch(&self, name: &str) -> impl Fn(Progress) -> ControlFlow<()> + Sync {
        move |progress| {
            self.show(name, progress);
            if self.stop.requested() {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        }
    }

    fn show(&self, name: &str, progress: Progress) {
        let Some(written) = &self.written else { return };
        let mut written = written.lock().unwrap_or_else(PoisonError::into_inner);
        if written.elapsed() < PAUSE {
            return;
        }
        *written = Instant::now();
        line(&format!("{}: {}", plain(name), text(progress)));
    }
}

impl Drop for ProgressLine {
    fn drop(&mut self) {
        if self.written.is_some() {
            line("");
        }
    }
}

/// Redraws the terminal's line. A failure is ignored: progress is not essential.
fn line(text: &str) {
    let _ = write!(io::stderr(), "\r\u{1b}[K{text}");
    let _ = io::stderr().flush();
}

fn text(progress: Progress) -> String {
    let doing = match progress.phase {
        SyncPhase::Listing => return "listing".to_owned(),
        SyncPhase::Pulling => "pulling",
        SyncPhase::Pushing => "pushing",
    };
    let mut text = doing.to_owned();
    if progress.entries_total > 0 {
        text += &format!(
            " {} of {} entries",
            progress.entries, progress.entries_total
        );
    }
    if progress.photo_bytes_total > 0 {
        let megabytes = |bytes: u64| bytes as f64 / 1e6;
        text += &format!(
            " {:.1} of {:.1} MB of photos",
            megabytes(progress.photo_bytes),
            megabytes(progress.photo_bytes_total)
        );
    }
    text
}
