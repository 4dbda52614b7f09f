//! Pairing with a shop computer, and finding it again.

use crate::error::NotebookError;
use crate::notebook::Notebook;
use crate::values::Timestamp;
use chrono::{DateTime, Local, Utc};

/// A shop computer that this device is paired with.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PairedShop {
    /// Its id, which is also the id of its remote.
    pub id: String,
    /// Its name when this device was paired with it.
    pub name: String,
    /// The service name under which it announces itself on its networks, for the phone's own
    /// discovery. It is the start of its key's fingerprint, and not secret.
    pub announced_as: String,
    /// Its known addresses, such as `192.168.1.20:29376`; the one that answered last comes first.
    pub addresses: Vec<String>,
    /// When this device was paired with it.
    pub paired_at: Timestamp,
    /// When a sync with it last finished.
    pub last_sync_at: Option<Timestamp>,
}

impl From<holebook_sync::PairedShop> for PairedShop {
    fn from(shop: holebook_sync::PairedShop) -> Self {
        let local = |at: DateTime<Utc>| at.with_timezone(&Local).fixed_offset();
        Self {
            id: shop.remote_id(),
            announced_as: shop.fingerprint.short(),
            name: shop.name,
            addresses: shop.addresses.iter().map(ToString::to_string).collect(),
            paired_at: local(shop.paired_at),
            last_sync_at: shop.last_sync_at.map(local),
        }
    }
}

/// A service of the shop computer's type that the phone's own discovery found.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SeenShop {
    /// The announced name.
    pub name: String,
    /// Its numeric addresses with the port: `192.168.1.20:29376`, `[fd00::12]:29376`, or
    /// `[fe80::1%3]:29376` with the number of the network interface.
    pub addresses: Vec<String>,
}

/// The service type that a shop computer announces (RFC 6763), for the phone's own discovery.
#[uniffi::export]
pub fn shop_service_type() -> String {
    holebook_sync::SERVICE.to_owned()
}

#[uniffi::export]
impl Notebook {
    /// Pairs this device with the shop computer that `code` is from: its nine digits as typed, with
    /// an address before them if it is not among the seen shops, or its `holebook://pair` link as
    /// scanned. The device uses its name from the settings. A new pairing replaces an old one with the
    /// same computer.
    ///
    /// Blocks for a fraction of a second, or some ten seconds if the shop computer does not respond.
    /// Fails with `Pairing`, whose problem says what to offer: the code is invalid, unknown, used, or
    /// expired, the shop computer cannot be reached, or another computer answers in its place, which
    /// is sent nothing.
    pub fn pair(&self, code: String) -> Result<PairedShop, NotebookError> {
        self.sync("pair", |sync| Ok(sync.remotes().pair(&code)?.into()))
    }

    /// Lists the shop computers that this device is paired with, the last paired first. Blocks.
    /// Fails with `Pairing` if the pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<PairedShop>, NotebookError> {
        self.sync("shops", |sync| {
            let shops = sync.remotes().pairings().shops()?;
            Ok(shops.into_iter().map(Into::into).collect())
        })
    }

    /// Replaces the addresses at which the phone's own discovery sees shop computers. They are tried
    /// if a shop computer does not answer at its known addresses, and when pairing. They are not
    /// trusted: nothing is sent before the computer there has proved the key that this device was
    /// paired with. An address that cannot be parsed is skipped. Does not block.
    pub fn set_seen_shops(&self, shops: Vec<SeenShop>) -> Result<(), NotebookError> {
        self.seen("set_seen_shops", |seen| {
            seen.set(shops.iter().flat_map(|shop| {
                let addresses = shop.addresses.iter();
                addresses.map(|address| (shop.name.as_str(), address.as_str()))
            }));
            Ok(())
        })
    }
}
