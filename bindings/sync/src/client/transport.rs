//! Connector and transport that run the HTTP client over pinned TLS connections.

use super::connect::{self, ConnectError, Connected};
use super::timeout_stream::TimeoutStream;
use crate::interrupt::Interrupt;
use crate::key::Fingerprint;
use rustls::{ClientConfig, ClientConnection, StreamOwned};
use std::fmt;
use std::io::{self, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use ureq::Error;
use ureq::config::Config;
use ureq::http::Uri;
use ureq::unversioned::resolver::{ResolvedSocketAddrs, Resolver};
use ureq::unversioned::transport::{
    Buffers, ConnectionDetails, Connector, LazyBuffers, NextTimeout, Transport,
};

/// Timeout of one read or write if the HTTP client sets none.
const IDLE_TIMEOUT: Duration = Duration::from_secs(30);

/// Finds further addresses of the computer with a fingerprint.
pub(super) type Finder = dyn Fn(&Fingerprint) -> Vec<SocketAddr> + Send + Sync;

/// Addresses to try, and the one that answered.
pub(super) struct KnownAddresses {
    /// The address that answered last comes first.
    pub known: Vec<SocketAddr>,
    /// The address and key of the computer that answered.
    pub peer: Option<(SocketAddr, Fingerprint)>,
    /// Opened ahead of the first request.
    pub opened: Option<Connected>,
    /// Called at most once.
    pub finder: Option<(Fingerprint, Box<Finder>)>,
}

/// Opens connections to the computer with the pinned key.
#[derive(Clone)]
pub(super) struct PinnedConnector {
    config: Arc<ClientConfig>,
    addresses: Arc<Mutex<KnownAddresses>>,
    pub interrupt: Interrupt,
}

impl PinnedConnector {
    pub fn new(config: Arc<ClientConfig>, known: Vec<SocketAddr>) -> Self {
        let addresses = KnownAddresses {
            known,
            peer: None,
            opened: None,
            finder: None,
        };
        Self {
            config,
            addresses: Arc::new(Mutex::new(addresses)),
            interrupt: Interrupt::default(),
        }
    }

    pub fn set_finder(&self, fingerprint: Fingerprint, finder: Box<Finder>) {
        self.lock().finder = Some((fingerprint, finder));
    }

    /// Returns the address and key of the computer that answered; `None` before the first
    /// connection.
    pub fn peer(&self) -> Option<(SocketAddr, Fingerprint)> {
        self.lock().peer
    }

    /// Opens the connection for the first request now, so that the other computer's key is known.
    ///
    /// # Errors
    /// If no address answers with the pinned key.
    pub fn open_ahead(&self) -> Result<(), ConnectError> {
        let connected = self.connect_any()?;
        self.lock().opened = Some(connected);
        Ok(())
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, KnownAddresses> {
        self.addresses
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn connect_any(&self) -> Result<Connected, ConnectError> {
        let (opened, known) = {
            let mut addresses = self.lock();
            (addresses.opened.take(), addresses.known.clone())
        };
        if let Some(opened) = opened {
            return Ok(opened);
        }
        let connected = match connect::connect(&known, &self.config) {
            Ok(connected) => connected,
            Err(error) => self.connect_to_found(&known).ok_or(error)?,
        };
        let mut addresses = self.lock();
        addresses.peer = Some((connected.address, connected.fingerprint));
        addresses.known.retain(|known| *known != connected.address);
        addresses.known.insert(0, connected.address);
        Ok(connected)
    }

    fn connect_to_found(&self, known: &[SocketAddr]) -> Option<Connected> {
        let (fingerprint, finder) = self.lock().finder.take()?;
        let mut found = finder(&fingerprint);
        found.retain(|address| !known.contains(address));
        connect::connect(&found, &self.config).ok()
    }
}

impl fmt::Debug for PinnedConnector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PinnedConnector")
    }
}

impl Connector for PinnedConnector {
    type Out = TransportConnection;

    fn connect(
        &self,
        details: &ConnectionDetails<'_>,
        _chained: Option<()>,
    ) -> Result<Option<TransportConnection>, Error> {
        let connector = self.clone();
        let connected = self.interrupt.unless_set(move || connector.connect_any());
        let connected = connected
            .unwrap_or_else(|| Err(ConnectError::NoResponse("it was canceled".to_owned())))
            .map_err(|error| Error::Other(Box::new(error)))?;
        (details.register_shutdown)(connected.stream.sock.socket())?;
        let config = details.config;
        Ok(Some(TransportConnection {
            stream: connected.stream,
            buffers: LazyBuffers::new(config.input_buffer_size(), config.output_buffer_size()),
        }))
    }
}

/// Resolver that returns a placeholder address without DNS: the connector chooses the address.
#[derive(Debug)]
pub(super) struct NoDns;

impl Resolver for NoDns {
    fn resolve(&self, _: &Uri, _: &Config, _: NextTimeout) -> Result<ResolvedSocketAddrs, Error> {
        let mut none = self.empty();
        none.push((Ipv4Addr::UNSPECIFIED, 0).into());
        Ok(none)
    }
}

/// A pinned TLS connection as a transport of the HTTP client.
pub(super) struct TransportConnection {
    stream: StreamOwned<ClientConnection, TimeoutStream>,
    buffers: LazyBuffers,
}

impl fmt::Debug for TransportConnection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("TransportConnection")
    }
}

impl TransportConnection {
    fn set_timeout(&mut self, timeout: NextTimeout) {
        let timeout = timeout.not_zero().map_or(IDLE_TIMEOUT, |timeout| *timeout);
        self.stream.sock.set_timeout(timeout);
    }
}

impl Transport for TransportConnection {
    fn buffers(&mut self) -> &mut dyn Buffers {
        &mut self.buffers
    }

    fn transmit_output(&mut self, amount: usize, timeout: NextTimeout) -> Result<(), Error> {
        self.set_timeout(timeout);
        let output = &self.buffers.output()[..amount];
        let sent = self.stream.write_all(output);
        sent.and_then(|()| self.stream.flush())
            .map_err(|error| timeout_error(error, timeout))
    }

    fn await_input(&mut self, timeout: NextTimeout) -> Result<bool, Error> {
        self.set_timeout(timeout);
        let into = self.buffers.input_append_buf();
        let amount = self
            .stream
            .read(into)
            .map_err(|error| timeout_error(error, timeout))?;
        self.buffers.input_appended(amount);
        Ok(amount > 0)
    }

    fn is_open(&mut self) -> bool {
        self.stream.sock.is_idle()
    }

    fn is_tls(&self) -> bool {
        true
    }
}

fn timeout_error(error: io::Error, timeout: NextTimeout) -> Error {
    match error.kind() {
        io::ErrorKind::TimedOut => Error::Timeout(timeout.reason),
        _ => Error::Io(error),
    }
}
