//! Offering to pair: a code that is good for ten minutes and for one device.

mod addresses;
mod square;

pub use addresses::own_addresses;
pub use square::Ground;

use crate::LinkError;
use crate::code::{LinkSecret, Words, fresh_words_secret, write_link, write_words};
use crate::key::START;
use crate::store::Store;
use chrono::{DateTime, Utc};
use std::net::SocketAddr;

/// A pairing code that was just made. Only here is it whole: what is kept of its secrets is their SHA-256.
///
/// Whoever has it within its time can read and write the notebook from then on, so it is for one person's eyes.
#[derive(Clone)]
pub struct Offer {
    id: i64,
    until: DateTime<Utc>,
    addresses: Vec<SocketAddr>,
    link: String,
    words: Option<Words>,
}

/// Makes a code by which a device finds this computer at `addresses`; see [`own_addresses`]. It is good for ten minutes,
/// for one device, and until five wrong ones were tried.
///
/// # Errors
/// [`LinkError::NoNetwork`] where there is no address, and where the code cannot be kept.
pub fn offer(store: &Store, addresses: &[SocketAddr]) -> Result<Offer, LinkError> {
    if addresses.is_empty() {
        return Err(LinkError::NoNetwork);
    }
    let fingerprint = store.fingerprint()?;
    let (link_secret, words_secret) = (LinkSecret::fresh()?, fresh_words_secret()?);
    // Words have room for one address, which must be of the older kind.
    let short = addresses.iter().find_map(|address| match address {
        SocketAddr::V4(short) => Some(*short),
        SocketAddr::V6(_) => None,
    });
    let start: [u8; START] = std::array::from_fn(|at| fingerprint.0[at]);
    let words = short.map(|short| write_words(short, start, &words_secret));
    let words_digest = words.as_ref().map(|_| words_secret.digest());
    let (id, until) = store.keep_offer(&link_secret.digest(), words_digest.as_ref())?;
    Ok(Offer {
        id,
        until,
        addresses: addresses.to_vec(),
        link: write_link(addresses, &fingerprint, &link_secret),
        words,
    })
}

impl Offer {
    /// Its number, by which [`Store::offer_state`] tells what became of it.
    #[must_use]
    pub fn id(&self) -> i64 {
        self.id
    }

    /// Until when it is good.
    #[must_use]
    pub fn until(&self) -> DateTime<Utc> {
        self.until
    }

    /// The addresses that it names.
    #[must_use]
    pub fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }

    /// The link, `holebook://pair?..`.
    #[must_use]
    pub fn link(&self) -> &str {
        &self.link
    }

    /// The words, with a secret of their own; none where this computer has no IPv4 address.
    #[must_use]
    pub fn words(&self) -> Option<&Words> {
        self.words.as_ref()
    }

    /// The link as a QR code, an SVG picture without styles or scripts that scales with its place.
    #[must_use]
    pub fn square_svg(&self) -> String {
        square::svg(&self.link)
    }

    /// The link as a QR code of half blocks, for a terminal. Each line ends with a line break.
    #[must_use]
    pub fn square_text(&self, ground: Ground) -> String {
        square::text(&self.link, ground)
    }
}

impl std::fmt::Debug for Offer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { id, until, .. } = self;
        write!(f, "Offer({id}, until {until})")
    }
}
