//! Pairing codes: the shop computer's address, its key, and a secret that pairs one device.
//!
//! A code is either a link, also shown as a QR code, or words that can be read aloud and typed.

mod checksum;
mod link;
mod word_list;
mod words;

#[cfg(feature = "server")]
pub(crate) use link::write as write_link;
pub use words::{WORDS, Words};
#[cfg(feature = "server")]
pub(crate) use words::{generate_secret as generate_words_secret, write as write_words};

use crate::key::Pin;
use crate::secret::Secret;
use std::net::SocketAddr;
use std::str::FromStr;

/// The secret in a link: 128 bits.
pub(crate) type LinkSecret = Secret<16>;
/// The secret in the words: 44 bits, after four zero bits.
pub(crate) type WordsSecret = Secret<6>;

/// A pairing code parsed from a link or from words. `Debug` hides the secret.
#[derive(Debug, Clone)]
pub struct PairingCode {
    pub(crate) addresses: Vec<SocketAddr>,
    pub(crate) pin: Pin,
    pub(crate) secret: CodeSecret,
}

/// The secret of a pairing code, which differs between the link and the words.
#[derive(Debug, Clone)]
pub(crate) enum CodeSecret {
    Link(LinkSecret),
    Words(WordsSecret),
}

impl CodeSecret {
    pub fn to_text(&self) -> String {
        match self {
            Self::Link(secret) => secret.to_text(),
            Self::Words(secret) => secret.to_text(),
        }
    }
}

impl PairingCode {
    /// Returns the addresses of the shop computer in the code.
    #[must_use]
    pub fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }
}

/// Why a text is not a valid pairing code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// The text is empty.
    #[error(
        "no pairing code was entered; type the {WORDS} words, or scan the QR code on the shop computer"
    )]
    Empty,
    /// A word is not on the list.
    #[error(
        "word {position}, \"{word}\", is not a pairing code word; check it again, the first four letters are enough"
    )]
    UnknownWord {
        /// Its position, from 1.
        position: usize,
        /// What was typed, shortened.
        word: String,
    },
    /// The number of words is wrong.
    #[error(
        "a pairing code has {WORDS} words, and {found} were entered; check for a missing or repeated word"
    )]
    WordCount {
        /// How many words were entered.
        found: usize,
    },
    /// All words are on the list, but the checksum is wrong.
    #[error(
        "a word is wrong or out of order; compare them one by one with the words on the shop computer"
    )]
    Checksum,
    /// The text is a link, but not a pairing link.
    #[error(
        "this is not a pairing link; scan the QR code on the shop computer, or type the words below it"
    )]
    NotAPairingLink,
    /// A part of the link is missing or damaged.
    #[error(
        "the {part} in the pairing link is missing or cut off; scan the QR code again, or type the words below it"
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

    /// Parses a link or words. Words may be in any case, separated by spaces, hyphens, commas, or
    /// numbers, and shortened to their first four letters.
    fn from_str(text: &str) -> Result<Self, CodeError> {
        if text.trim().is_empty() {
            return Err(CodeError::Empty);
        }
        if text.contains("://") {
            return link::read(text.trim());
        }
        words::read(text)
    }
}
