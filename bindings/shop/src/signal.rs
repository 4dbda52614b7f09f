//! Being told to stop: by Ctrl-C, or by the system.

use crate::failure::Failure;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Comes back when the person or the system ends the program.
#[cfg(unix)]
pub async fn one() {
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

/// Comes back when the person ends the program.
#[cfg(not(unix))]
pub async fn one() {
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}

/// Whether somebody wants the program to stop.
#[derive(Clone, Default)]
pub struct Stop(Arc<AtomicBool>);

impl Stop {
    /// Listens from now on; told a second time, the program ends at once.
    ///
    /// # Errors
    /// Where the system gives no thread to listen on.
    pub fn listen() -> Result<Self, Failure> {
        let stop = Self::default();
        let told = stop.clone();
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_io()
            .build();
        let no_thread = |error: std::io::Error| {
            Failure::Said(format!(
                "the system gives no thread to listen for Ctrl-C on ({error}); close other programs and try again"
            ))
        };
        let runtime = runtime.map_err(no_thread)?;
        let listening = move || {
            runtime.block_on(async {
                one().await;
                told.0.store(true, Ordering::Relaxed);
                one().await;
                std::process::exit(130);
            });
        };
        std::thread::Builder::new()
            .name("stop".to_owned())
            .spawn(listening)
            .map_err(no_thread)?;
        Ok(stop)
    }

    /// Whether it was told.
    pub fn is_told(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}
