//! Where the phone's own finder saw shop computers. It is only where to try: who is there, the pinned key shows.

use crate::pairing::SeenShop;
use holebook_link::Fingerprint;
use parking_lot::RwLock;
use std::net::SocketAddr;

/// What the finder saw last: the name that was announced, and an address.
#[derive(Default)]
pub(super) struct Seen(RwLock<Vec<(String, SocketAddr)>>);

impl Seen {
    /// Takes the place of what was seen before. An address that cannot be read is passed over: anybody on the network may
    /// announce anything.
    pub fn see(&self, shops: &[SeenShop]) {
        let mut seen = Vec::new();
        for SeenShop { name, addresses } in shops {
            let read = addresses.iter().filter_map(|address| address.parse().ok());
            seen.extend(read.map(|address| (name.clone(), address)));
        }
        *self.0.write() = seen;
    }

    /// Where the shop computer with this key may be. Names of services are compared without regard to case (RFC 6762,
    /// section 16).
    pub fn of(&self, fingerprint: &Fingerprint) -> Vec<SocketAddr> {
        let wanted = fingerprint.short();
        let seen = self.0.read();
        let its = seen
            .iter()
            .filter(|(name, _)| name.eq_ignore_ascii_case(&wanted));
        its.map(|(_, address)| *address).collect()
    }

    /// Where any may be.
    pub fn all(&self) -> Vec<SocketAddr> {
        self.0.read().iter().map(|(_, address)| *address).collect()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn seen(name: &str, addresses: &[&str]) -> SeenShop {
        SeenShop {
            name: name.to_owned(),
            addresses: addresses.iter().map(ToString::to_string).collect(),
        }
    }

    #[test]
    fn what_was_seen_last_is_tried_for_the_shop_of_that_name() {
        // The fingerprint's first characters are the name.
        let fingerprint = "AbCdEfGhAbCdEfGhAbCdEfGhAbCdEfGhAbCdEfGhAbA";
        let fingerprint: Fingerprint = fingerprint.parse().unwrap();
        let places = Seen::default();
        places.see(&[seen("AbCdEfGh", &["10.0.0.9:1"])]);
        let addresses = ["192.168.1.20:29376", "[fe80::1%3]:29376"];
        let unread = ["[fe80::1%wlan0]:29376", "shop.local:29376", "", "10.0.0.9"];
        places.see(&[
            seen("abcdefgh", &addresses),
            seen("abcdefgh", &unread),
            seen("another1", &["192.168.1.30:29376"]),
        ]);
        let found = places.of(&fingerprint);
        let found: Vec<String> = found.iter().map(ToString::to_string).collect();
        assert_eq!(found, addresses);
        assert_eq!(places.all().len(), 3);
    }
}
