//! Pairing codes: how a device that has never met the shop computer finds it and knows it again.
//!
//! A code is either a link, also shown as a QR code, with addresses, the shop computer's key, and a
//! long secret; or nine digits to type, which are too few for any of these. The device finds the
//! shop computer by discovery or by an address typed before the digits, and a password-authenticated
//! key exchange ([`crate::exchange`]) proves to each that the other knows the digits.

mod link;
mod typed;

#[cfg(feature = "server")]
pub(crate) use link::write as write_link;
pub use typed::{DIGITS, TypedCode};

use crate::Fingerprint;
use crate::secret::Secret;
use std::net::SocketAddr;
use std::str::FromStr;

/// The secret in a link: 128 bits.
pub(crate) type LinkSecret = Secret<16>;

/// A pairing code parsed from a link or from what was typed. `Debug` hides the secrets.
#[derive(Debug, Clone)]
pub enum PairingCode {
    /// A link, opened or scanned.
    Link(LinkCode),
    /// Digits, typed.
    Typed {
        /// The address typed before the digits.
        address: Option<SocketAddr>,
        /// The digits.
        digits: TypedCode,
    },
}

/// What a pairing link holds.
#[derive(Debug, Clone)]
pub struct LinkCode {
    pub(crate) addresses: Vec<SocketAddr>,
    pub(crate) fingerprint: Fingerprint,
    pub(crate) secret: LinkSecret,
}

impl PairingCode {
    /// Returns the addresses of the shop computer in the code.
    #[must_use]
    pub fn addresses(&self) -> &[SocketAddr] {
        match self {
            Self::Link(link) => &link.addresses,
            Self::Typed { address, .. } => address.as_slice(),
        }
    }
}

/// Why a text is not a valid pairing code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// The text is empty.
    #[error(
        "no pairing code was entered; scan the QR code on the shop computer, or type the {DIGITS} digits below it"
    )]
    Empty,
    /// A part is neither digits nor an address.
    #[error(
        "\"{part}\" is not part of a pairing code; type the {DIGITS} digits on the shop computer, with its address before them if it is not found"
    )]
    NotDigits {
        /// What was typed, shortened.
        part: String,
    },
    /// The number of digits is wrong.
    #[error(
        "a pairing code has {DIGITS} digits, and {found} were entered; check for a missing one"
    )]
    DigitCount {
        /// How many digits were entered.
        found: usize,
    },
    /// The text is a link, but not a pairing link.
    #[error(
        "this is not a pairing link; scan the QR code on the shop computer, or type the digits below it"
    )]
    NotAPairingLink,
    /// A part of the link is missing or damaged.
    #[error(
        "the {part} in the pairing link is missing or cut off; scan the QR code again, or type the digits below it"
    )]
    MalformedLink {
        /// The part's name for people.
        part: &'static str,
    },
    /// A newer version made the code.
    #[error("a newer Holebook made this pairing code; update this one, then try again")]
    NewerVersion,
}

impl FromStr for PairingCode {
    type Err = CodeError;

    /// Parses a link, or nine digits with any spaces and hyphens, after an address if one was typed:
    /// `192.168.1.20 482 913 077`.
    fn from_str(text: &str) -> Result<Self, CodeError> {
        if text.trim().is_empty() {
            return Err(CodeError::Empty);
        }
        if text.contains("://") {
            return link::read(text.trim()).map(Self::Link);
        }
        typed::read(text)
    }
}
