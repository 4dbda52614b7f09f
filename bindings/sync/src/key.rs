//! Key fingerprints, which identify shop computers, and key pinning.

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;
use subtle::ConstantTimeEq as _;

/// The SHA-256 of a public key in its certificate encoding (SubjectPublicKeyInfo, RFC 5280, section
/// 4.1.2.7).
///
/// Its text form is 43 characters of base64url. It is not secret.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Fingerprint(pub(crate) [u8; 32]);

/// The text is not a key fingerprint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a key's fingerprint is 43 letters, digits, hyphens and underscores")]
pub struct InvalidFingerprint;

impl Fingerprint {
    /// Computes the fingerprint of a public key in DER.
    pub(crate) fn of_key(spki: &[u8]) -> Self {
        Self(Sha256::digest(spki).into())
    }

    /// Computes the fingerprint of a certificate's key; `None` if the certificate cannot be parsed.
    pub(crate) fn of_certificate(der: &rustls::pki_types::CertificateDer<'_>) -> Option<Self> {
        let certificate = webpki::EndEntityCert::try_from(der).ok()?;
        Some(Self::of_key(&certificate.subject_public_key_info()))
    }

    /// Returns the first 8 characters, for display and for discovery. Too short to authenticate by.
    #[must_use]
    pub fn short(&self) -> String {
        self.to_string()[..8].to_owned()
    }
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&URL_SAFE_NO_PAD.encode(self.0))
    }
}

impl fmt::Debug for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Fingerprint({self})")
    }
}

impl FromStr for Fingerprint {
    type Err = InvalidFingerprint;

    fn from_str(text: &str) -> Result<Self, InvalidFingerprint> {
        let bytes = URL_SAFE_NO_PAD
            .decode(text)
            .map_err(|_| InvalidFingerprint)?;
        bytes.try_into().map(Self).map_err(|_| InvalidFingerprint)
    }
}

impl TryFrom<String> for Fingerprint {
    type Error = InvalidFingerprint;

    fn try_from(text: String) -> Result<Self, InvalidFingerprint> {
        text.parse()
    }
}

impl From<Fingerprint> for String {
    fn from(fingerprint: Fingerprint) -> Self {
        fingerprint.to_string()
    }
}

/// The key that a server must have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pin {
    /// The key with this fingerprint.
    Key(Fingerprint),
    /// Any key. Used to pair by digits: the key exchange then fails unless the server with this key
    /// knows them.
    Any,
}

impl Pin {
    /// Returns whether the key matches, in constant time.
    pub fn matches(&self, found: &Fingerprint) -> bool {
        match self {
            Self::Key(wanted) => wanted.0.ct_eq(&found.0).into(),
            Self::Any => true,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_fingerprint_round_trips() {
        let fingerprint = Fingerprint::of_key(b"a key");
        assert_eq!(fingerprint.to_string().len(), 43);
        assert_eq!(fingerprint.to_string().parse(), Ok(fingerprint));
        for bad in ["", "abc", &fingerprint.to_string()[1..]] {
            assert_eq!(bad.parse::<Fingerprint>(), Err(InvalidFingerprint));
        }
    }

    #[test]
    fn a_pin_matches_one_key() {
        let (one, other) = (Fingerprint::of_key(b"one"), Fingerprint::of_key(b"other"));
        assert!(Pin::Key(one).matches(&one) && !Pin::Key(one).matches(&other));
        let mut last = one;
        last.0[31] ^= 1;
        assert!(!Pin::Key(one).matches(&last));
    }
}
