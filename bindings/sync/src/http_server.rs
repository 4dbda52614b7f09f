//! Connections of both servers: the LAN server of the shop computer, and its screens on loopback.

use axum::Router;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use hyper_util::service::TowerToHyperService;
use std::collections::BTreeMap;
use std::future::Future;
use std::io;
use std::net::{IpAddr, TcpListener};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::sync::Notify;

/// The read buffer of a connection, which also limits a request's headers, in bytes.
const BUFFER_BYTES: usize = 64 << 10;
/// The most headers of a request.
const MAX_HEADERS: usize = 64;
/// How long shutdown waits for running requests.
const SHUTDOWN_TIMEOUT: Duration = Duration::from_secs(5);

/// How many connections are open at once. At a limit, a new connection takes the place of the oldest
/// one that is not trusted, so that whoever opens many keeps nobody out; if all are trusted, the new
/// one is closed.
#[derive(Debug, Clone, Copy)]
pub struct ConnectionLimits {
    /// In total. The place is taken from the address with the most connections that are not trusted.
    pub total: usize,
    /// From one address.
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
    H: Fn(TcpStream, OpenConnection, Watcher) -> F,
    F: Future<Output = ()> + Send + 'static,
{
    listener.set_nonblocking(true)?;
    let listener = tokio::net::TcpListener::from_std(listener)?;
    let table = Arc::new(ConnectionTable::new(limits));
    let connections = GracefulShutdown::new();
    let mut stop = std::pin::pin!(stop);
    loop {
        let (stream, from) = tokio::select! {
            accepted = listener.accept() => match accepted {
                Ok(accepted) => accepted,
                Err(_) => {
                    // For example out of file handles: wait for open connections to close.
                    tokio::time::sleep(Duration::from_millis(50)).await;
                    continue;
                }
            },
            () = &mut stop => break,
        };
        let Some((open, closed)) = table.admit(from.ip()) else {
            continue;
        };
        let handled = handle(stream, open, connections.watcher());
        tokio::spawn(async move {
            tokio::select! {
                () = handled => {}
                () = closed.notified() => {}
            }
        });
    }
    drop(listener);
    let _ = tokio::time::timeout(SHUTDOWN_TIMEOUT, connections.shutdown()).await;
    Ok(())
}

/// Answers requests on a connection until it closes. Receiving a request's headers may take
/// `header_timeout`, which also closes idle connections. Connection errors are ignored: the client
/// retries.
pub async fn serve_connection(
    stream: impl AsyncRead + AsyncWrite + Unpin + Send + 'static,
    router: Router,
    header_timeout: Duration,
    watcher: Watcher,
) {
    let connection = hyper::server::conn::http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(header_timeout)
        .max_buf_size(BUFFER_BYTES)
        .max_headers(MAX_HEADERS)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(router));
    let _ = watcher.watch(connection).await;
}

/// The open connections.
struct ConnectionTable {
    limits: ConnectionLimits,
    connections: Mutex<Connections>,
}

#[derive(Default)]
struct Connections {
    /// How many there have been.
    count: u64,
    /// The oldest come first.
    open: BTreeMap<u64, ConnectionEntry>,
}

struct ConnectionEntry {
    address: IpAddr,
    trusted: bool,
    close: Arc<Notify>,
}

/// One open connection, until it is dropped.
pub struct OpenConnection {
    number: u64,
    peer: IpAddr,
    table: Arc<ConnectionTable>,
}

impl ConnectionTable {
    fn new(limits: ConnectionLimits) -> Self {
        Self {
            limits,
            connections: Mutex::default(),
        }
    }

    fn lock(&self) -> MutexGuard<'_, Connections> {
        self.connections
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Adds a connection, closing another if there are too many. Returns it with the notice that it
    /// is to be closed; `None` if no other may be closed for it.
    fn admit(self: &Arc<Self>, address: IpAddr) -> Option<(OpenConnection, Arc<Notify>)> {
        let address = address.to_canonical();
        let mut connections = self.lock();
        if connections.from(address).count() >= self.limits.per_address {
            connections.close_oldest(address)?;
        }
        if connections.open.len() >= self.limits.total {
            let busiest = connections.busiest()?;
            connections.close_oldest(busiest)?;
        }
        connections.count += 1;
        let (number, close) = (connections.count, Arc::new(Notify::new()));
        let entry = ConnectionEntry {
            address,
            trusted: false,
            close: Arc::clone(&close),
        };
        connections.open.insert(number, entry);
        let open = OpenConnection {
            number,
            peer: address,
            table: Arc::clone(self),
        };
        Some((open, close))
    }
}

impl Connections {
    fn from(&self, address: IpAddr) -> impl Iterator<Item = (&u64, &ConnectionEntry)> {
        let all = self.open.iter();
        all.filter(move |(_, entry)| entry.address == address)
    }

    /// The address with the most connections that are not trusted.
    fn busiest(&self) -> Option<IpAddr> {
        let mut counts = BTreeMap::<IpAddr, usize>::new();
        for entry in self.open.values().filter(|entry| !entry.trusted) {
            *counts.entry(entry.address).or_default() += 1;
        }
        let busiest = counts.into_iter().max_by_key(|(_, count)| *count);
        busiest.map(|(address, _)| address)
    }

    /// Closes the oldest connection from this address that is not trusted; `None` if there is none.
    fn close_oldest(&mut self, address: IpAddr) -> Option<()> {
        let oldest = self.from(address).find(|(_, entry)| !entry.trusted);
        let number = *oldest?.0;
        let entry = self.open.remove(&number)?;
        entry.close.notify_one();
        Some(())
    }
}

impl OpenConnection {
    /// Returns the address at the other end.
    #[must_use]
    pub fn peer(&self) -> IpAddr {
        self.peer
    }

    /// Records that somebody who has access is at the other end: the connection is not closed for
    /// others any more.
    pub fn trust(&self) {
        if let Some(entry) = self.table.lock().open.get_mut(&self.number) {
            entry.trusted = true;
        }
    }
}

impl Drop for OpenConnection {
    fn drop(&mut self) {
        self.table.lock().open.remove(&self.number);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn table(total: usize, per_address: usize) -> Arc<ConnectionTable> {
        Arc::new(ConnectionTable::new(ConnectionLimits {
            total,
            per_address,
        }))
    }

    fn address(last: u8) -> IpAddr {
        [10, 0, 0, last].into()
    }

    fn open_numbers(table: &ConnectionTable) -> Vec<u64> {
        table.lock().open.keys().copied().collect()
    }

    #[test]
    fn a_new_connection_takes_the_place_of_the_oldest_that_is_not_trusted() {
        let table = table(3, 3);
        let admit = || table.admit(address(1));
        let held: Vec<_> = (0..3).map(|_| admit().unwrap()).collect();
        held[0].0.trust();
        let new = admit().unwrap();
        assert_eq!(open_numbers(&table), [1, 3, 4]);
        held[2].0.trust();
        new.0.trust();
        assert!(admit().is_none(), "all are trusted");
        drop(held);
        assert_eq!(open_numbers(&table), [4]);
    }

    #[test]
    fn the_address_with_the_most_connections_gives_way() {
        let table = table(4, 10);
        let mut held = vec![table.admit(address(2)).unwrap()];
        for _ in 0..3 {
            held.push(table.admit(address(1)).unwrap());
        }
        for _ in 0..20 {
            held.push(table.admit(address(1)).unwrap());
        }
        let open = table.lock();
        assert_eq!(open.from(address(2)).count(), 1);
        assert_eq!(open.from(address(1)).count(), 3);
    }

    #[test]
    fn one_address_has_a_limit_of_its_own() {
        let table = table(100, 2);
        let held: Vec<_> = (0..5).map(|_| table.admit(address(1)).unwrap()).collect();
        assert_eq!(open_numbers(&table), [4, 5]);
        drop(held);
        assert!(open_numbers(&table).is_empty());
    }
}
