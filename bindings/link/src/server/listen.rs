//! The port, the connections on it, and how serving ends.

use super::patient::Patient;
use super::{Limits, Served, Told, route};
use crate::LinkError;
use crate::store::Store;
use holebook_core::notebook::Notebook;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use rustls::ServerConfig;
use socket2::{Domain, Protocol, Socket, Type};
use std::collections::HashMap;
use std::future::Future;
use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpListener};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio_rustls::TlsAcceptor;

/// How long serving that was told to stop waits for answers under way.
const FAREWELL: Duration = Duration::from_secs(5);
/// How many connections may wait to be taken.
const BACKLOG: i32 = 64;
/// What is read of a connection at once, which is also the most that a request's head may have, in bytes.
const BUFFER: usize = 64 << 10;
/// How many header fields a request may have.
const FIELDS: usize = 32;

/// Opens `port` on all of this computer's addresses, of both kinds where it has both; any free port where it is 0.
///
/// # Errors
/// [`LinkError::Port`].
pub fn listen(port: u16) -> Result<TcpListener, LinkError> {
    let both = open((Ipv6Addr::UNSPECIFIED, port).into());
    // Where there is no IPv6 at all, the other kind is enough; a port that is taken is taken for both.
    let either = both.or_else(|error| match error.kind() {
        io::ErrorKind::AddrInUse | io::ErrorKind::PermissionDenied => Err(error),
        _ => open((Ipv4Addr::UNSPECIFIED, port).into()),
    });
    either.map_err(|error| LinkError::Port {
        port,
        detail: error.to_string(),
    })
}

fn open(address: SocketAddr) -> io::Result<TcpListener> {
    let socket = Socket::new(
        Domain::for_address(address),
        Type::STREAM,
        Some(Protocol::TCP),
    )?;
    if address.is_ipv6() {
        socket.set_only_v6(false)?;
    }
    // So that it can be opened again at once after a run; on Windows this would let another program take it.
    #[cfg(unix)]
    socket.set_reuse_address(true)?;
    socket.bind(&address.into())?;
    socket.listen(BACKLOG)?;
    Ok(socket.into())
}

/// Serves `notebook` as a shelf to the devices paired in `store`, on `listener`, until `stop` comes; then what is under way
/// is finished, for a few seconds. `told` hears what happens.
///
/// To be run on a tokio runtime with timers. Whatever may block does so on the runtime's blocking threads.
///
/// # Errors
/// Where the own key cannot be had or the port cannot be used.
pub async fn serve(
    listener: TcpListener,
    notebook: Arc<Notebook>,
    store: Store,
    limits: Limits,
    told: Box<Told>,
    stop: impl Future<Output = ()>,
) -> Result<(), LinkError> {
    let tls = TlsAcceptor::from(Arc::new(config(&store)?));
    let listener = into_tokio(listener)?;
    let served = Arc::new(Served::new(notebook, store, limits, told));
    let places = Places::new(&limits);
    let connections = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let (stream, place) = tokio::select! {
            accepted = accept(&listener, &places) => match accepted {
                Some(accepted) => accepted,
                None => continue,
            },
            () = &mut stop => break,
        };
        let (served, tls, watcher) = (served.clone(), tls.clone(), connections.watcher());
        tokio::spawn(async move {
            connection(stream, &tls, served, watcher).await;
            drop(place);
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(FAREWELL, connections.shutdown()).await;
    Ok(())
}

fn into_tokio(listener: TcpListener) -> Result<tokio::net::TcpListener, LinkError> {
    let port = listener.local_addr().map_or(0, |address| address.port());
    let opened = listener
        .set_nonblocking(true)
        .and_then(|()| tokio::net::TcpListener::from_std(listener));
    opened.map_err(|error| LinkError::Port {
        port,
        detail: error.to_string(),
    })
}

fn config(store: &Store) -> Result<ServerConfig, LinkError> {
    let own = store.own_key()?;
    let failed = |error: rustls::Error| LinkError::OwnKey {
        detail: error.to_string(),
    };
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_protocol_versions(&[&rustls::version::TLS13])
        .map_err(failed)?
        .with_no_client_auth()
        .with_single_cert(vec![own.certificate], own.key)
        .map_err(failed)?;
    // Devices see the key anew at each connection, so tickets to come back by would only cost bytes.
    config.send_tls13_tickets = 0;
    Ok(config)
}

/// One connection from its first byte to its end. That it breaks off is its device's affair.
async fn connection(stream: TcpStream, tls: &TlsAcceptor, served: Arc<Served>, watcher: Watcher) {
    let limits = served.limits;
    let _ = stream.set_nodelay(true);
    let stream = Patient::new(stream, limits.still);
    let Ok(Ok(stream)) = tokio::time::timeout(limits.handshake, tls.accept(stream)).await else {
        return;
    };
    let service = service_fn(move |request| route::answer(served.clone(), request));
    let serving = hyper::server::conn::http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(limits.head)
        .max_buf_size(BUFFER)
        .max_headers(FIELDS)
        .serve_connection(TokioIo::new(stream), service);
    let _ = watcher.watch(serving).await;
}

/// The places for connections, of which no address may have too many.
struct Places {
    all: Arc<Semaphore>,
    each: usize,
    taken: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

/// A connection's place; it is free again when this is dropped.
struct Place {
    address: IpAddr,
    taken: Arc<Mutex<HashMap<IpAddr, usize>>>,
    _permit: OwnedSemaphorePermit,
}

impl Places {
    fn new(limits: &Limits) -> Self {
        Self {
            all: Arc::new(Semaphore::new(limits.connections)),
            each: limits.connections_each,
            taken: Arc::default(),
        }
    }

    fn take(&self, address: IpAddr, permit: OwnedSemaphorePermit) -> Option<Place> {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let count = taken.entry(address).or_default();
        if *count >= self.each {
            return None;
        }
        *count += 1;
        Some(Place {
            address,
            taken: self.taken.clone(),
            _permit: permit,
        })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = taken.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                taken.remove(&self.address);
            }
        }
    }
}

async fn accept(listener: &tokio::net::TcpListener, places: &Places) -> Option<(TcpStream, Place)> {
    let permit = places.all.clone().acquire_owned().await.ok()?;
    match listener.accept().await {
        Ok((stream, from)) => places.take(from.ip(), permit).map(|place| (stream, place)),
        Err(_) => {
            // Out of handles, say: give the connections that are open a moment to end.
            tokio::time::sleep(Duration::from_millis(50)).await;
            None
        }
    }
}
