//! Pairing offers: codes as the shop computer creates and shows them, each valid for ten minutes
//! and one device.

mod addresses;
mod qr;

pub use addresses::local_addresses;
pub use qr::Background;

use crate::code::{LinkSecret, TypedCode, write_link};
use crate::pairing_store::PairingStore;
use crate::{PORT, PairingError};
use chrono::{DateTime, Utc};
use std::net::SocketAddr;

/// A newly created pairing code. Only this value has the link's secret; the store keeps its SHA-256.
/// The digits to type are in the store, since they change after too many wrong guesses: see
/// [`OfferState`](crate::OfferState).
///
/// Any device that uses it before it expires can read and write the notebook from then on, so show
/// it only to the person who pairs.
#[derive(Clone)]
pub struct PairingOffer {
    id: i64,
    expires_at: DateTime<Utc>,
    addresses: Vec<SocketAddr>,
    link: String,
}

/// Creates a pairing code with these addresses of this computer; see [`local_addresses`]. It
/// expires after ten minutes or one paired device, and replaces the code before.
///
/// # Errors
/// [`PairingError::NoNetwork`] if there is no address, and if the code cannot be saved.
pub fn create_offer(
    store: &PairingStore,
    addresses: &[SocketAddr],
) -> Result<PairingOffer, PairingError> {
    if addresses.is_empty() {
        return Err(PairingError::NoNetwork);
    }
    let fingerprint = store.fingerprint()?;
    let link_secret = LinkSecret::generate()?;
    let (id, expires_at) = store.save_offer(&link_secret.digest(), &TypedCode::generate()?)?;
    Ok(PairingOffer {
        id,
        expires_at,
        addresses: addresses.to_vec(),
        link: write_link(addresses, &fingerprint, &link_secret),
    })
}

impl PairingOffer {
    /// Returns its number, for [`PairingStore::offer_state`].
    #[must_use]
    pub fn id(&self) -> i64 {
        self.id
    }

    /// Returns when it expires.
    #[must_use]
    pub fn expires_at(&self) -> DateTime<Utc> {
        self.expires_at
    }

    /// Returns the addresses in the code.
    #[must_use]
    pub fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }

    /// Returns the link, `holebook://pair?..`.
    #[must_use]
    pub fn link(&self) -> &str {
        &self.link
    }

    /// Returns the address to type before the digits on a device that does not find this computer:
    /// `192.168.1.20`, with the port unless it is the usual one.
    #[must_use]
    pub fn typed_address(&self) -> String {
        match self.addresses.first() {
            Some(address) if address.port() == PORT => address.ip().to_string(),
            Some(address) => address.to_string(),
            None => String::new(),
        }
    }

    /// Returns the link as a QR code, an SVG image without styles or scripts that scales to its
    /// container.
    #[must_use]
    pub fn qr_svg(&self) -> String {
        qr::svg(&self.link)
    }

    /// Returns the link as a QR code of half-block characters for a terminal with this background.
    /// Each line ends with a line break.
    #[must_use]
    pub fn qr_text(&self, background: Background) -> String {
        qr::text(&self.link, background)
    }
}

impl std::fmt::Debug for PairingOffer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { id, expires_at, .. } = self;
        write!(f, "PairingOffer({id}, expires {expires_at})")
    }
}
