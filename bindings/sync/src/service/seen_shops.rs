//! Shop computers seen by the phone's own discovery.

use super::finder::ShopFinder;
use crate::Fingerprint;
use std::net::SocketAddr;
use std::sync::{Mutex, PoisonError};

/// The addresses seen last, each with the name that was announced.
#[derive(Default)]
pub struct SeenShops(Mutex<Vec<(String, SocketAddr)>>);

impl SeenShops {
    /// Replaces what was seen before by announced names with their addresses. An address that cannot be parsed is
    /// skipped: anyone on the network may announce anything.
    pub fn set<'a>(&self, seen: impl IntoIterator<Item = (&'a str, &'a str)>) {
        let parse = |(name, address): (&str, &str)| Some((name.to_owned(), address.parse().ok()?));
        *self.lock() = seen.into_iter().filter_map(parse).collect();
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, Vec<(String, SocketAddr)>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl ShopFinder for SeenShops {
    /// Service names are compared without regard to case (RFC 6762, section 16).
    fn find(&self, fingerprint: &Fingerprint) -> Vec<SocketAddr> {
        let wanted = fingerprint.short();
        let seen = self.lock();
        let matching = seen
            .iter()
            .filter(|(name, _)| name.eq_ignore_ascii_case(&wanted));
        matching.map(|(_, address)| *address).collect()
    }

    fn seen(&self) -> Vec<SocketAddr> {
        self.lock().iter().map(|(_, address)| *address).collect()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_addresses_seen_last_are_found_by_the_announced_name() {
        // The fingerprint's first characters are the announced name.
        let fingerprint = "AbCdEfGhAbCdEfGhAbCdEfGhAbCdEfGhAbCdEfGhAbA";
        let fingerprint: Fingerprint = fingerprint.parse().unwrap();
        let shops = SeenShops::default();
        shops.set([("AbCdEfGh", "10.0.0.9:1")]);
        let addresses = ["192.168.1.20:29376", "[fe80::1%3]:29376"];
        let unreadable = ["[fe80::1%wlan0]:29376", "shop.local:29376", "", "10.0.0.9"];
        let same = addresses.iter().chain(&unreadable);
        let same = same.map(|address| ("abcdefgh", *address));
        shops.set(same.chain([("another1", "192.168.1.30:29376")]));
        let found = shops.find(&fingerprint);
        let found: Vec<String> = found.iter().map(ToString::to_string).collect();
        assert_eq!(found, addresses);
        assert_eq!(shops.seen().len(), 3);
    }
}
