//! Serving the notebook over the local network, to the devices that are paired with it.

use super::serving::Serving;
use crate::failure::Failure;
use crate::table::plain;
use holebook_core::notebook::Notebook;
use holebook_link::server::{self, Event, Limits};
use holebook_link::{LinkError, Store, discover, own_addresses};
use std::future::Future;
use std::io::{self, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::sync::Arc;

/// The port and the right to serve the notebook on it.
pub struct Lan {
    listener: TcpListener,
    port: u16,
    _serving: Serving,
}

/// Whether paired devices reach the notebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reach {
    /// On this port, served by this program or by another.
    At(u16),
    /// Not, for this reason.
    Not(String),
}

impl Lan {
    /// Opens the port for the notebook in `folder`; any free one where it is 0. None where another program serves this
    /// notebook already.
    ///
    /// # Errors
    /// Where the port is taken or the folder cannot be written.
    pub fn open(folder: &Path, port: u16) -> Result<Option<Self>, Failure> {
        let not_written =
            |error: io::Error| Failure::file("writing in the notebook's folder", folder, &error);
        let Some(serving) = Serving::begin(folder).map_err(not_written)? else {
            return Ok(None);
        };
        let listener = server::listen(port)?;
        let port = listener.local_addr().map_or(port, |at| at.port());
        serving.says_port(port).map_err(not_written)?;
        Ok(Some(Self {
            listener,
            port,
            _serving: serving,
        }))
    }

    /// The port.
    pub fn port(&self) -> u16 {
        self.port
    }

    /// Serves until `stop` comes. Being found by name on the network is a help, and nothing fails without it.
    ///
    /// # Errors
    /// Where the own key cannot be had, or the port cannot be served.
    pub async fn serve(
        self,
        notebook: Arc<Notebook>,
        store: Store,
        stop: impl Future<Output = ()>,
    ) -> Result<(), LinkError> {
        let announced = discover::announce(&store.fingerprint()?, self.port);
        let limits = Limits::default();
        let served = server::serve(self.listener, notebook, store, limits, Box::new(told), stop);
        let ended = served.await;
        drop(announced);
        ended
    }
}

/// What failed on this side is for the person at this computer. The rest stands on the page of paired devices.
fn told(event: Event) {
    if let Event::Fault { detail } = event {
        let _ = writeln!(io::stderr(), "holebook: {}", plain(&detail));
    }
}

/// Where others find this computer; itself alone, where it is on no network.
pub fn addresses(port: u16) -> Vec<SocketAddr> {
    let own = own_addresses(port);
    if own.is_empty() {
        vec![SocketAddr::from((Ipv4Addr::LOCALHOST, port))]
    } else {
        own
    }
}

/// Opens the notebook's port and its pairings; nothing to serve where another program serves it already.
///
/// # Errors
/// Where the port is taken, or the folder or the pairings cannot be used.
pub fn begin(notebook: &Notebook, port: u16) -> Result<(Reach, Option<(Lan, Store)>), Failure> {
    let folder = notebook.dir();
    let Some(lan) = Lan::open(folder, port)? else {
        let theirs = Serving::port_of_another(folder).unwrap_or(port);
        return Ok((Reach::At(theirs), None));
    };
    let store = Store::open(folder)?;
    say_name(notebook, &store)?;
    Ok((Reach::At(lan.port()), Some((lan, store))))
}

/// Says what this computer is called to the devices that pair from now on: as the notebook is set now, if it is.
///
/// # Errors
/// Where the settings cannot be read, or the pairings cannot be written.
pub fn say_name(notebook: &Notebook, store: &Store) -> Result<(), Failure> {
    let name = notebook.settings()?.device_name;
    if !name.trim().is_empty() {
        store.set_own_name(&name)?;
    }
    Ok(())
}
