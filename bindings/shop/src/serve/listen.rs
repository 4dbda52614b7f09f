//! Binds the port, accepts connections, and shuts down.

use axum::Extension;
use axum::Router;
use holebook_sync::http_server::{self, ConnectionLimits, OpenConnection};
use hyper_util::server::graceful::Watcher;
use std::future::Future;
use std::io::{self, ErrorKind};
use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;
use std::time::Duration;

/// The port that is tried first. It is in a range (29169 to 29998) that IANA's port number registry
/// assigns to nothing, and below the ports that operating systems hand out by themselves.
pub const FIRST_PORT: u16 = 29_375;
/// How many ports after the first are tried.
const PORT_TRIES: u16 = 50;

/// Limits that keep one browser from blocking others.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// How long a browser may take to send a request's head; also how long an idle connection is
    /// kept.
    pub header_timeout: Duration,
    /// Most connections at once. A new one then takes the place of one on which nobody has signed in.
    pub max_connections: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            header_timeout: Duration::from_secs(10),
            max_connections: 128,
        }
    }
}

/// Binds the first free port from [`FIRST_PORT`] on; if all tried are in use, any free one.
///
/// # Errors
/// If no port is free.
pub fn bind() -> io::Result<TcpListener> {
    for port in FIRST_PORT..FIRST_PORT + PORT_TRIES {
        match TcpListener::bind((Ipv4Addr::LOCALHOST, port)) {
            Err(error) if is_in_use(&error) => {}
            other => return other,
        }
    }
    TcpListener::bind((Ipv4Addr::LOCALHOST, 0))
}

/// Whether the port is in use or reserved by the operating system (Windows reserves ranges).
fn is_in_use(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        ErrorKind::AddrInUse | ErrorKind::PermissionDenied
    )
}

/// Serves `router` on `listener` until `stop` completes, then finishes responses in progress.
///
/// # Errors
/// If the port cannot be used.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    limits: Limits,
    stop: impl Future<Output = ()>,
) -> io::Result<()> {
    let connections = ConnectionLimits {
        total: limits.max_connections,
        per_address: usize::MAX,
    };
    let handle = |stream, open: OpenConnection, watcher: Watcher| {
        let router = router.clone().layer(Extension(Arc::new(open)));
        http_server::serve_connection(stream, router, limits.header_timeout, watcher)
    };
    http_server::serve(listener, connections, handle, stop).await
}
