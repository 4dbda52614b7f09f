//! Password-authenticated key exchange for typed pairing codes: SPAKE2 (RFC 9382 describes the
//! protocol; this library's encoding is older than the RFC).
//!
//! Nine digits are few enough to be tried one by one, so they are never sent, nor anything from
//! which they could be found by trying. Both sides derive a key from the digits, from the fingerprint
//! of the shop computer's key as each sees it, and from random numbers; each proves that it has that
//! key. Whoever does not know the digits can try one guess each time, and the other side notices. A
//! computer in between has another key, so neither side accepts it.

use crate::code::TypedCode;
use crate::key::Fingerprint;
use crate::secret::Digest;
use spake2::{Ed25519Group, Identity, Password, Spake2};

/// The identity of every device that pairs. Names the protocol, so that a proof is of no use
/// elsewhere.
const DEVICE: &[u8] = b"holebook pairing 1 device";
/// What each side hashes before the key to prove that it has it.
const DEVICE_PROOF: &[u8] = b"holebook pairing 1 proof of the device";
const SHOP_PROOF: &[u8] = b"holebook pairing 1 proof of the shop computer";

/// One side of an exchange that has sent its message, or is about to.
pub(crate) struct Exchange {
    state: Spake2<Ed25519Group>,
    /// The message for the other side.
    pub message: Vec<u8>,
}

/// The key that both sides have if both know the digits.
pub(crate) struct SharedKey(Vec<u8>);

impl Exchange {
    /// Starts as the device, with the fingerprint of the key that the shop computer has shown.
    pub fn of_device(code: &TypedCode, shop: &Fingerprint) -> Self {
        let (password, device, shop) = inputs(code, shop);
        let (state, message) = Spake2::start_a(&password, &device, &shop);
        Self { state, message }
    }

    /// Starts as the shop computer, with its own fingerprint.
    #[cfg(feature = "server")]
    pub fn of_shop(code: &TypedCode, shop: &Fingerprint) -> Self {
        let (password, device, shop) = inputs(code, shop);
        let (state, message) = Spake2::start_b(&password, &device, &shop);
        Self { state, message }
    }

    /// Derives the key from the other side's message; `None` if that is not a message of an exchange.
    pub fn finish(self, message: &[u8]) -> Option<SharedKey> {
        self.state.finish(message).ok().map(SharedKey)
    }
}

fn inputs(code: &TypedCode, shop: &Fingerprint) -> (Password, Identity, Identity) {
    let password = Password::new(code.digits().as_bytes());
    (password, Identity::new(DEVICE), Identity::new(&shop.0))
}

impl SharedKey {
    /// What the device sends to prove that it has the key.
    pub fn device_proof(&self) -> Digest {
        self.proof(DEVICE_PROOF)
    }

    /// What the shop computer sends to prove that it has the key.
    pub fn shop_proof(&self) -> Digest {
        self.proof(SHOP_PROOF)
    }

    /// The key is random and always as long, so a plain hash serves as a message authentication code.
    fn proof(&self, of: &[u8]) -> Digest {
        Digest::of(&[of, &self.0].concat())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn code(digits: &str) -> TypedCode {
        TypedCode::parse(digits).unwrap()
    }

    /// Runs an exchange; returns whether each side accepts the other's proof.
    fn run(device: (&str, &[u8]), shop: (&str, &[u8])) -> (bool, bool) {
        let key = |seen: &[u8]| Fingerprint::of_key(seen);
        let device = Exchange::of_device(&code(device.0), &key(device.1));
        let shop = Exchange::of_shop(&code(shop.0), &key(shop.1));
        let (to_shop, to_device) = (device.message.clone(), shop.message.clone());
        let device = device.finish(&to_device).unwrap();
        let shop = shop.finish(&to_shop).unwrap();
        (
            device.shop_proof().matches(&shop.shop_proof().0),
            shop.device_proof().matches(&device.device_proof().0),
        )
    }

    #[test]
    fn only_the_same_digits_and_the_same_key_agree() {
        let right = ("482913077", b"shop".as_slice());
        assert_eq!(run(right, right), (true, true));
        assert_eq!(run(right, ("482913078", b"shop")), (false, false));
        // A computer in between shows the device a key of its own.
        assert_eq!(run(("482913077", b"between"), right), (false, false));
    }

    #[test]
    fn proofs_differ_between_sides_and_runs() {
        let finish = || {
            let key = Fingerprint::of_key(b"shop");
            let device = Exchange::of_device(&code("000000000"), &key);
            let shop = Exchange::of_shop(&code("000000000"), &key);
            shop.finish(&device.message).unwrap()
        };
        let (one, other) = (finish(), finish());
        assert!(!one.device_proof().matches(&one.shop_proof().0));
        assert!(!one.device_proof().matches(&other.device_proof().0));
    }

    #[test]
    fn a_message_that_is_none_is_refused() {
        for message in [&[][..], &[0; 33], &[0x41; 33], &[0x42; 32], &[0xff; 33]] {
            let key = Fingerprint::of_key(b"shop");
            let exchange = Exchange::of_device(&code("000000000"), &key);
            assert!(exchange.finish(message).is_none(), "{message:?}");
        }
    }
}
