//! Pairing code as words: one address, the start of the key's fingerprint, a secret, and a
//! checksum.
//!
//! ```text
//! 1 bit    0; 1 is reserved for another format
//! 32 bits  the IPv4 address
//! 16 bits  the port
//! 72 bits  the start of the fingerprint
//! 44 bits  the secret
//! 11 bits  the checksum
//! ```

use super::{CodeError, CodeSecret, PairingCode, WordsSecret, checksum, word_list};
use crate::key::{PREFIX_BYTES, Pin};
use std::fmt;
use std::net::{Ipv4Addr, SocketAddr, SocketAddrV4};

/// Words in a pairing code.
pub const WORDS: usize = 16;
/// Bits of the secret.
const SECRET_BITS: u32 = 44;
/// The most characters of an unknown word that an error shows.
const MAX_ECHOED_CHARS: usize = 20;

/// The words of a pairing code, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words([&'static str; WORDS]);

impl Words {
    /// Returns the words.
    #[must_use]
    pub fn as_array(&self) -> &[&'static str; WORDS] {
        &self.0
    }
}

impl fmt::Display for Words {
    /// Writes the words separated by spaces.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.join(" "))
    }
}

/// A queue of bits, most significant first.
#[derive(Default)]
struct Bits(Vec<bool>);

impl Bits {
    fn push(&mut self, value: u128, bits: u32) {
        self.0
            .extend((0..bits).rev().map(|bit| value >> bit & 1 == 1));
    }

    fn take(&mut self, bits: u32) -> u128 {
        let rest = self.0.split_off(bits as usize);
        let taken = std::mem::replace(&mut self.0, rest);
        taken
            .into_iter()
            .fold(0, |value, bit| value << 1 | u128::from(bit))
    }
}

/// Returns the words for this address, fingerprint prefix, and secret.
pub(crate) fn write(
    address: SocketAddrV4,
    prefix: [u8; PREFIX_BYTES],
    secret: &WordsSecret,
) -> Words {
    let mut bits = Bits::default();
    bits.push(0, 1);
    bits.push(address.ip().to_bits().into(), 32);
    bits.push(address.port().into(), 16);
    prefix.iter().for_each(|byte| bits.push((*byte).into(), 8));
    bits.push(secret_to_number(secret), SECRET_BITS);
    let mut numbers: Vec<u16> = (1..WORDS)
        .map(|_| bits.take(word_list::BITS) as u16)
        .collect();
    numbers.push(checksum::checksum(&numbers));
    Words(std::array::from_fn(|position| {
        word_list::word(numbers[position])
    }))
}

/// Parses words; see [`PairingCode::from_str`](std::str::FromStr::from_str).
///
/// # Errors
/// If a word is unknown, the number of words or the checksum is wrong, or a newer version made the
/// code.
pub(super) fn read(text: &str) -> Result<PairingCode, CodeError> {
    let numbers = parse_words(text)?;
    if numbers.len() != WORDS {
        return Err(CodeError::WordCount {
            found: numbers.len(),
        });
    }
    if !checksum::is_valid(&numbers) {
        return Err(CodeError::Checksum);
    }
    let mut bits = Bits::default();
    numbers
        .iter()
        .for_each(|number| bits.push((*number).into(), word_list::BITS));
    if bits.take(1) == 1 {
        return Err(CodeError::NewerVersion);
    }
    let ip = Ipv4Addr::from_bits(bits.take(32) as u32);
    let port = bits.take(16) as u16;
    let prefix: [u8; PREFIX_BYTES] = std::array::from_fn(|_| bits.take(8) as u8);
    Ok(PairingCode {
        addresses: vec![SocketAddr::from((ip, port))],
        pin: Pin::Prefix(prefix),
        secret: CodeSecret::Words(secret_from_number(bits.take(SECRET_BITS))),
    })
}

/// Returns the index of each typed word. Anything that is not a letter, such as a line number,
/// separates words.
fn parse_words(text: &str) -> Result<Vec<u16>, CodeError> {
    let is_separator = |letter: char| !letter.is_alphabetic();
    let typed = text.split(is_separator).filter(|word| !word.is_empty());
    let indices = typed.enumerate().map(|(at, word)| {
        word_list::index_of(word).ok_or_else(|| CodeError::UnknownWord {
            position: at + 1,
            word: word.chars().take(MAX_ECHOED_CHARS).collect(),
        })
    });
    indices.take(4 * WORDS).collect()
}

fn secret_to_number(secret: &WordsSecret) -> u128 {
    secret
        .bytes()
        .iter()
        .fold(0, |number, byte| number << 8 | u128::from(*byte))
}

fn secret_from_number(number: u128) -> WordsSecret {
    let bytes = number.to_be_bytes();
    WordsSecret::from_bytes(std::array::from_fn(|at| bytes[at + 10]))
}

/// Generates a secret of [`SECRET_BITS`] bits.
///
/// # Errors
/// [`PairingError::NoRandomness`](crate::PairingError::NoRandomness).
pub(crate) fn generate_secret() -> Result<WordsSecret, crate::PairingError> {
    let secret = WordsSecret::generate()?;
    Ok(secret_from_number(
        secret_to_number(&secret) & ((1 << SECRET_BITS) - 1),
    ))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    prop_compose! {
        fn parts()(ip: u32, port in 1..u16::MAX, prefix: [u8; PREFIX_BYTES], secret in 0..1_u128 << SECRET_BITS)
            -> (SocketAddrV4, [u8; PREFIX_BYTES], WordsSecret)
        {
            (SocketAddrV4::new(Ipv4Addr::from_bits(ip), port), prefix, secret_from_number(secret))
        }
    }

    /// Formats words in one of the ways that the parser accepts.
    fn format_words(words: &Words, style: u8) -> String {
        let each = words.as_array().iter();
        match style % 4 {
            0 => words.to_string(),
            1 => each
                .map(|word| format!("{} ", word.to_uppercase()))
                .collect(),
            2 => each
                .map(|word| word.chars().take(4).collect::<String>() + "-")
                .collect(),
            _ => each
                .enumerate()
                .map(|(at, word)| format!("{:>2}. {word},\n", at + 1))
                .collect(),
        }
    }

    proptest! {
        #[test]
        fn words_round_trip(parts in parts(), style: u8) {
            let (address, prefix, secret) = parts;
            let text = format_words(&write(address, prefix, &secret), style);
            let code: PairingCode = text.parse().unwrap();
            prop_assert_eq!(code.addresses, vec![SocketAddr::V4(address)]);
            prop_assert_eq!(code.pin, Pin::Prefix(prefix));
            prop_assert_eq!(code.secret.to_text(), secret.to_text());
        }

        #[test]
        fn two_swapped_words_are_detected(parts in parts(), one in 0..WORDS, other in 0..WORDS) {
            let mut words = write(parts.0, parts.1, &parts.2);
            prop_assume!(words.0[one] != words.0[other]);
            words.0.swap(one, other);
            prop_assert_eq!(words.to_string().parse::<PairingCode>().unwrap_err(), CodeError::Checksum);
        }
    }

    #[test]
    fn every_single_wrong_word_is_detected() {
        let address = SocketAddrV4::new(Ipv4Addr::new(192, 168, 1, 5), 29_376);
        let right = write(address, [7; PREFIX_BYTES], &generate_secret().unwrap());
        for position in 0..WORDS {
            for number in 0..1 << word_list::BITS {
                let mut words = right.clone();
                words.0[position] = word_list::word(number);
                let found = words.to_string().parse::<PairingCode>().err();
                let wanted = (words != right).then_some(CodeError::Checksum);
                assert_eq!(found, wanted, "{words}");
            }
        }
    }

    #[test]
    fn an_invalid_code_reports_where_it_is_wrong() {
        let address = SocketAddrV4::new(Ipv4Addr::new(10, 0, 0, 1), 1);
        let right = write(address, [7; PREFIX_BYTES], &generate_secret().unwrap()).to_string();
        let mut typed: Vec<&str> = right.split(' ').collect();
        typed[4] = "xyzzy";
        let unknown = CodeError::UnknownWord {
            position: 5,
            word: "xyzzy".into(),
        };
        assert_eq!(typed.join(" ").parse::<PairingCode>().unwrap_err(), unknown);
        typed.remove(4);
        let count = CodeError::WordCount { found: 15 };
        assert_eq!(typed.join(" ").parse::<PairingCode>().unwrap_err(), count);
        assert_eq!(" \n".parse::<PairingCode>().unwrap_err(), CodeError::Empty);
        assert_eq!(
            "abandon ".repeat(WORDS).parse::<PairingCode>().unwrap_err(),
            CodeError::Checksum
        );
    }
}
