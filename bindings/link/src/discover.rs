//! Being found, and finding the shop computer, where its address changed (multicast DNS, RFC 6762 and 6763).
//!
//! What is announced names nobody: the kind of service, the port, and the first characters of the key's fingerprint. What
//! is found is only an address to try; whether the right computer is there, its key shows.

use crate::{Fingerprint, LinkError, SERVICE};
use mdns_sd::{ResolvedService, ScopedIp, ServiceDaemon, ServiceEvent, ServiceInfo};
use std::net::{SocketAddr, SocketAddrV6};
use std::time::{Duration, Instant};

/// More answers than this are not listened to.
const MOST: usize = 16;
/// How much longer is listened once the first address was found, for the same computer's others.
const MORE: Duration = Duration::from_millis(300);

/// Announces this computer as long as it is kept.
pub struct Announced {
    daemon: ServiceDaemon,
    name: String,
}

/// Announces that the shop computer with this key listens on `port`, on all networks that it is on, also on those that it
/// comes to later.
///
/// # Errors
/// [`LinkError::Discovery`].
pub fn announce(fingerprint: &Fingerprint, port: u16) -> Result<Announced, LinkError> {
    let short = fingerprint.short();
    let host = format!("holebook-{}.local.", plain(&short));
    let info = ServiceInfo::new(&kind(), &short, &host, "", port, None).map_err(failed)?;
    let info = info.enable_addr_auto();
    let name = info.get_fullname().to_owned();
    let daemon = ServiceDaemon::new().map_err(failed)?;
    daemon.register(info).map_err(failed)?;
    Ok(Announced { daemon, name })
}

/// What shop computers are announced as, where it is asked for.
fn kind() -> String {
    format!("{SERVICE}.local.")
}

/// Letters that may stand in the name of a host.
fn plain(text: &str) -> String {
    let letters = text.bytes().map(|byte| format!("{byte:02x}"));
    letters.collect()
}

impl Drop for Announced {
    /// Takes the announcement back, where somebody still listens.
    fn drop(&mut self) {
        if let Ok(done) = self.daemon.unregister(&self.name) {
            let _ = done.recv_timeout(Duration::from_secs(1));
        }
        let _ = self.daemon.shutdown();
    }
}

/// Looks for the shop computer with the key of this fingerprint, for as long as `patience` where it does not answer; gives
/// the addresses at which it may be, none where nobody answered. Blocks.
#[must_use]
pub fn find(fingerprint: &Fingerprint, patience: Duration) -> Vec<SocketAddr> {
    let Ok(daemon) = ServiceDaemon::new() else {
        return Vec::new();
    };
    let found = listen(&daemon, &fingerprint.short(), patience).unwrap_or_default();
    let _ = daemon.shutdown();
    found
}

fn listen(
    daemon: &ServiceDaemon,
    short: &str,
    patience: Duration,
) -> Result<Vec<SocketAddr>, mdns_sd::Error> {
    let events = daemon.browse(&kind())?;
    let mut until = Instant::now() + patience;
    let mut found: Vec<SocketAddr> = Vec::new();
    while found.len() < MOST {
        let Ok(event) = events.recv_deadline(until) else {
            break;
        };
        let ServiceEvent::ServiceResolved(service) = event else {
            continue;
        };
        if !is_named(&service, short) {
            continue;
        }
        for address in addresses(&service) {
            if !found.contains(&address) {
                found.push(address);
            }
        }
        if !found.is_empty() {
            until = until.min(Instant::now() + MORE);
        }
    }
    // Those of the older kind first: they are the same on all of this device's networks.
    found.sort_by_key(SocketAddr::is_ipv6);
    found.truncate(MOST);
    Ok(found)
}

/// Names of services are compared without regard to case (RFC 6762, section 16).
fn is_named(service: &ResolvedService, short: &str) -> bool {
    let name = service.get_fullname().split('.').next();
    name.is_some_and(|name| name.eq_ignore_ascii_case(short))
}

/// Where it says that it is; an address that means this very device is none of another's.
fn addresses(service: &ResolvedService) -> impl Iterator<Item = SocketAddr> {
    let port = service.get_port();
    let all = service
        .get_addresses()
        .iter()
        .map(move |found| match found {
            ScopedIp::V6(v6) if v6.addr().is_unicast_link_local() => {
                SocketAddrV6::new(*v6.addr(), port, 0, v6.scope_id().index).into()
            }
            other => SocketAddr::new(other.to_ip_addr(), port),
        });
    all.filter(|address| !address.ip().is_loopback())
}

fn failed(error: mdns_sd::Error) -> LinkError {
    LinkError::Discovery {
        detail: error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Needs a network that lets multicast through, as a shop's does. `HOLEBOOK_NO_MULTICAST=1` says that there is none.
    #[test]
    fn a_computer_that_is_announced_is_found_by_its_key() {
        let on_a_network = !crate::own_addresses(1).is_empty();
        if !on_a_network || std::env::var_os("HOLEBOOK_NO_MULTICAST").is_some() {
            return;
        }
        let (one, other) = (Fingerprint::of_key(b"one"), Fingerprint::of_key(b"other"));
        let announced = announce(&one, 29_376).unwrap();
        let found = find(&one, Duration::from_secs(10));
        assert!(!found.is_empty());
        let usable = |address: &SocketAddr| address.port() == 29_376 && !address.ip().is_loopback();
        assert!(found.iter().all(usable), "{found:?}");
        assert_eq!(find(&other, Duration::from_secs(1)), []);
        drop(announced);
        assert_eq!(find(&one, Duration::from_secs(1)), [], "it was taken back");
    }
}
