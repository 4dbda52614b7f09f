//! Service discovery by multicast DNS (RFC 6762 and 6763), for a shop computer whose address
//! changed.
//!
//! The announcement contains no names of people: only the service type, the port, and the first
//! characters of the key's fingerprint. A discovered address is only a place to try; the pinned key
//! decides whether it is the right computer.

use crate::{Fingerprint, PairingError, SERVICE};
use mdns_sd::{ResolvedService, ScopedIp, ServiceDaemon, ServiceEvent, ServiceInfo};
use std::net::{SocketAddr, SocketAddrV6};
use std::time::{Duration, Instant};

/// The most addresses that are collected.
const MAX_ADDRESSES: usize = 16;
/// How long to keep listening after the first address, for further addresses of the same computer.
const SETTLE_TIME: Duration = Duration::from_millis(300);

/// Announces this computer on the network until dropped.
pub struct Announcement {
    daemon: ServiceDaemon,
    name: String,
}

/// Announces on all networks, including those joined later, that the shop computer with this key
/// listens on `port`.
///
/// # Errors
/// [`PairingError::Discovery`] if multicast DNS is not available.
pub fn announce(fingerprint: &Fingerprint, port: u16) -> Result<Announcement, PairingError> {
    let short = fingerprint.short();
    let host = format!("holebook-{}.local.", hex(&short));
    let info = ServiceInfo::new(&service_type(), &short, &host, "", port, None)
        .map_err(discovery_error)?;
    let info = info.enable_addr_auto();
    let name = info.get_fullname().to_owned();
    let daemon = ServiceDaemon::new().map_err(discovery_error)?;
    daemon.register(info).map_err(discovery_error)?;
    Ok(Announcement { daemon, name })
}

/// Returns the full service type to announce and to browse for.
fn service_type() -> String {
    format!("{SERVICE}.local.")
}

/// Encodes the text as hex, since a host name allows no underscores and ignores case.
fn hex(text: &str) -> String {
    let letters = text.bytes().map(|byte| format!("{byte:02x}"));
    letters.collect()
}

impl Drop for Announcement {
    /// Withdraws the announcement, so that others drop it from their caches.
    fn drop(&mut self) {
        if let Ok(done) = self.daemon.unregister(&self.name) {
            let _ = done.recv_timeout(Duration::from_secs(1));
        }
        let _ = self.daemon.shutdown();
    }
}

/// Finds the shop computer with this fingerprint, or all if none is given, and returns the addresses
/// at which they may be. Returns none if nothing answers within `timeout`. Blocks.
#[must_use]
pub fn find(fingerprint: Option<&Fingerprint>, timeout: Duration) -> Vec<SocketAddr> {
    let Ok(daemon) = ServiceDaemon::new() else {
        return Vec::new();
    };
    let found = browse(
        &daemon,
        fingerprint.map(Fingerprint::short).as_deref(),
        timeout,
    )
    .unwrap_or_default();
    let _ = daemon.shutdown();
    found
}

fn browse(
    daemon: &ServiceDaemon,
    short: Option<&str>,
    timeout: Duration,
) -> Result<Vec<SocketAddr>, mdns_sd::Error> {
    let events = daemon.browse(&service_type())?;
    let mut deadline = Instant::now() + timeout;
    let mut found: Vec<SocketAddr> = Vec::new();
    while found.len() < MAX_ADDRESSES {
        let Ok(event) = events.recv_deadline(deadline) else {
            break;
        };
        let ServiceEvent::ServiceResolved(service) = event else {
            continue;
        };
        if short.is_some_and(|short| !has_name(&service, short)) {
            continue;
        }
        for address in addresses(&service) {
            if !found.contains(&address) {
                found.push(address);
            }
        }
        // Of several computers, the slowest to answer may be the right one.
        if short.is_some() && !found.is_empty() {
            deadline = deadline.min(Instant::now() + SETTLE_TIME);
        }
    }
    // IPv4 first: its addresses need no scope, whichever network interface is used.
    found.sort_by_key(SocketAddr::is_ipv6);
    found.truncate(MAX_ADDRESSES);
    Ok(found)
}

/// Returns whether the service has this instance name, ignoring case (RFC 6762, section 16).
fn has_name(service: &ResolvedService, short: &str) -> bool {
    let name = service.get_fullname().split('.').next();
    name.is_some_and(|name| name.eq_ignore_ascii_case(short))
}

/// Returns the announced addresses without loopback ones, which would lead to this device itself.
fn addresses(service: &ResolvedService) -> impl Iterator<Item = SocketAddr> {
    let port = service.get_port();
    let all = service
        .get_addresses()
        .iter()
        .map(move |address| match address {
            ScopedIp::V6(v6) if v6.addr().is_unicast_link_local() => {
                SocketAddrV6::new(*v6.addr(), port, 0, v6.scope_id().index).into()
            }
            other => SocketAddr::new(other.to_ip_addr(), port),
        });
    all.filter(|address| !address.ip().is_loopback())
}

fn discovery_error(error: mdns_sd::Error) -> PairingError {
    PairingError::Discovery {
        detail: error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Needs a network that forwards multicast. `HOLEBOOK_NO_MULTICAST=1` skips the test where
    /// there is none.
    #[test]
    fn an_announced_computer_is_found_by_its_key() {
        let has_network = !crate::local_addresses(1).is_empty();
        if !has_network || std::env::var_os("HOLEBOOK_NO_MULTICAST").is_some() {
            return;
        }
        let (one, other) = (Fingerprint::of_key(b"one"), Fingerprint::of_key(b"other"));
        let announced = announce(&one, 29_376).unwrap();
        let found = find(Some(&one), Duration::from_secs(10));
        assert!(!found.is_empty());
        let usable = |address: &SocketAddr| address.port() == 29_376 && !address.ip().is_loopback();
        assert!(found.iter().all(usable), "{found:?}");
        assert_eq!(find(Some(&other), Duration::from_secs(1)), []);
        let all = find(None, Duration::from_secs(4));
        assert!(found.iter().all(|address| all.contains(address)), "{all:?}");
        drop(announced);
        assert_eq!(
            find(Some(&one), Duration::from_secs(1)),
            [],
            "it was withdrawn"
        );
    }
}
