//! The name of a key, which is what a shop computer is known by.

use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fmt;
use std::str::FromStr;
use subtle::ConstantTimeEq as _;

/// The SHA-256 of a public key, as the certificate holds it (SubjectPublicKeyInfo, RFC 5280, section 4.1.2.7).
///
/// Written as 43 characters of base64url. It is no secret.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Fingerprint(pub(crate) [u8; 32]);

/// The text is not the fingerprint of a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a key's fingerprint is 43 letters, digits, hyphens and underscores")]
pub struct NotAFingerprint;

impl Fingerprint {
    /// That of a key, in DER.
    pub(crate) fn of_key(spki: &[u8]) -> Self {
        Self(Sha256::digest(spki).into())
    }

    /// That of a certificate's key; none where it is no certificate.
    pub(crate) fn of_certificate(der: &rustls::pki_types::CertificateDer<'_>) -> Option<Self> {
        let certificate = webpki::EndEntityCert::try_from(der).ok()?;
        Some(Self::of_key(&certificate.subject_public_key_info()))
    }

    /// The first few characters, to tell shop computers apart by eye or to be found by; never enough to trust.
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
    type Err = NotAFingerprint;

    fn from_str(text: &str) -> Result<Self, NotAFingerprint> {
        let bytes = URL_SAFE_NO_PAD.decode(text).map_err(|_| NotAFingerprint)?;
        bytes.try_into().map(Self).map_err(|_| NotAFingerprint)
    }
}

impl TryFrom<String> for Fingerprint {
    type Error = NotAFingerprint;

    fn try_from(text: String) -> Result<Self, NotAFingerprint> {
        text.parse()
    }
}

impl From<Fingerprint> for String {
    fn from(fingerprint: Fingerprint) -> Self {
        fingerprint.to_string()
    }
}

/// How many bytes of a fingerprint the words hold: 72 bits. Whoever wants another key that begins with them must make
/// some 2^72 keys within the ten minutes that a code is good for.
pub(crate) const START: usize = 9;

/// Which key a server must have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pin {
    /// The one of this fingerprint.
    Whole(Fingerprint),
    /// One whose fingerprint begins so; for pairing by words, which then keeps the whole.
    Start([u8; START]),
}

impl Pin {
    /// Whether it is this key, in a time that does not depend on where they differ.
    pub fn is(&self, found: &Fingerprint) -> bool {
        match self {
            Self::Whole(wanted) => wanted.0.ct_eq(&found.0).into(),
            Self::Start(wanted) => wanted.ct_eq(&found.0[..START]).into(),
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_fingerprint_reads_back() {
        let fingerprint = Fingerprint::of_key(b"a key");
        assert_eq!(fingerprint.to_string().len(), 43);
        assert_eq!(fingerprint.to_string().parse(), Ok(fingerprint));
        for bad in ["", "abc", &fingerprint.to_string()[1..]] {
            assert_eq!(bad.parse::<Fingerprint>(), Err(NotAFingerprint));
        }
    }

    #[test]
    fn a_pin_is_of_one_key() {
        let (one, other) = (Fingerprint::of_key(b"one"), Fingerprint::of_key(b"other"));
        assert!(Pin::Whole(one).is(&one) && !Pin::Whole(one).is(&other));
        let start = Pin::Start(one.0[..START].try_into().unwrap());
        assert!(start.is(&one) && !start.is(&other));
        let mut last = one;
        last.0[31] ^= 1;
        assert!(!Pin::Whole(one).is(&last));
    }
}
