//! Sync for both carriers: the remotes of a notebook (shop computer, folder, bucket), pairing, and background runs.
//!
//! [`service::SyncService`] is what a carrier creates for an open notebook: it knows its remotes, runs syncs in the
//! background, and is the screens' `SyncBackend`.
//!
//! A device pairs once: it reads a [`PairingCode`] that the shop computer shows as a link, a QR code, or nine digits,
//! proves that it has the code to the computer whose key belongs to it, and receives a token ([`pair`]). From then on [`LanRemote`] is a [`Remote`](holebook_core::sync::Remote) like any other. Everything goes
//! over TLS 1.3 with the key pinned: no name, date, or third party is trusted, and nothing is sent before the key was
//! verified.
//!
//! Features: `server` for the shop computer, which creates codes, serves its notebook, and lists and revokes paired
//! devices; `discover` to announce and find it by multicast DNS, for which a phone has its own system; `bucket` for
//! S3-compatible stores and WebDAV folders.

// Much of the server's code is shared with the client; the linker drops it from a phone's library.
#![cfg_attr(not(feature = "server"), allow(dead_code))]

#[cfg(feature = "bucket")]
pub mod bucket;
mod client;
mod clock;
mod code;
#[cfg(feature = "discover")]
pub mod discover;
mod error;
mod exchange;
pub mod http;
#[cfg(feature = "server")]
pub mod http_server;
mod interrupt;
mod key;
#[cfg(all(feature = "server", feature = "discover"))]
pub mod lan_service;
mod names;
#[cfg(feature = "server")]
mod offer;
mod pairing_store;
mod pairing_store_cell;
mod secret;
#[cfg(feature = "server")]
pub mod server;
pub mod service;
mod wire;

pub use client::{LanRemote, pair};
pub use clock::Clock;
pub use code::{CodeError, DIGITS, LinkCode, PairingCode, TypedCode};
pub use error::PairingError;
pub use key::{Fingerprint, InvalidFingerprint};
pub use names::MAX_CHARS as MAX_NAME_CHARS;
#[cfg(feature = "server")]
pub use offer::{Background, PairingOffer, create_offer, local_addresses};
#[cfg(feature = "server")]
pub use pairing_store::{DeviceCounts, LastSync, OfferState, PairedDevice};
pub use pairing_store::{PairedShop, PairingStore};
pub use pairing_store_cell::PairingStoreCell;

/// The default port of the shop computer, in a range (29169 to 29998) of IANA's service name and port number registry
/// where nothing is assigned, next to the port of the screens.
pub const PORT: u16 = 29_376;

/// The service type (RFC 6763) under which a shop computer announces itself, with [`Fingerprint::short`] as its name.
pub const SERVICE: &str = "_holebook._tcp";
