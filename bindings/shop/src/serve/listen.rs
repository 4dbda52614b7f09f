//! The port, the connections on it, and how a run ends.

use axum::Router;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::future::Future;
use std::io::{self, ErrorKind};
use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Semaphore;

/// The port that is tried first. It lies in a stretch (29169 to 29998) of IANA's service name and port number registry
/// where nothing is assigned, and below the ports that operating systems hand out by themselves.
pub const FIRST_PORT: u16 = 29_375;
/// How many ports after the first are tried.
const TRIES: u16 = 50;
/// How long a run that was told to stop waits for answers under way.
const FAREWELL: Duration = Duration::from_secs(5);

/// What one browser may take from the others.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// How long a browser may take to say what it asks, and how long an idle connection is kept.
    pub header_time: Duration,
    /// Connections served at once; further ones wait.
    pub connections: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            header_time: Duration::from_secs(20),
            connections: 128,
        }
    }
}

/// Takes the first free port from [`FIRST_PORT`] on, and any free one where all those are taken.
///
/// # Errors
/// Where no port can be had at all.
pub fn listen() -> io::Result<TcpListener> {
    for port in FIRST_PORT..FIRST_PORT + TRIES {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, port)) {
            Err(error) if is_taken(&error) => {}
            other => return other,
        }
    }
    TcpListener::bind((Ipv4Addr::LOCALHOST, 0))
}

/// In use, or kept back by the operating system (Windows reserves stretches of ports).
fn is_taken(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        ErrorKind::AddrInUse | ErrorKind::PermissionDenied
    )
}

/// Answers requests on `listener` by `router` until `stop` comes, then finishes what is under way.
///
/// # Errors
/// Where the port cannot be served.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    limits: Limits,
    stop: impl Future<Output = ()>,
) -> io::Result<()> {
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let service = TowerToHyperService::new(router);
    let places = Arc::new(Semaphore::new(limits.connections));
    let connections = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let accepted = tokio::select! {
            accepted = accept(&listener, &places) => accepted,
            () = &mut stop => break,
        };
        let Some((stream, place)) = accepted else {
            continue;
        };
        let connection = hyper::server::conn::http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(limits.header_time)
            .serve_connection(TokioIo::new(stream), service.clone());
        let connection = connections.watch(connection);
        tokio::spawn(async move {
            // A connection that breaks off is the browser's affair.
            let _ = connection.await;
            drop(place);
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(FAREWELL, connections.shutdown()).await;
    Ok(())
}

type Accepted = (tokio::net::TcpStream, tokio::sync::OwnedSemaphorePermit);

async fn accept(listener: &tokio::net::TcpListener, places: &Arc<Semaphore>) -> Option<Accepted> {
    let place = Arc::clone(places).acquire_owned().await.ok()?;
    if let Ok((stream, _)) = listener.accept().await {
        return Some((stream, place));
    }
    // Out of handles, say: give the connections that are open a moment to end.
    tokio::time::sleep(Duration::from_millis(50)).await;
    None
}
