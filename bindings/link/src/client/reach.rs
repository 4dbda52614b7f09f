//! Reaching the computer with the right key at one of several addresses.

use super::pinned;
use super::stream::Timed;
use crate::http;
use crate::key::Fingerprint;
use rustls::pki_types::ServerName;
use rustls::{ClientConfig, ClientConnection, StreamOwned};
use std::io;
use std::net::{Ipv4Addr, SocketAddr, TcpStream};
use std::sync::{Arc, mpsc};
use std::time::Duration;

/// How long one address may take to answer, and then to show the right key.
const CONNECT: Duration = Duration::from_secs(3);
const HANDSHAKE: Duration = Duration::from_secs(5);
/// How many addresses are tried at once.
const MOST: usize = 12;

/// A connection over which the right key was seen.
pub(super) struct Reached {
    pub stream: StreamOwned<ClientConnection, Timed>,
    pub address: SocketAddr,
    pub fingerprint: Fingerprint,
}

/// Why nobody with the right key was reached.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(super) enum Miss {
    /// Nobody answered, or not as Holebook does.
    #[error("{0}")]
    Silent(String),
    /// Somebody answered who has another key.
    #[error("another computer answered at {0}")]
    WrongKey(SocketAddr),
}

/// Tries the first address, which is where it was last, alone; then all others at once.
pub(super) fn reach(addresses: &[SocketAddr], config: &Arc<ClientConfig>) -> Result<Reached, Miss> {
    let nowhere = || Miss::Silent("its address is not known".to_owned());
    let (first, others) = addresses.split_first().ok_or_else(nowhere)?;
    let missed = match reach_one(*first, config) {
        Ok(reached) => return Ok(reached),
        Err(missed) => missed,
    };
    let (sender, answers) = mpsc::channel();
    for address in others.iter().copied().take(MOST) {
        let (sender, config) = (sender.clone(), config.clone());
        // One that answers late answers nobody.
        std::thread::spawn(move || drop(sender.send(reach_one(address, &config))));
    }
    drop(sender);
    let mut worst = missed;
    for answer in answers {
        match answer {
            Ok(reached) => return Ok(reached),
            Err(miss @ Miss::WrongKey(_)) => worst = miss,
            Err(Miss::Silent(_)) => {}
        }
    }
    Err(worst)
}

fn reach_one(address: SocketAddr, config: &Arc<ClientConfig>) -> Result<Reached, Miss> {
    let silent = |detail: String| Miss::Silent(format!("{address}: {detail}"));
    let tcp = TcpStream::connect_timeout(&address, CONNECT)
        .and_then(|tcp| tcp.set_nodelay(true).map(|()| tcp))
        .map_err(|error| silent(plain(&error)))?;
    // The name is not sent and not looked at.
    let name = ServerName::IpAddress(Ipv4Addr::UNSPECIFIED.into());
    let mut tls =
        ClientConnection::new(config.clone(), name).map_err(|error| silent(error.to_string()))?;
    let mut tcp = Timed::new(tcp, HANDSHAKE);
    while tls.is_handshaking() {
        tls.complete_io(&mut tcp).map_err(|error| {
            if pinned::is_wrong_key(&error) {
                Miss::WrongKey(address)
            } else {
                silent(plain(&error))
            }
        })?;
    }
    let certificate = tls.peer_certificates().and_then(|all| all.first());
    let fingerprint = certificate
        .and_then(Fingerprint::of_certificate)
        .ok_or_else(|| silent("it shows no key".to_owned()))?;
    Ok(Reached {
        stream: StreamOwned::new(tls, tcp),
        address,
        fingerprint,
    })
}

/// What the system said, in words where they are plainer.
pub(super) fn plain(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::InvalidData => "what answers there is not Holebook".to_owned(),
        _ => http::plain(error),
    }
}
