//! The chain: each line of a device carries the hash of that device's line before it.

use serde::de::Visitor;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;

/// SHA-256 over the bytes of a journal line, without its line break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineHash(pub [u8; 32]);

impl LineHash {
    /// The hash of a line.
    pub fn of(line: &str) -> Self {
        Self(Sha256::digest(line.as_bytes()).into())
    }
}

impl fmt::Display for LineHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl FromStr for LineHash {
    type Err = NotAHash;

    fn from_str(text: &str) -> Result<Self, NotAHash> {
        let mut bytes = [0; 32];
        if text.len() != 64 {
            return Err(NotAHash);
        }
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            *byte = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Ok(Self(bytes))
    }
}

fn digit(letter: u8) -> Result<u8, NotAHash> {
    match letter {
        b'0'..=b'9' => Ok(letter - b'0'),
        b'a'..=b'f' => Ok(letter - b'a' + 10),
        _ => Err(NotAHash),
    }
}

/// The text is not 64 small hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a line's hash is 64 small hexadecimal digits")]
pub struct NotAHash;

impl Serialize for LineHash {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for LineHash {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_str(Digits)
    }
}

/// Reads the digits where they stand in the text, without a copy of them.
struct Digits;

impl Visitor<'_> for Digits {
    type Value = LineHash;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&NotAHash, f)
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<LineHash, E> {
        text.parse().map_err(E::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's own example message "abc", as its example document for SHA-256 gives the digest.
    #[test]
    fn the_hash_is_sha_256() {
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(LineHash::of("abc").to_string(), expected);
        assert_eq!(expected.parse(), Ok(LineHash::of("abc")));
    }

    #[test]
    fn anything_else_than_64_small_hexadecimal_digits_is_no_hash() {
        for text in [
            "",
            "ba78",
            &"BA".repeat(32),
            &"+1".repeat(32),
            &"zz".repeat(32),
        ] {
            assert_eq!(text.parse::<LineHash>(), Err(NotAHash), "{text}");
        }
    }
}
