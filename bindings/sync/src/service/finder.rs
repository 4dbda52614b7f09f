//! Finding a shop computer whose address changed.

use crate::Fingerprint;
use std::net::SocketAddr;

/// Finds shop computers on the local network. What it returns is only where to try: the pinned key
/// decides who is there.
pub trait ShopFinder: Send + Sync {
    /// Returns addresses at which the shop computer with this key may be. May take some seconds.
    fn find(&self, fingerprint: &Fingerprint) -> Vec<SocketAddr>;

    /// Returns addresses at which shop computers were seen, without waiting.
    fn seen(&self) -> Vec<SocketAddr> {
        Vec::new()
    }

    /// Returns addresses at which any shop computer may be. May take some seconds.
    fn search(&self) -> Vec<SocketAddr> {
        self.seen()
    }
}

/// Finds shop computers by multicast DNS.
#[cfg(all(feature = "discover", feature = "server"))]
pub struct MdnsFinder;

#[cfg(all(feature = "discover", feature = "server"))]
impl ShopFinder for MdnsFinder {
    fn find(&self, fingerprint: &Fingerprint) -> Vec<SocketAddr> {
        find(Some(fingerprint))
    }

    fn search(&self) -> Vec<SocketAddr> {
        find(None)
    }
}

/// Finds a shop computer, or all. A computer on no network does not wait.
#[cfg(all(feature = "discover", feature = "server"))]
fn find(fingerprint: Option<&Fingerprint>) -> Vec<SocketAddr> {
    const TIMEOUT: std::time::Duration = std::time::Duration::from_secs(3);
    match crate::local_addresses(0).is_empty() {
        true => Vec::new(),
        false => crate::discover::find(fingerprint, TIMEOUT),
    }
}
