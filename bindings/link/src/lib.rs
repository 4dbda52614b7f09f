//! The shop computer's shelf over the local network: pairing, and both ends of the wire.
//!
//! A device is paired once: it reads a [`PairCode`] that the shop computer shows as a link, a QR code or words, checks that
//! the computer that answers has the key that the code names, shows the code's secret and gets a token for it ([`pair`]).
//! Then [`LanShelf`] is a [`Shelf`](holebook_core::exchange::Shelf) like any other. All goes over TLS 1.3 with the key
//! pinned: no name, no date and no third party is trusted, and nothing is sent before the key was seen to be the right one.
//!
//! With the feature `server` a computer can be the shop computer: `offer` makes codes, `server::serve` gives the notebook as
//! a shelf to the devices that are paired, and [`Store`] lists and revokes them. With `discover` it can be found, and find,
//! where its address changed; a phone has its system for that and hands the addresses to [`LanShelf::open`].

// Much of what only the shop computer does is shared with what reads it back; a phone's library drops it when it is linked.
#![cfg_attr(not(feature = "server"), allow(dead_code))]

mod client;
mod clock;
mod code;
#[cfg(feature = "discover")]
pub mod discover;
mod error;
pub mod http;
mod key;
mod names;
#[cfg(feature = "server")]
mod offer;
mod pairings;
mod secret;
#[cfg(feature = "server")]
pub mod server;
mod store;
mod wire;

pub use client::{LanShelf, pair};
pub use clock::Clock;
pub use code::{CodeError, PairCode, WORDS, Words};
pub use error::LinkError;
pub use key::{Fingerprint, NotAFingerprint};
pub use names::LONGEST as LONGEST_NAME;
#[cfg(feature = "server")]
pub use offer::{Ground, Offer, offer, own_addresses};
pub use pairings::Pairings;
#[cfg(feature = "server")]
pub use store::{Device, LastExchange, OfferState, Passed};
pub use store::{Shop, Store};

/// The port that the shop computer listens on unless it is told another. It lies in a stretch (29169 to 29998) of IANA's
/// service name and port number registry where nothing is assigned, and beside the one of the screens.
pub const PORT: u16 = 29_376;

/// The kind of service (RFC 6763) that a shop computer is announced as on its networks, under a name that is its
/// [`Fingerprint::short`]. A phone looks for it by its own system.
pub const SERVICE: &str = "_holebook._tcp";
