//! Carries HTTP over pinned connections: the part that the HTTP client leaves to its user.

use super::reach::{self, Miss, Reached};
use super::stream::Timed;
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

/// How long a read or write waits for the other end to move, where nothing else is said.
const STILL: Duration = Duration::from_secs(30);

/// Looks for further addresses where none that is known answers.
pub(super) type Finder = dyn Fn(&Fingerprint) -> Vec<SocketAddr> + Send + Sync;

/// Where the other end is thought to be, and where it was found.
pub(super) struct Whereabouts {
    pub known: Vec<SocketAddr>,
    pub found: Option<(SocketAddr, Fingerprint)>,
    /// Asked once.
    pub finder: Option<(Fingerprint, Box<Finder>)>,
}

/// Makes connections to whoever has the pinned key.
#[derive(Clone)]
pub(super) struct Carrier {
    config: Arc<ClientConfig>,
    whereabouts: Arc<Mutex<Whereabouts>>,
}

impl Carrier {
    pub fn new(config: Arc<ClientConfig>, known: Vec<SocketAddr>) -> Self {
        let whereabouts = Whereabouts {
            known,
            found: None,
            finder: None,
        };
        Self {
            config,
            whereabouts: Arc::new(Mutex::new(whereabouts)),
        }
    }

    pub fn set_finder(&self, fingerprint: Fingerprint, finder: Box<Finder>) {
        self.lock().finder = Some((fingerprint, finder));
    }

    /// Where the other end answered, and with which key.
    pub fn found(&self) -> Option<(SocketAddr, Fingerprint)> {
        self.lock().found
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Whereabouts> {
        self.whereabouts
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn reach(&self) -> Result<Reached, Miss> {
        let known = self.lock().known.clone();
        let reached = match reach::reach(&known, &self.config) {
            Ok(reached) => reached,
            Err(missed) => self.reach_elsewhere(&known).ok_or(missed)?,
        };
        let mut whereabouts = self.lock();
        whereabouts.found = Some((reached.address, reached.fingerprint));
        whereabouts.known.retain(|known| *known != reached.address);
        whereabouts.known.insert(0, reached.address);
        Ok(reached)
    }

    fn reach_elsewhere(&self, known: &[SocketAddr]) -> Option<Reached> {
        let (fingerprint, finder) = self.lock().finder.take()?;
        let mut found = finder(&fingerprint);
        found.retain(|address| !known.contains(address));
        reach::reach(&found, &self.config).ok()
    }
}

impl fmt::Debug for Carrier {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Carrier")
    }
}

impl Connector for Carrier {
    type Out = Carried;

    fn connect(
        &self,
        details: &ConnectionDetails<'_>,
        _chained: Option<()>,
    ) -> Result<Option<Carried>, Error> {
        let reached = self.reach().map_err(|miss| Error::Other(Box::new(miss)))?;
        let config = details.config;
        Ok(Some(Carried {
            stream: reached.stream,
            buffers: LazyBuffers::new(config.input_buffer_size(), config.output_buffer_size()),
        }))
    }
}

/// The addresses are the carrier's affair; the client only wants to see one.
#[derive(Debug)]
pub(super) struct NoNames;

impl Resolver for NoNames {
    fn resolve(&self, _: &Uri, _: &Config, _: NextTimeout) -> Result<ResolvedSocketAddrs, Error> {
        let mut none = self.empty();
        none.push((Ipv4Addr::UNSPECIFIED, 0).into());
        Ok(none)
    }
}

/// A pinned connection as the HTTP client uses it.
pub(super) struct Carried {
    stream: StreamOwned<ClientConnection, Timed>,
    buffers: LazyBuffers,
}

impl fmt::Debug for Carried {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Carried")
    }
}

impl Carried {
    fn give(&mut self, timeout: NextTimeout) {
        let patience = timeout.not_zero().map_or(STILL, |patience| *patience);
        self.stream.sock.give(patience);
    }
}

impl Transport for Carried {
    fn buffers(&mut self) -> &mut dyn Buffers {
        &mut self.buffers
    }

    fn transmit_output(&mut self, amount: usize, timeout: NextTimeout) -> Result<(), Error> {
        self.give(timeout);
        let output = &self.buffers.output()[..amount];
        let sent = self.stream.write_all(output);
        sent.and_then(|()| self.stream.flush())
            .map_err(|error| worded(error, timeout))
    }

    fn await_input(&mut self, timeout: NextTimeout) -> Result<bool, Error> {
        self.give(timeout);
        let into = self.buffers.input_append_buf();
        let amount = self
            .stream
            .read(into)
            .map_err(|error| worded(error, timeout))?;
        self.buffers.input_appended(amount);
        Ok(amount > 0)
    }

    fn is_open(&mut self) -> bool {
        self.stream.sock.is_quiet()
    }

    fn is_tls(&self) -> bool {
        true
    }
}

fn worded(error: io::Error, timeout: NextTimeout) -> Error {
    match error.kind() {
        io::ErrorKind::TimedOut => Error::Timeout(timeout.reason),
        _ => Error::Io(error),
    }
}
