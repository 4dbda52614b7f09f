//! A photo's name: the SHA-256 of its bytes.

use std::fmt;
use std::io::{self, Read};
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// SHA-256 (FIPS 180-4) of a stored photo's bytes.
///
/// Written as 64 lower-case hex digits. Nothing else is accepted: the text becomes a file name, so
/// `../` or upper-case digits must never get through.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PhotoHash([u8; 32]);

/// A text that is not a photo's name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "a photo is named by 64 lower-case hex digits, and this name is not; take the name from the notebook's list of photos"
)]
pub struct InvalidPhotoHash;

impl PhotoHash {
    /// The hash of `bytes`.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The hash of what was digested.
    pub(super) fn of_digest(digest: Sha256) -> Self {
        Self(digest.finalize().into())
    }

    /// The hash of what `reader` returns, in small chunks of memory.
    ///
    /// # Errors
    /// Those of the reader.
    pub fn of_reader(mut reader: impl Read) -> io::Result<Self> {
        let mut digest = Sha256::new();
        let mut chunk = vec![0; 256 * 1024];
        loop {
            match reader.read(&mut chunk) {
                Ok(0) => return Ok(Self(digest.finalize().into())),
                Ok(n) => digest.update(&chunk[..n]),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }
}

impl fmt::Display for PhotoHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl fmt::Debug for PhotoHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PhotoHash({self})")
    }
}

impl FromStr for PhotoHash {
    type Err = InvalidPhotoHash;

    fn from_str(text: &str) -> Result<Self, InvalidPhotoHash> {
        let mut hash = [0; 32];
        // Uppercase is rejected, since a file has one name.
        if text.bytes().any(|digit| digit.is_ascii_uppercase()) {
            return Err(InvalidPhotoHash);
        }
        hex::decode_to_slice(text, &mut hash).map_err(|_| InvalidPhotoHash)?;
        Ok(Self(hash))
    }
}

impl TryFrom<String> for PhotoHash {
    type Error = InvalidPhotoHash;

    fn try_from(text: String) -> Result<Self, InvalidPhotoHash> {
        text.parse()
    }
}

impl From<PhotoHash> for String {
    fn from(hash: PhotoHash) -> Self {
        hash.to_string()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    /// FIPS 180-2, appendix B.1: the digest of "abc".
    const ABC: &str = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";

    #[test]
    fn is_the_published_digest() {
        assert_eq!(PhotoHash::of(b"abc").to_string(), ABC);
        assert_eq!(
            PhotoHash::of_reader(&b"abc"[..]).unwrap(),
            PhotoHash::of(b"abc")
        );
    }

    #[test]
    fn only_a_whole_lower_case_name_is_read() {
        assert_eq!(ABC.parse(), Ok(PhotoHash::of(b"abc")));
        let bad = [
            "",
            "abc",
            &ABC.to_uppercase(),
            &format!("{ABC}0"),
            &format!("../{}", &ABC[3..]),
            &ABC.replace('b', "é"),
        ];
        for text in bad {
            assert_eq!(text.parse::<PhotoHash>(), Err(InvalidPhotoHash), "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(bytes: [u8; 32]) {
            let hash = PhotoHash(bytes);
            prop_assert_eq!(hash.to_string().parse(), Ok(hash));
            let json = serde_json::to_string(&hash).unwrap();
            prop_assert_eq!(serde_json::from_str::<PhotoHash>(&json).unwrap(), hash);
        }

        #[test]
        fn what_is_read_is_written_back(text in ".{0,80}") {
            if let Ok(hash) = text.parse::<PhotoHash>() {
                prop_assert_eq!(hash.to_string(), text);
            }
        }
    }
}
