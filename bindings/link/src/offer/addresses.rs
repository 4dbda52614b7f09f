//! The addresses at which other devices may find this computer.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

/// More are of no use in a code.
const MOST: usize = 6;

/// This computer's own addresses on its networks, with `port`; the likeliest first, none where it is on no network.
///
/// Private IPv4 addresses come before other IPv4 ones, then IPv6. Those that only this computer can reach, or that mean
/// something else on each network card, are left out.
#[must_use]
pub fn own_addresses(port: u16) -> Vec<SocketAddr> {
    let cards = if_addrs::get_if_addrs().unwrap_or_default();
    let main = main_address();
    let mut addresses: Vec<IpAddr> = cards.iter().map(if_addrs::Interface::ip).collect();
    addresses.retain(reaches_others);
    addresses.sort_by_key(|address| (rank(address), Some(*address) != main));
    addresses.dedup();
    addresses.truncate(MOST);
    let all = addresses.into_iter();
    all.map(|address| SocketAddr::new(address, port)).collect()
}

fn reaches_others(address: &IpAddr) -> bool {
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

/// The address from which this computer would talk to others. Nothing is sent: the system only chooses the way. The
/// address asked about is one of those kept for documentation (RFC 5737).
fn main_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn only_addresses_that_others_can_use_are_given() {
        for unusable in ["127.0.0.1", "169.254.3.4", "0.0.0.0", "::1", "fe80::1"] {
            assert!(!reaches_others(&unusable.parse().unwrap()), "{unusable}");
        }
        let mut usable = ["2001:db8::1", "fd00::1", "198.51.100.7", "10.0.0.2"];
        usable.sort_by_key(|address| rank(&address.parse().unwrap()));
        assert_eq!(
            usable,
            ["10.0.0.2", "198.51.100.7", "fd00::1", "2001:db8::1"]
        );
        let own = own_addresses(7);
        assert!(
            own.iter()
                .all(|address| reaches_others(&address.ip()) && address.port() == 7)
        );
    }
}
