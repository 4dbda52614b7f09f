//! Mutates examples at random, the same way in every run.

/// Pseudo-random numbers from a seed (Steele, Lea and Flood 2014, "Fast splittable pseudorandom
/// number generators").
#[derive(Debug, Clone)]
pub struct Mutator(u64);

impl Mutator {
    /// A generator with this seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `end`; 0 if `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        let end = (end as u64).max(1);
        usize::try_from(self.next() % end).unwrap_or(0)
    }
}

/// Bytes that many parsers handle wrong.
const TOKENS: &[&[u8]] = &[
    b"\0",
    b"\n",
    b"\r\n",
    b"\"",
    b"\\u0000",
    b"%",
    b"%00",
    b"../",
    b"-",
    b"+",
    b"e999",
    b"1e400",
    b"NaN",
    b"99999999999999999999",
    b"\xff",
    b"\xff\xd8",
    b"\xff\xff\xff\xff",
    b"\x00\x00\x00\x00",
    b"\xe2\x80\xae",
    b"null",
    b"[]",
    b"{}",
    b"/",
    b" ",
    b"<",
    b"&",
    b"=",
];

/// One of the examples with a few mutations, perhaps with a part of another one.
pub fn mutated(mutator: &mut Mutator, examples: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = examples
        .get(mutator.below(examples.len()))
        .cloned()
        .unwrap_or_default();
    for _ in 0..=mutator.below(6) {
        let at = mutator.below(bytes.len() + 1);
        let span = at..bytes.len().min(at + mutator.below(16));
        match mutator.below(8) {
            0 => bytes
                .iter_mut()
                .skip(at)
                .take(1)
                .for_each(|byte| *byte ^= 1 << (at % 8)),
            1 => {
                let byte = u8::try_from(mutator.below(256)).unwrap_or(0);
                bytes
                    .iter_mut()
                    .skip(at)
                    .take(1)
                    .for_each(|old| *old = byte);
            }
            2 => {
                bytes.drain(span);
            }
            3 => {
                let part = bytes[span].to_vec();
                bytes.splice(at..at, part);
            }
            4 | 5 => {
                let token = TOKENS[mutator.below(TOKENS.len())];
                bytes.splice(at..at, token.iter().copied());
            }
            6 => bytes.truncate(at),
            _ => {
                let other = &examples[mutator.below(examples.len())];
                let from = mutator.below(other.len());
                let part = &other[from..other.len().min(from + 64)];
                bytes.splice(at..at, part.iter().copied());
            }
        }
    }
    bytes
}
