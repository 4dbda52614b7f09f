//! Pairing codes that are typed: nine digits.

use super::{CodeError, PairingCode};
use crate::PORT;
#[cfg(feature = "server")]
use crate::PairingError;
use std::fmt;
use std::net::{IpAddr, SocketAddr};

/// Digits of a typed code.
pub const DIGITS: usize = 9;
/// How many different codes there are.
#[cfg(feature = "server")]
const CODES: u64 = 1_000_000_000;
/// The most characters of what was typed that an error shows.
const MAX_ECHOED_CHARS: usize = 20;

/// Nine digits. `Debug` hides them.
#[derive(Clone, PartialEq, Eq)]
pub struct TypedCode(String);

impl TypedCode {
    /// Generates a code; all are equally likely.
    ///
    /// # Errors
    /// [`PairingError::NoRandomness`].
    #[cfg(feature = "server")]
    pub(crate) fn generate() -> Result<Self, PairingError> {
        loop {
            let number = getrandom::u64().map_err(|error| PairingError::NoRandomness {
                detail: error.to_string(),
            })?;
            // The last numbers are left out, since not all codes would have one of them.
            if number < u64::MAX - u64::MAX % CODES {
                return Ok(Self(format!("{:0DIGITS$}", number % CODES)));
            }
        }
    }

    /// Parses nine digits without anything between them.
    pub(crate) fn parse(digits: &str) -> Option<Self> {
        let valid = digits.len() == DIGITS && digits.bytes().all(|digit| digit.is_ascii_digit());
        valid.then(|| Self(digits.to_owned()))
    }

    /// Returns the digits without anything between them.
    pub(crate) fn digits(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for TypedCode {
    /// Writes the digits in groups of three.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", &self.0[..3], &self.0[3..6], &self.0[6..])
    }
}

impl fmt::Debug for TypedCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("TypedCode(9 digits)")
    }
}

/// Parses what was typed; see [`PairingCode::from_str`](std::str::FromStr::from_str).
///
/// # Errors
/// If a part is neither an address nor digits, or the number of digits is wrong.
pub(super) fn read(text: &str) -> Result<PairingCode, CodeError> {
    let mut address = None;
    let mut digits = String::new();
    for part in text.split(|c: char| c.is_whitespace() || c == ',') {
        if let (None, Some(typed)) = (address, parse_address(part)) {
            address = Some(typed);
            continue;
        }
        let is_separator = |c: char| !c.is_alphanumeric();
        let plain: String = part.chars().filter(|c| !is_separator(*c)).collect();
        if !plain.bytes().all(|byte| byte.is_ascii_digit()) {
            let part = part.chars().filter(|c| !c.is_control());
            return Err(CodeError::NotDigits {
                part: part.take(MAX_ECHOED_CHARS).collect(),
            });
        }
        digits += &plain;
    }
    let digits = TypedCode::parse(&digits).ok_or(CodeError::DigitCount {
        found: digits.len(),
    })?;
    Ok(PairingCode::Typed { address, digits })
}

/// Parses an address, with the shop computer's usual port if none is typed.
fn parse_address(text: &str) -> Option<SocketAddr> {
    let with_port = text.parse().ok();
    let host = text.trim_start_matches('[').trim_end_matches(']');
    let without = || Some(SocketAddr::new(host.parse::<IpAddr>().ok()?, PORT));
    with_port.or_else(without)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn parse(text: &str) -> (Option<String>, String) {
        match text.parse() {
            Ok(PairingCode::Typed { address, digits }) => (
                address.map(|address| address.to_string()),
                digits.to_string(),
            ),
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn digits_are_read_however_they_are_typed() {
        for text in [
            "482913077",
            "482 913 077",
            " 482-913-077\n",
            "482.913.077",
            "(482) 913, 077",
            "4 8 2 9 1 3 0 7 7",
        ] {
            assert_eq!(parse(text), (None, "482 913 077".to_owned()), "{text}");
        }
        for (text, address) in [
            ("192.168.1.20 482 913 077", "192.168.1.20:29376"),
            ("192.168.1.20:4000 482913077", "192.168.1.20:4000"),
            ("482 913 077 192.168.1.20", "192.168.1.20:29376"),
            ("fd00::12, 482-913-077", "[fd00::12]:29376"),
            ("[fd00::12]:7 482-913-077", "[fd00::12]:7"),
        ] {
            let found = parse(text);
            assert_eq!(found, (Some(address.to_owned()), "482 913 077".to_owned()));
        }
    }

    #[test]
    fn an_invalid_code_reports_what_is_wrong() {
        let error = |text: &str| text.parse::<PairingCode>().unwrap_err();
        assert_eq!(error(" \n"), CodeError::Empty);
        for (text, found) in [("12 345", 5), ("1234567890", 10), ("-", 0)] {
            assert_eq!(error(text), CodeError::DigitCount { found }, "{text}");
        }
        for (text, part) in [
            ("gate parade", "gate"),
            ("482 91B 077", "91B"),
            ("482 913 ०७७", "०७७"),
            ("10.0.0.1 10.0.0.2x 482913077", "10.0.0.2x"),
        ] {
            let part = part.to_owned();
            assert_eq!(error(text), CodeError::NotDigits { part }, "{text}");
        }
    }

    #[test]
    fn generated_codes_differ_and_are_hidden_from_debug() {
        let codes: Vec<_> = (0..50).map(|_| TypedCode::generate().unwrap()).collect();
        for code in &codes {
            assert_eq!(TypedCode::parse(code.digits()).as_ref(), Some(code));
            assert_eq!(code.to_string().replace(' ', ""), code.digits());
            assert!(!format!("{code:?}").contains(code.digits()));
        }
        let same = codes.windows(2).filter(|pair| pair[0] == pair[1]);
        assert_eq!(same.count(), 0);
    }
}
