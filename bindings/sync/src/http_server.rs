//! The accept loop of both servers: the LAN server of the shop computer, and its screens on loopback.

use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use std::collections::HashMap;
use std::future::Future;
use std::io;
use std::net::{IpAddr, TcpListener};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// How long shutdown waits for running requests.
const SHUTDOWN_TIMEOUT: Duration = Duration::from_secs(5);

/// How many connections are open at once.
#[derive(Debug, Clone, Copy)]
pub struct ConnectionLimits {
    /// In total; further ones wait.
    pub total: usize,
    /// From one address; further ones are closed.
    pub per_address: usize,
}

/// Accepts connections on `listener` until `stop` resolves, and runs `handle` for each; then running
/// requests get a few seconds to finish. `handle` passes its HTTP connection to the [`Watcher`].
///
/// Needs a tokio runtime with timers.
///
/// # Errors
/// If the listener cannot be used.
pub async fn serve<H, F>(
    listener: TcpListener,
    limits: ConnectionLimits,
    handle: H,
    stop: impl Future<Output = ()>,
) -> io::Result<()>
where
    H: Fn(TcpStream, Watcher) -> F,
    F: Future<Output = ()> + Send + 'static,
{
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let limiter = ConnectionLimiter::new(limits);
    let connections = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let (stream, permit) = tokio::select! {
            accepted = accept(&listener, &limiter) => match accepted {
                Some(accepted) => accepted,
                None => continue,
            },
            () = &mut stop => break,
        };
        let handled = handle(stream, connections.watcher());
        tokio::spawn(async move {
            handled.await;
            drop(permit);
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(SHUTDOWN_TIMEOUT, connections.shutdown()).await;
    Ok(())
}

/// Limits open connections, in total and per address.
struct ConnectionLimiter {
    total: Arc<Semaphore>,
    per_address: usize,
    open: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

/// A permit for one connection, released on drop.
struct ConnectionPermit {
    address: IpAddr,
    open: Arc<Mutex<HashMap<IpAddr, usize>>>,
    _permit: OwnedSemaphorePermit,
}

impl ConnectionLimiter {
    fn new(limits: ConnectionLimits) -> Self {
        Self {
            total: Arc::new(Semaphore::new(limits.total)),
            per_address: limits.per_address,
            open: Arc::default(),
        }
    }

    fn admit(&self, address: IpAddr, permit: OwnedSemaphorePermit) -> Option<ConnectionPermit> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let count = open.entry(address).or_default();
        if *count >= self.per_address {
            return None;
        }
        *count += 1;
        Some(ConnectionPermit {
            address,
            open: Arc::clone(&self.open),
            _permit: permit,
        })
    }
}

impl Drop for ConnectionPermit {
    fn drop(&mut self) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                open.remove(&self.address);
            }
        }
    }
}

async fn accept(
    listener: &tokio::net::TcpListener,
    limiter: &ConnectionLimiter,
) -> Option<(TcpStream, ConnectionPermit)> {
    let permit = Arc::clone(&limiter.total).acquire_owned().await.ok()?;
    if let Ok((stream, from)) = listener.accept().await {
        return Some((stream, limiter.admit(from.ip(), permit)?));
    }
    // For example out of file handles: wait for open connections to close.
    tokio::time::sleep(Duration::from_millis(50)).await;
    None
}
