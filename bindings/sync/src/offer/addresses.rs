//! Addresses at which other devices can reach this computer.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

/// The most addresses in a pairing code.
const MAX_ADDRESSES: usize = 6;

/// Returns the addresses of this computer on its networks, with `port`, most likely first; empty if
/// it is on no network.
///
/// Private IPv4 addresses come before other IPv4 addresses, then IPv6. Within each group, the
/// interface of the default route comes first. Loopback and link-local addresses are left out.
#[must_use]
pub fn local_addresses(port: u16) -> Vec<SocketAddr> {
    let interfaces = if_addrs::get_if_addrs().unwrap_or_default();
    let main = default_route_address();
    let mut addresses: Vec<IpAddr> = interfaces.iter().map(if_addrs::Interface::ip).collect();
    addresses.retain(is_reachable);
    addresses.sort_by_key(|address| (rank(address), Some(*address) != main));
    addresses.dedup();
    addresses.truncate(MAX_ADDRESSES);
    let all = addresses.into_iter();
    all.map(|address| SocketAddr::new(address, port)).collect()
}

fn is_reachable(address: &IpAddr) -> bool {
    match address {
        IpAddr::V4(v4) => !(v4.is_loopback() || v4.is_link_local() || v4.is_unspecified()),
        IpAddr::V6(v6) => !(v6.is_loopback() || v6.is_unicast_link_local() || v6.is_unspecified()),
    }
}

fn rank(address: &IpAddr) -> u8 {
    match address {
        IpAddr::V4(v4) if v4.is_private() => 0,
        IpAddr::V4(_) => 1,
        IpAddr::V6(v6) if v6.is_unique_local() => 2,
        IpAddr::V6(_) => 3,
    }
}

/// Returns the local address of the default route. Nothing is sent: connecting a UDP socket only
/// selects the route. The destination is reserved for documentation (RFC 5737).
fn default_route_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn only_addresses_that_others_can_reach_are_returned() {
        for unusable in ["127.0.0.1", "169.254.3.4", "0.0.0.0", "::1", "fe80::1"] {
            assert!(!is_reachable(&unusable.parse().unwrap()), "{unusable}");
        }
        let mut usable = ["2001:db8::1", "fd00::1", "198.51.100.7", "10.0.0.2"];
        usable.sort_by_key(|address| rank(&address.parse().unwrap()));
        assert_eq!(
            usable,
            ["10.0.0.2", "198.51.100.7", "fd00::1", "2001:db8::1"]
        );
        let own = local_addresses(7);
        assert!(
            own.iter()
                .all(|address| is_reachable(&address.ip()) && address.port() == 7)
        );
    }
}
