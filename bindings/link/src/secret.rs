//! Secrets: random bytes that are shown to nobody by accident and compared without telling how much of them was right.

use crate::LinkError;
use base64::Engine as _;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest as _, Sha256};
use std::fmt;
use subtle::ConstantTimeEq as _;

/// `N` secret bytes. `Debug` does not show them.
#[derive(Clone)]
pub(crate) struct Secret<const N: usize>([u8; N]);

/// What opens the shelf for one device: 256 bits.
pub(crate) type Token = Secret<32>;

impl<const N: usize> Secret<N> {
    /// New ones, from the system's randomness.
    pub fn fresh() -> Result<Self, LinkError> {
        let mut bytes = [0; N];
        getrandom::fill(&mut bytes).map_err(|error| LinkError::NoRandomness {
            detail: error.to_string(),
        })?;
        Ok(Self(bytes))
    }

    pub fn from_bytes(bytes: [u8; N]) -> Self {
        Self(bytes)
    }

    /// Reads what [`Secret::text`] wrote, and nothing else.
    pub fn read(text: &str) -> Option<Self> {
        let bytes = URL_SAFE_NO_PAD.decode(text).ok()?;
        bytes.try_into().ok().map(Self)
    }

    pub fn text(&self) -> String {
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

/// The SHA-256 of a secret, which is all that is kept of it.
#[derive(Clone, Copy)]
pub(crate) struct Digest(pub [u8; 32]);

impl Digest {
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Whether both are the same, in a time that does not depend on where they differ.
    pub fn is(&self, other: &[u8]) -> bool {
        self.0.ct_eq(other).into()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_secret_reads_back_and_does_not_show() {
        let secret = Token::fresh().unwrap();
        let read = Token::read(&secret.text()).unwrap();
        assert_eq!(read.bytes(), secret.bytes());
        assert!(read.digest().is(&secret.digest().0));
        assert!(!Token::fresh().unwrap().digest().is(&secret.digest().0));
        assert!(!format!("{secret:?}").contains(&secret.text()));
        for bad in [
            "",
            "AAAA",
            &format!("{}A", secret.text()),
            &format!("{}=", secret.text()),
        ] {
            assert!(Token::read(bad).is_none(), "{bad}");
        }
    }
}
