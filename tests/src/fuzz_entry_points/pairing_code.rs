//! Pairing codes, as a link or as words, and fingerprints.

use super::FuzzEntryPoint;
use holebook_sync::{Fingerprint, PairingCode};

pub const ENTRY_POINT: FuzzEntryPoint = FuzzEntryPoint {
    name: "pairing_code",
    run,
    examples,
};

/// A code that parses has a few addresses and means the same with any spacing; a rejection is one
/// sentence.
fn run(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match text.parse::<PairingCode>() {
        Ok(code) => {
            assert!(code.addresses().len() <= 8);
            let spaced: PairingCode = format!("\n {text} ")
                .parse()
                .expect("white space round it says nothing");
            assert_eq!(format!("{spaced:?}"), format!("{code:?}"));
            if !text.contains("://") {
                let loud: PairingCode = text
                    .to_uppercase()
                    .parse()
                    .expect("words may be typed_request in capitals");
                assert_eq!(loud.addresses(), code.addresses());
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(!sentence.is_empty() && sentence.len() < 500, "{sentence}");
            assert!(!sentence.chars().any(char::is_control), "{sentence:?}");
        }
    }
    if let Ok(fingerprint) = text.parse::<Fingerprint>() {
        assert_eq!(fingerprint.to_string().parse().as_ref(), Ok(&fingerprint));
    }
}

fn examples() -> Vec<Vec<u8>> {
    let key = "A".repeat(43);
    [
        format!("holebook://pair?v=1&a=192.168.1.5:29376&a=%5Bfd00::12%5D:29376&k={key}&s=AAECAwQFBgcICQoLDA0ODw"),
        key,
        "gate parade camera index abandon able advice core action blossom three achieve gap good dream lucky".to_owned(),
        "abandon ability able about above absent absorb abstract absurd abuse access accident".to_owned(),
    ]
    .map(String::into_bytes)
    .into()
}
