//! Pairing offers: codes as the shop computer creates and shows them, each valid for ten minutes
//! and one device.

mod addresses;
mod qr;

pub use addresses::local_addresses;
pub use qr::Background;

use crate::PairingError;
use crate::code::{LinkSecret, Words, generate_words_secret, write_link, write_words};
use crate::key::PREFIX_BYTES;
use crate::pairing_store::PairingStore;
use chrono::{DateTime, Utc};
use std::net::SocketAddr;

/// A newly created pairing code. Only this value has its secrets; the store keeps their SHA-256.
///
/// Any device that uses it before it expires can read and write the notebook from then on, so show
/// it only to the person who pairs.
#[derive(Clone)]
pub struct PairingOffer {
    id: i64,
    expires_at: DateTime<Utc>,
    addresses: Vec<SocketAddr>,
    link: String,
    words: Option<Words>,
}

/// Creates a pairing code with these addresses of this computer; see [`local_addresses`]. It
/// expires after ten minutes, one paired device, or five wrong codes.
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
    let (link_secret, words_secret) = (LinkSecret::generate()?, generate_words_secret()?);
    // The words have room for one IPv4 address.
    let ipv4 = addresses.iter().find_map(|address| match address {
        SocketAddr::V4(ipv4) => Some(*ipv4),
        SocketAddr::V6(_) => None,
    });
    let prefix: [u8; PREFIX_BYTES] = std::array::from_fn(|at| fingerprint.0[at]);
    let words = ipv4.map(|ipv4| write_words(ipv4, prefix, &words_secret));
    let words_digest = words.as_ref().map(|_| words_secret.digest());
    let (id, expires_at) = store.save_offer(&link_secret.digest(), words_digest.as_ref())?;
    Ok(PairingOffer {
        id,
        expires_at,
        addresses: addresses.to_vec(),
        link: write_link(addresses, &fingerprint, &link_secret),
        words,
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

    /// Returns the words, which have their own secret; `None` if this computer has no IPv4 address.
    #[must_use]
    pub fn words(&self) -> Option<&Words> {
        self.words.as_ref()
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
