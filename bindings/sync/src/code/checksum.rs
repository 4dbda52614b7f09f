//! Checksum of a pairing code's words. It detects every single wrong word and every swap of two
//! words.
//!
//! Word indices are elements of the field GF(2^11). Each is multiplied by a power of the field's
//! generator that depends on its position, and the sum of the products must equal a constant. A
//! wrong word changes one product by a nonzero amount. A swap changes the sum by the difference of
//! the two words times the difference of two powers, which is not zero either.

/// x^11 + x^2 + 1, which is primitive (Peterson and Weldon, Error-Correcting Codes, table of
/// irreducible polynomials; from memory, and the test checks it).
const POLYNOMIAL: u32 = 0b1000_0000_0101;
/// The required sum. It is not zero, so that repeating the first word of the list is not a valid
/// code.
const SUM: u16 = 0x55A;

/// Returns whether the word indices, checksum included, have the required sum.
pub(super) fn is_valid(numbers: &[u16]) -> bool {
    sum(numbers) == SUM
}

/// Returns the word index that completes these to a valid code.
pub(super) fn checksum(numbers: &[u16]) -> u16 {
    let mut all = numbers.to_vec();
    all.push(0);
    // The last position has factor 1, so the missing amount is the index itself.
    sum(&all) ^ SUM
}

/// Returns the weighted sum, by Horner's rule: the last index has factor 1, the one before it the
/// generator, and so on.
fn sum(numbers: &[u16]) -> u16 {
    numbers.iter().fold(0, |sum, number| twice(sum) ^ number)
}

/// Multiplies by the generator, x.
fn twice(number: u16) -> u16 {
    let shifted = u32::from(number) << 1;
    let reduced = if shifted & 0b1000_0000_0000 == 0 {
        shifted
    } else {
        shifted ^ POLYNOMIAL
    };
    // The reduced value is below 2^11, so nothing is cut off.
    reduced as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_has_full_order() {
        let mut number = 1;
        for step in 1..=2047 {
            number = twice(number);
            assert_eq!(number == 1, step == 2047, "{step}");
        }
    }
}
