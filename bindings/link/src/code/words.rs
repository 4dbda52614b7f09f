//! The words: one address, the start of the key's fingerprint, and a secret of their own, with a checksum.
//!
//! ```text
//! 1 bit    0; a 1 is kept for another form
//! 32 bits  the IPv4 address
//! 16 bits  the port
//! 72 bits  the start of the fingerprint
//! 44 bits  the secret
//! 11 bits  the checksum
//! ```

use super::{CodeError, CodeSecret, PairCode, WordsSecret, list, sealed};
use crate::key::{Pin, START};
use std::fmt;
use std::net::{Ipv4Addr, SocketAddr, SocketAddrV4};

/// How many words a code has.
pub const WORDS: usize = 16;
/// How many bits of the words' secret there are.
const SECRET_BITS: u32 = 44;
/// What an unknown word is shortened to where it is named.
const SHOWN: usize = 20;

/// A code's words, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words([&'static str; WORDS]);

impl Words {
    /// The words.
    #[must_use]
    pub fn each(&self) -> &[&'static str; WORDS] {
        &self.0
    }
}

impl fmt::Display for Words {
    /// With spaces between them.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0.join(" "))
    }
}

/// Bits in the order in which they were put.
#[derive(Default)]
struct Bits(Vec<bool>);

impl Bits {
    fn put(&mut self, value: u128, bits: u32) {
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

pub(crate) fn write(address: SocketAddrV4, start: [u8; START], secret: &WordsSecret) -> Words {
    let mut bits = Bits::default();
    bits.put(0, 1);
    bits.put(address.ip().to_bits().into(), 32);
    bits.put(address.port().into(), 16);
    start.iter().for_each(|byte| bits.put((*byte).into(), 8));
    bits.put(number_of(secret), SECRET_BITS);
    let mut numbers: Vec<u16> = (1..WORDS).map(|_| bits.take(list::BITS) as u16).collect();
    numbers.push(sealed::seal(&numbers));
    Words(std::array::from_fn(|place| list::word(numbers[place])))
}

pub(super) fn read(text: &str) -> Result<PairCode, CodeError> {
    let numbers = numbers(text)?;
    if numbers.len() != WORDS {
        return Err(CodeError::Count {
            found: numbers.len(),
        });
    }
    if !sealed::holds(&numbers) {
        return Err(CodeError::Checksum);
    }
    let mut bits = Bits::default();
    numbers
        .iter()
        .for_each(|number| bits.put((*number).into(), list::BITS));
    if bits.take(1) == 1 {
        return Err(CodeError::Newer);
    }
    let ip = Ipv4Addr::from_bits(bits.take(32) as u32);
    let port = bits.take(16) as u16;
    let start: [u8; START] = std::array::from_fn(|_| bits.take(8) as u8);
    Ok(PairCode {
        addresses: vec![SocketAddr::from((ip, port))],
        pin: Pin::Start(start),
        secret: CodeSecret::Words(secret_of(bits.take(SECRET_BITS))),
    })
}

/// The places on the list of what was typed. What has no letter, such as the number of a line, stands between words.
fn numbers(text: &str) -> Result<Vec<u16>, CodeError> {
    let between = |letter: char| !letter.is_alphabetic();
    let typed = text.split(between).filter(|word| !word.is_empty());
    let found = typed.enumerate().map(|(at, word)| {
        list::place(word).ok_or_else(|| CodeError::UnknownWord {
            place: at + 1,
            word: word.chars().take(SHOWN).collect(),
        })
    });
    found.take(4 * WORDS).collect()
}

fn number_of(secret: &WordsSecret) -> u128 {
    secret
        .bytes()
        .iter()
        .fold(0, |number, byte| number << 8 | u128::from(*byte))
}

fn secret_of(number: u128) -> WordsSecret {
    let bytes = number.to_be_bytes();
    WordsSecret::from_bytes(std::array::from_fn(|at| bytes[at + 10]))
}

/// A new secret of as many bits as words hold.
pub(crate) fn fresh_secret() -> Result<WordsSecret, crate::LinkError> {
    let secret = WordsSecret::fresh()?;
    Ok(secret_of(number_of(&secret) & ((1 << SECRET_BITS) - 1)))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use proptest::prelude::*;

    prop_compose! {
        fn parts()(ip: u32, port in 1..u16::MAX, start: [u8; START], secret in 0..1_u128 << SECRET_BITS)
            -> (SocketAddrV4, [u8; START], WordsSecret)
        {
            (SocketAddrV4::new(Ipv4Addr::from_bits(ip), port), start, secret_of(secret))
        }
    }

    /// What reads leniently.
    fn written(words: &Words, how: u8) -> String {
        let each = words.each().iter();
        match how % 4 {
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
        fn words_read_back(parts in parts(), how: u8) {
            let (address, start, secret) = parts;
            let text = written(&write(address, start, &secret), how);
            let code: PairCode = text.parse().unwrap();
            prop_assert_eq!(code.addresses, vec![SocketAddr::V4(address)]);
            prop_assert_eq!(code.pin, Pin::Start(start));
            prop_assert_eq!(code.secret.text(), secret.text());
        }

        #[test]
        fn two_words_that_changed_places_are_noticed(parts in parts(), one in 0..WORDS, other in 0..WORDS) {
            let mut words = write(parts.0, parts.1, &parts.2);
            prop_assume!(words.0[one] != words.0[other]);
            words.0.swap(one, other);
            prop_assert_eq!(words.to_string().parse::<PairCode>().unwrap_err(), CodeError::Checksum);
        }
    }

    #[test]
    fn every_single_wrong_word_is_noticed() {
        let address = SocketAddrV4::new(Ipv4Addr::new(192, 168, 1, 5), 29_376);
        let right = write(address, [7; START], &fresh_secret().unwrap());
        for place in 0..WORDS {
            for number in 0..1 << list::BITS {
                let mut words = right.clone();
                words.0[place] = list::word(number);
                let found = words.to_string().parse::<PairCode>().err();
                let wanted = (words != right).then_some(CodeError::Checksum);
                assert_eq!(found, wanted, "{words}");
            }
        }
    }

    #[test]
    fn what_is_no_code_says_where_it_is_wrong() {
        let address = SocketAddrV4::new(Ipv4Addr::new(10, 0, 0, 1), 1);
        let right = write(address, [7; START], &fresh_secret().unwrap()).to_string();
        let mut typed: Vec<&str> = right.split(' ').collect();
        typed[4] = "xyzzy";
        let unknown = CodeError::UnknownWord {
            place: 5,
            word: "xyzzy".into(),
        };
        assert_eq!(typed.join(" ").parse::<PairCode>().unwrap_err(), unknown);
        typed.remove(4);
        let count = CodeError::Count { found: 15 };
        assert_eq!(typed.join(" ").parse::<PairCode>().unwrap_err(), count);
        assert_eq!(" \n".parse::<PairCode>().unwrap_err(), CodeError::Empty);
        assert_eq!(
            "abandon ".repeat(WORDS).parse::<PairCode>().unwrap_err(),
            CodeError::Checksum
        );
    }
}
