//! Pairing codes, as a link or typed, and fingerprints.

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
        "482 913 077".to_owned(),
        "[fd00::12]:29376, 482-913-07".to_owned(),
    ]
    .map(String::into_bytes)
    .into()
}
