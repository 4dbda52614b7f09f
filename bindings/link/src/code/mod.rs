//! A pairing code: where the shop computer is, which key it has, and a secret that opens it once.
//!
//! It is given as a link, which a QR code holds too, or as words that can be read out and typed.

mod link;
mod list;
mod sealed;
mod words;

#[cfg(feature = "server")]
pub(crate) use link::write as write_link;
pub use words::{WORDS, Words};
#[cfg(feature = "server")]
pub(crate) use words::{fresh_secret as fresh_words_secret, write as write_words};

use crate::key::Pin;
use crate::secret::Secret;
use std::net::SocketAddr;
use std::str::FromStr;

/// The secret of a link: 128 bits.
pub(crate) type LinkSecret = Secret<16>;
/// The secret of the words: the last 44 bits; the first four are zero.
pub(crate) type WordsSecret = Secret<6>;

/// What was read from a link or from words. `Debug` does not show the secret.
#[derive(Debug, Clone)]
pub struct PairCode {
    pub(crate) addresses: Vec<SocketAddr>,
    pub(crate) pin: Pin,
    pub(crate) secret: CodeSecret,
}

/// The secret of one of the two forms.
#[derive(Debug, Clone)]
pub(crate) enum CodeSecret {
    Link(LinkSecret),
    Words(WordsSecret),
}

impl CodeSecret {
    pub fn text(&self) -> String {
        match self {
            Self::Link(secret) => secret.text(),
            Self::Words(secret) => secret.text(),
        }
    }
}

impl PairCode {
    /// Where the code says that the shop computer is.
    #[must_use]
    pub fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }
}

/// Why a text is no pairing code.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CodeError {
    /// Nothing was typed.
    #[error(
        "no code was given; type the {WORDS} words, or scan the square that the shop computer shows"
    )]
    Empty,
    /// A word is not on the list.
    #[error(
        "word {place}, \"{word}\", is not one that codes are made of; look at it again, its first four letters are enough"
    )]
    UnknownWord {
        /// Its place, from 1.
        place: usize,
        /// What was typed, shortened.
        word: String,
    },
    /// There are more or fewer words than a code has.
    #[error("a code has {WORDS} words, and these are {found}; see that none is missing or doubled")]
    Count {
        /// How many there are.
        found: usize,
    },
    /// All words are on the list, but they do not go together.
    #[error(
        "one of the words is wrong or in the wrong place, though each is a word of a code; compare them with the shop computer's, one by one"
    )]
    Checksum,
    /// A link, but not one for pairing.
    #[error(
        "this is not a link for pairing; scan the square that the shop computer shows, or type the words below it"
    )]
    NotALink,
    /// A part of the link is missing or cannot be read.
    #[error("the link's {part} is missing or cut short; scan it again, or type the words below it")]
    Part {
        /// Which part, in words.
        part: &'static str,
    },
    /// A code of a form that this version does not know.
    #[error("this code was made by a newer Holebook; update this one, then try again")]
    Newer,
}

impl FromStr for PairCode {
    type Err = CodeError;

    /// Reads a link or words, whichever it is. Words may be in any case, with any spaces, hyphens, commas or numbers
    /// between them, and shortened to their first four letters.
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
