//! Random secrets and tokens that are not printed by accident and are compared in constant time.

use crate::PairingError;
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest as _, Sha256};
use std::fmt;
use subtle::ConstantTimeEq as _;

/// `N` secret bytes, hidden from `Debug`.
#[derive(Clone)]
pub(crate) struct Secret<const N: usize>([u8; N]);

/// The bearer token of one paired device: 256 bits.
pub(crate) type Token = Secret<32>;

impl<const N: usize> Secret<N> {
    /// Generates a secret with the system's random number generator.
    ///
    /// # Errors
    /// [`PairingError::NoRandomness`] if the generator fails.
    pub fn generate() -> Result<Self, PairingError> {
        let mut bytes = [0; N];
        getrandom::fill(&mut bytes).map_err(|error| PairingError::NoRandomness {
            detail: error.to_string(),
        })?;
        Ok(Self(bytes))
    }

    pub fn from_bytes(bytes: [u8; N]) -> Self {
        Self(bytes)
    }

    /// Parses the text form; `None` if it is not exactly what [`Secret::to_text`] returns.
    pub fn parse(text: &str) -> Option<Self> {
        let bytes = URL_SAFE_NO_PAD.decode(text).ok()?;
        bytes.try_into().ok().map(Self)
    }

    /// Returns the secret as base64url without padding.
    pub fn to_text(&self) -> String {
        URL_SAFE_NO_PAD.encode(self.0)
    }

    pub fn bytes(&self) -> &[u8; N] {
        &self.0
    }

    pub fn digest(&self) -> Digest {
        Digest::of(&self.0)
    }
}

impl<const N: usize> fmt::Debug for Secret<N> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Secret({} bytes)", N)
    }
}

/// The SHA-256 of a secret; the shop computer stores only this.
#[derive(Clone, Copy)]
pub(crate) struct Digest(pub [u8; 32]);

impl Digest {
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Returns whether both are equal, in constant time.
    pub fn matches(&self, other: &[u8]) -> bool {
        self.0.ct_eq(other).into()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_secret_round_trips_and_is_hidden_from_debug() {
        let secret = Token::generate().unwrap();
        let read = Token::parse(&secret.to_text()).unwrap();
        assert_eq!(read.bytes(), secret.bytes());
        assert!(read.digest().matches(&secret.digest().0));
        assert!(
            !Token::generate()
                .unwrap()
                .digest()
                .matches(&secret.digest().0)
        );
        assert!(!format!("{secret:?}").contains(&secret.to_text()));
        for bad in [
            "",
            "AAAA",
            &format!("{}A", secret.to_text()),
            &format!("{}=", secret.to_text()),
        ] {
            assert!(Token::parse(bad).is_none(), "{bad}");
        }
    }
}
