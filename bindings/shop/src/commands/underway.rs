//! While an exchange runs: how far it is, on a terminal, and Ctrl-C to end it.

use crate::failure::Failure;
use crate::signal::Stop;
use crate::table::plain;
use holebook_core::exchange::{Progress, Stage};
use std::io::{self, IsTerminal as _, Write as _};
use std::ops::ControlFlow;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// How often the line is written anew.
const PAUSE: Duration = Duration::from_millis(150);

/// Watches exchanges for the person at the terminal.
pub struct Underway {
    stop: Stop,
    /// When the line was written last; none where standard error is no terminal, and nothing is written.
    written: Option<Mutex<Instant>>,
}

impl Underway {
    /// Begins to listen for Ctrl-C.
    ///
    /// # Errors
    /// Where that cannot be listened for.
    pub fn begin() -> Result<Self, Failure> {
        let shown = io::stderr().is_terminal();
        Ok(Self {
            stop: Stop::listen()?,
            written: shown.then(|| Mutex::new(Instant::now())),
        })
    }

    /// Whether the person wants it to end.
    pub fn is_told_to_end(&self) -> bool {
        self.stop.is_told()
    }

    /// Watches the exchange with the shelf of this name.
    pub fn watch(&self, name: &str) -> impl Fn(Progress) -> ControlFlow<()> + Sync {
        move |progress| {
            self.show(name, progress);
            if self.stop.is_told() {
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
        line(&format!("{}: {}", plain(name), words(progress)));
    }
}

impl Drop for Underway {
    fn drop(&mut self) {
        if self.written.is_some() {
            line("");
        }
    }
}

/// Writes over the terminal's line. Nobody misses it where that does not work.
fn line(text: &str) {
    let _ = write!(io::stderr(), "\r\u{1b}[K{text}");
    let _ = io::stderr().flush();
}

fn words(progress: Progress) -> String {
    let doing = match progress.stage {
        Stage::Looking => return "looking".to_owned(),
        Stage::Taking => "taking",
        Stage::Leaving => "leaving",
    };
    let mut words = doing.to_owned();
    if progress.entries_of > 0 {
        words += &format!(" {} of {} entries", progress.entries, progress.entries_of);
    }
    if progress.photo_bytes_of > 0 {
        let megabytes = |bytes: u64| bytes as f64 / 1e6;
        words += &format!(
            " {:.1} of {:.1} MB of photos",
            megabytes(progress.photo_bytes),
            megabytes(progress.photo_bytes_of)
        );
    }
    words
}
