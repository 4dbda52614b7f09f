//! Stopping on Ctrl-C or on a signal from the system.

use crate::failure::Failure;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Returns when Ctrl-C is pressed or the system stops the program.
#[cfg(unix)]
pub async fn wait_for_signal() {
    use tokio::signal::unix::{SignalKind, signal};
    let wait = async |kind| match signal(kind) {
        Ok(mut signal) => {
            signal.recv().await;
        }
        Err(_) => std::future::pending().await,
    };
    tokio::select! {
        () = wait(SignalKind::interrupt()) => {}
        () = wait(SignalKind::terminate()) => {}
        () = wait(SignalKind::hangup()) => {}
    }
}

/// Returns when Ctrl-C is pressed.
#[cfg(not(unix))]
pub async fn wait_for_signal() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

/// Whether the program was asked to stop.
#[derive(Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Starts listening; a second signal exits at once.
    ///
    /// # Errors
    /// If the system provides no thread to listen on.
    pub fn listen() -> Result<Self, Failure> {
        let stop = Self::default();
        let requested = stop.clone();
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .build();
        let no_thread = |error: std::io::Error| {
            Failure::Message(format!(
                "no thread could be started to listen for Ctrl-C ({error}); close other programs and retry"
            ))
        };
        let runtime = runtime.map_err(no_thread)?;
        let listening = move || {
            runtime.block_on(async {
                wait_for_signal().await;
                requested.0.store(true, Ordering::Relaxed);
                wait_for_signal().await;
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
