//! Connecting to the computer with the pinned key at one of several addresses.

use super::pinned;
use super::timeout_stream::TimeoutStream;
use crate::http;
use crate::key::Fingerprint;
use rustls::pki_types::ServerName;
use rustls::{ClientConfig, ClientConnection, StreamOwned};
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::sync::{Arc, mpsc};
use std::time::Duration;

/// Timeout of the TCP connection to one address, and of the TLS handshake after it.
const CONNECT_TIMEOUT: Duration = Duration::from_secs(3);
const HANDSHAKE_TIMEOUT: Duration = Duration::from_secs(5);
/// The most addresses tried at once.
const MAX_ADDRESSES: usize = 12;

/// A connection to a computer that proved to have the pinned key.
pub(super) struct Connected {
    pub stream: StreamOwned<ClientConnection, TimeoutStream>,
    pub address: SocketAddr,
    pub fingerprint: Fingerprint,
}

/// Why no computer with the pinned key was reached.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum ConnectError {
    /// No address answered, or what answered is not Holebook.
    #[error("{0}")]
    NoResponse(String),
    /// A computer with a different key answered.
    #[error("a different computer answered at {0}")]
    WrongKey(SocketAddr),
}

/// Connects to the first address, the last one that worked; if that fails, to the first of the
/// others that answers.
///
/// # Errors
/// If no address answers with the pinned key; a wrong key takes precedence over no response.
pub(super) fn connect(
    addresses: &[SocketAddr],
    config: &Arc<ClientConfig>,
) -> Result<Connected, ConnectError> {
    let no_address = || ConnectError::NoResponse("its address is not known".to_owned());
    let (first, others) = addresses.split_first().ok_or_else(no_address)?;
    let mut worst = match connect_one(*first, config) {
        Ok(connected) => return Ok(connected),
        Err(error) => error,
    };
    let (sender, results) = mpsc::channel();
    for address in others.iter().copied().take(MAX_ADDRESSES) {
        let (sender, config) = (sender.clone(), config.clone());
        // A late result is dropped, since the receiver is gone.
        std::thread::spawn(move || drop(sender.send(connect_one(address, &config))));
    }
    drop(sender);
    for result in results {
        match result {
            Ok(connected) => return Ok(connected),
            Err(error @ ConnectError::WrongKey(_)) => worst = error,
            Err(ConnectError::NoResponse(_)) => {}
        }
    }
    Err(worst)
}

fn connect_one(address: SocketAddr, config: &Arc<ClientConfig>) -> Result<Connected, ConnectError> {
    let no_response = |detail: String| ConnectError::NoResponse(format!("{address}: {detail}"));
    let tcp = TcpStream::connect_timeout(&address, CONNECT_TIMEOUT)
        .and_then(|tcp| tcp.set_nodelay(true).map(|()| tcp))
        .map_err(|error| no_response(connection_error_text(&error)))?;
    // Required by the API, but neither sent nor verified.
    let name = ServerName::IpAddress(Ipv4Addr::UNSPECIFIED.into());
    let mut tls = ClientConnection::new(config.clone(), name)
        .map_err(|error| no_response(error.to_string()))?;
    let mut tcp = TimeoutStream::new(tcp, HANDSHAKE_TIMEOUT);
    while tls.is_handshaking() {
        tls.complete_io(&mut tcp).map_err(|error| {
            if pinned::is_wrong_key(&error) {
                ConnectError::WrongKey(address)
            } else {
                no_response(connection_error_text(&error))
            }
        })?;
    }
    let certificate = tls.peer_certificates().and_then(|all| all.first());
    let fingerprint = certificate
        .and_then(Fingerprint::of_certificate)
        .ok_or_else(|| no_response("it sent no certificate".to_owned()))?;
    Ok(Connected {
        stream: StreamOwned::new(tls, tcp),
        address,
        fingerprint,
    })
}

/// Returns a message for an error while connecting or reading, in plain words for the common ones.
pub(super) fn connection_error_text(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::InvalidData => "what answers there is not Holebook".to_owned(),
        _ => http::io_error_text(error),
    }
}
