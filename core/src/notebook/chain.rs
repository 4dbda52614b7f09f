//! The hash chain: each line of a device carries the hash of that device's previous line.

use serde::de::Visitor;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;

/// SHA-256 over the bytes of a journal line, without its line break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LineHash(pub [u8; 32]);

impl LineHash {
    /// Hashes a line.
    pub fn of(line: &str) -> Self {
        Self(Sha256::digest(line.as_bytes()).into())
    }
}

impl fmt::Display for LineHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl FromStr for LineHash {
    type Err = InvalidLineHash;

    fn from_str(text: &str) -> Result<Self, InvalidLineHash> {
        lowercase_hex(text).map(Self).ok_or(InvalidLineHash)
    }
}

/// Decodes lowercase hexadecimal digits. Uppercase is rejected, since a hash has one spelling.
pub(crate) fn lowercase_hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let mut bytes = [0; N];
    if text.bytes().any(|digit| digit.is_ascii_uppercase()) {
        return None;
    }
    hex::decode_to_slice(text, &mut bytes).ok()?;
    Some(bytes)
}

/// The text is not 64 lowercase hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a line's hash is 64 lowercase hexadecimal digits")]
pub struct InvalidLineHash;

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

/// Reads the digits from the text without copying them.
struct Digits;

impl Visitor<'_> for Digits {
    type Value = LineHash;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&InvalidLineHash, f)
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<LineHash, E> {
        text.parse().map_err(E::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's own example message "abc", as its example document for SHA-256 gives the
    /// digest.
    #[test]
    fn the_hash_is_sha_256() {
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(LineHash::of("abc").to_string(), expected);
        assert_eq!(expected.parse(), Ok(LineHash::of("abc")));
    }

    #[test]
    fn anything_but_64_lowercase_hexadecimal_digits_is_not_a_hash() {
        for text in [
            "",
            "ba78",
            &"BA".repeat(32),
            &"+1".repeat(32),
            &"zz".repeat(32),
        ] {
            assert_eq!(text.parse::<LineHash>(), Err(InvalidLineHash), "{text}");
        }
    }
}
