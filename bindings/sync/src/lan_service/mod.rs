//! Serving a notebook to paired devices on the local network.

mod pairing_server;
mod serve_lock;

pub use pairing_server::LanPairingServer;

use crate::server::{self, EventHandler, Limits};
use crate::service::ServiceError;
use crate::{PairingError, PairingStore, discover, local_addresses};
use holebook_core::notebook::Notebook;
use serve_lock::ServeLock;
use std::future::Future;
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;

/// An open port, with the lock that lets one program serve the notebook.
pub struct LanService {
    listener: TcpListener,
    port: u16,
    _lock: ServeLock,
}

/// Whether paired devices can reach the notebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reachability {
    /// On this port, served by this program or another one.
    Port(u16),
    /// Not at all, with a sentence that says why.
    Unreachable(String),
}

impl LanService {
    /// Opens `port` (0: any free one) for the notebook in `folder`. Returns `None` if another program serves the notebook.
    ///
    /// # Errors
    /// If the port is taken or the folder cannot be written.
    pub fn open(folder: &Path, port: u16) -> Result<Option<Self>, ServiceError> {
        let not_written = |error: io::Error| ServiceError::Folder {
            folder: folder.to_owned(),
            error,
        };
        let Some(lock) = ServeLock::acquire(folder).map_err(not_written)? else {
            return Ok(None);
        };
        let listener = server::listen(port)?;
        let port = listener.local_addr().map_or(port, |at| at.port());
        lock.publish_port(port).map_err(not_written)?;
        Ok(Some(Self {
            listener,
            port,
            _lock: lock,
        }))
    }

    /// The open port.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Serves until `stop` resolves; `on_event` receives what happens. A failed announcement on the network is ignored,
    /// since known addresses still work.
    ///
    /// # Errors
    /// If this computer's key cannot be loaded, or the port cannot be served.
    pub async fn serve(
        self,
        notebook: Arc<Notebook>,
        store: PairingStore,
        on_event: Box<EventHandler>,
        stop: impl Future<Output = ()>,
    ) -> Result<(), PairingError> {
        let announced = discover::announce(&store.fingerprint()?, self.port);
        let limits = Limits::default();
        let served = server::serve(self.listener, notebook, store, limits, on_event, stop);
        let ended = served.await;
        drop(announced);
        ended
    }
}

/// Returns the addresses of this computer on its networks, or loopback if it is on none.
pub fn addresses(port: u16) -> Vec<SocketAddr> {
    let own = local_addresses(port);
    if own.is_empty() {
        vec![SocketAddr::from((Ipv4Addr::LOCALHOST, port))]
    } else {
        own
    }
}

/// Opens the notebook's port and pairings. Returns no service if another program serves the notebook.
///
/// # Errors
/// If the port is taken, or the folder or the pairings cannot be used.
pub fn open(
    notebook: &Notebook,
    port: u16,
) -> Result<(Reachability, Option<(LanService, PairingStore)>), ServiceError> {
    let folder = notebook.dir();
    let Some(lan) = LanService::open(folder, port)? else {
        let theirs = ServeLock::published_port(folder).unwrap_or(port);
        return Ok((Reachability::Port(theirs), None));
    };
    let store = PairingStore::open(folder)?;
    update_name(notebook, &store)?;
    Ok((Reachability::Port(lan.port()), Some((lan, store))))
}

/// Updates this computer's name for devices that pair from now on, if the notebook's settings have one.
///
/// # Errors
/// If the settings cannot be read, or the pairings cannot be written.
pub fn update_name(notebook: &Notebook, store: &PairingStore) -> Result<(), ServiceError> {
    let name = notebook.settings()?.device_name;
    if !name.trim().is_empty() {
        store.set_server_name(&name)?;
    }
    Ok(())
}
