//! Pairing with a shop computer, and finding it again.

use crate::border::Out;
use crate::error::NotebookError;
use crate::meet::Place;
use crate::notebook::Notebook;
use crate::time::Moment;
use chrono::Local;
use holebook_link as link;

/// A shop computer that this device is paired with.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct PairedShop {
    /// What tells it from all others; it is its shelf's id too.
    pub id: String,
    /// What it called itself when this device was paired with it.
    pub name: String,
    /// The name under which it announces itself on its networks, by which the phone's own finder knows it again. It is the start
    /// of its key's fingerprint, and no secret.
    pub announced_as: String,
    /// Where it has been, such as `192.168.1.20:29376`; first where it answered last.
    pub addresses: Vec<String>,
    /// When this device was paired with it.
    pub paired_at: Moment,
    /// When an exchange with it last came to its end.
    pub last_exchange_at: Option<Moment>,
}

impl Out for link::Shop {
    type Face = PairedShop;
    fn out(self) -> PairedShop {
        let here = |at: chrono::DateTime<chrono::Utc>| at.with_timezone(&Local).fixed_offset();
        PairedShop {
            id: self.shelf_id(),
            announced_as: self.fingerprint.short(),
            name: self.name,
            addresses: self.addresses.iter().map(ToString::to_string).collect(),
            paired_at: here(self.paired_at).out(),
            last_exchange_at: self.last_exchange_at.map(here).out(),
        }
    }
}

/// Where the phone's own finder saw a service of the shop computer's kind.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct SeenShop {
    /// The name that it was announced under.
    pub name: String,
    /// Its addresses in numbers, with the port: `192.168.1.20:29376`, `[fd00::12]:29376`, or `[fe80::1%3]:29376` with the number of
    /// the network that it holds on.
    pub addresses: Vec<String>,
}

/// The kind of service that a shop computer announces itself as (RFC 6763), for the phone's own finder to look for.
#[uniffi::export]
pub fn shop_service_type() -> String {
    link::SERVICE.to_owned()
}

#[uniffi::export]
impl Notebook {
    /// Pairs this device with the shop computer that `code` is from: its words as a person typed them (in any case, four letters
    /// of each are enough), or its `holebook://pair` link as it was scanned. The device calls itself by its name in the settings.
    /// Where it was paired with that shop computer before, the new pairing takes the place of the old.
    ///
    /// Blocks for a fraction of a second, or for some ten seconds where the shop computer does not answer. Fails with `Pairing`,
    /// whose trouble says what to offer: the code cannot be read, is unknown, used or over, the shop computer is not reached, or
    /// another computer answers in its place, which is told nothing.
    pub fn pair(&self, code: String) -> Result<PairedShop, NotebookError> {
        self.meet("pair", |meet| Ok(meet.pair(&code)?.out()))
    }

    /// The shop computers that this device is paired with, the last paired first. Blocks. Fails with `Pairing` where what is
    /// kept of pairings cannot be read.
    pub fn shops(&self) -> Result<Vec<PairedShop>, NotebookError> {
        self.meet("shops", |meet| Ok(meet.shops()?.out()))
    }

    /// Lets go of a pairing: this device exchanges with that shop computer no more until it is paired again. There it is still
    /// listed, until it is revoked. Blocks until it is on the disk. Fails with `Pairing` where it is not paired.
    pub fn forget_shop(&self, id: String) -> Result<(), NotebookError> {
        self.meet("forget_shop", |meet| {
            meet.forget(&Place::Shop(meet.shop(&id)?))
        })
    }

    /// Says where the phone's own finder sees shop computers now, in place of what it said before. Such addresses are tried
    /// where a shop computer does not answer where it was, and when pairing. They are never trusted: nothing is sent before the
    /// computer there has shown the key that this device was paired with. An address that cannot be read is passed over. Does
    /// not block.
    pub fn see_shops_at(&self, shops: Vec<SeenShop>) -> Result<(), NotebookError> {
        self.meet("see_shops_at", |meet| {
            meet.see(&shops);
            Ok(())
        })
    }
}
