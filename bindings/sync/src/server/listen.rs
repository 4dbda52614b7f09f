//! Listening socket, TLS, connection limits, and graceful shutdown.

use super::connection::Connection;
use super::write_timeout::WriteTimeoutStream;
use super::{EventHandler, Limits, Server, router};
use crate::PairingError;
use crate::http_server::{self, ConnectionLimits, OpenConnection};
use crate::pairing_store::{PairingStore, ServerKey};
use axum::{Extension, Router};
use holebook_core::notebook::Notebook;
use hyper_util::server::graceful::Watcher;
use rustls::ServerConfig;
use socket2::{Domain, Protocol, Socket, Type};
use std::future::Future;
use std::io;
use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr, TcpListener};
use std::sync::Arc;
use tokio::net::TcpStream;
use tokio_rustls::TlsAcceptor;

/// The most connections that wait to be accepted.
const BACKLOG: i32 = 64;

/// Opens `port` on all addresses of this computer, IPv4 and IPv6; 0 chooses a free port.
///
/// # Errors
/// [`PairingError::PortUnavailable`].
pub fn listen(port: u16) -> Result<TcpListener, PairingError> {
    let dual_stack = bind((Ipv6Addr::UNSPECIFIED, port).into());
    // A system without IPv6 falls back to IPv4. A port in use is in use for both.
    let listener = dual_stack.or_else(|error| match error.kind() {
        io::ErrorKind::AddrInUse | io::ErrorKind::PermissionDenied => Err(error),
        _ => bind((Ipv4Addr::UNSPECIFIED, port).into()),
    });
    listener.map_err(|error| PairingError::PortUnavailable {
        port,
        detail: error.to_string(),
    })
}

fn bind(address: SocketAddr) -> io::Result<TcpListener> {
    let socket = Socket::new(
        Domain::for_address(address),
        Type::STREAM,
        Some(Protocol::TCP),
    )?;
    if address.is_ipv6() {
        socket.set_only_v6(false)?;
    }
    // Lets a restarted server open the port at once. On Windows it would let another program open
    // the same port.
    #[cfg(unix)]
    socket.set_reuse_address(true)?;
    socket.bind(&address.into())?;
    socket.listen(BACKLOG)?;
    Ok(socket.into())
}

/// Serves `notebook` to the devices paired in `store`, on `listener`, until `stop` resolves; then
/// running requests get a few seconds to finish. `on_event` receives what happens.
///
/// Needs a tokio runtime with timers. Blocking work runs on the runtime's blocking threads.
///
/// # Errors
/// If this computer's key cannot be created or loaded, or the port cannot be used.
pub async fn serve(
    listener: TcpListener,
    notebook: Arc<Notebook>,
    store: PairingStore,
    limits: Limits,
    on_event: Box<EventHandler>,
    stop: impl Future<Output = ()>,
) -> Result<(), PairingError> {
    let port = listener.local_addr().map_or(0, |address| address.port());
    let server_key = store.server_key()?;
    let fingerprint = server_key.fingerprint;
    let tls = TlsAcceptor::from(Arc::new(tls_config(server_key)?));
    let connections = ConnectionLimits {
        total: limits.max_connections,
        per_address: limits.max_connections_per_address,
    };
    let server = Server::new(notebook, store, fingerprint, limits, on_event);
    let router = router::router(Arc::new(server));
    let handle = |stream, open, watcher| {
        handle_connection(stream, open, tls.clone(), router.clone(), limits, watcher)
    };
    let served = http_server::serve(listener, connections, handle, stop).await;
    served.map_err(|error| PairingError::PortUnavailable {
        port,
        detail: error.to_string(),
    })
}

fn tls_config(server_key: ServerKey) -> Result<ServerConfig, PairingError> {
    let failed = |error: rustls::Error| PairingError::ServerKey {
        detail: error.to_string(),
    };
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_protocol_versions(&[&rustls::version::TLS13])
        .map_err(failed)?
        .with_no_client_auth()
        .with_single_cert(vec![server_key.certificate], server_key.key)
        .map_err(failed)?;
    // Clients verify the key on every connection, so resumption tickets are not needed.
    config.send_tls13_tickets = 0;
    Ok(config)
}

/// Handles one connection until it closes. Connection errors are ignored: the client retries.
async fn handle_connection(
    stream: TcpStream,
    open: OpenConnection,
    tls: TlsAcceptor,
    router: Router,
    limits: Limits,
    watcher: Watcher,
) {
    let _ = stream.set_nodelay(true);
    let stream = WriteTimeoutStream::new(stream, limits.idle_timeout);
    let Ok(Ok(stream)) = tokio::time::timeout(limits.handshake_timeout, tls.accept(stream)).await
    else {
        return;
    };
    let router = router.layer(Extension(Arc::new(Connection::new(open))));
    http_server::serve_connection(stream, router, limits.header_timeout, watcher).await;
}
