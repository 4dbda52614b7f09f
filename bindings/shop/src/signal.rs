//! Stopping on Ctrl-C or on a signal from the system.

use crate::failure::Failure;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
#[cfg(unix)]
use tokio::signal::unix::{Signal, SignalKind, signal};

/// Ctrl-C, and the signals by which the system stops a program. From registering on, none of them
/// ends the program by itself.
#[cfg(unix)]
pub struct Signals {
    interrupt: Signal,
    terminate: Signal,
    hangup: Signal,
}

#[cfg(unix)]
impl Signals {
    /// Registers the signals. Needs the context of a tokio runtime.
    ///
    /// # Errors
    /// If the system refuses it.
    pub fn register() -> io::Result<Self> {
        Ok(Self {
            interrupt: signal(SignalKind::interrupt())?,
            terminate: signal(SignalKind::terminate())?,
            hangup: signal(SignalKind::hangup())?,
        })
    }

    /// Returns when the next of them arrives.
    pub async fn next(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
            _ = self.hangup.recv() => {}
        }
    }
}

/// Ctrl-C. From registering on, it does not end the program by itself.
#[cfg(windows)]
pub struct Signals(tokio::signal::windows::CtrlC);

#[cfg(windows)]
impl Signals {
    /// Registers Ctrl-C. Needs the context of a tokio runtime.
    ///
    /// # Errors
    /// If the system refuses it.
    pub fn register() -> io::Result<Self> {
        Ok(Self(tokio::signal::windows::ctrl_c()?))
    }

    /// Returns when Ctrl-C is pressed.
    pub async fn next(&mut self) {
        self.0.recv().await;
    }
}

/// Whether the program was asked to stop.
#[derive(Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Listens from when this returns; a second signal exits at once.
    ///
    /// # Errors
    /// If the system provides no thread to listen on.
    pub fn listen() -> Result<Self, Failure> {
        let stop = Self::default();
        let requested = stop.clone();
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .build();
        let no_thread = |error: io::Error| {
            Failure::Message(format!(
                "no thread could be started to listen for Ctrl-C ({error}); close other programs and retry"
            ))
        };
        let runtime = runtime.map_err(no_thread)?;
        let mut signals = {
            let _context = runtime.enter();
            Signals::register().map_err(no_thread)?
        };
        let listening = move || {
            runtime.block_on(async {
                signals.next().await;
                requested.0.store(true, Ordering::Relaxed);
                signals.next().await;
                std::process::exit(130);
            });
        };
        std::thread::Builder::new()
            .name("stop".to_owned())
            .spawn(listening)
            .map_err(no_thread)?;
        Ok(stop)
    }

    /// Returns whether a stop was requested.
    pub fn requested(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}
