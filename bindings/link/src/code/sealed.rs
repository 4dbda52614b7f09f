//! A checksum over words that notices every single wrong word, and every two that changed places.
//!
//! Words are read as numbers of the field with 2^11 elements, and the sum of each number times a power of the field's
//! generator that belongs to its place is a constant. A wrong word changes one term, and no term times anything but zero
//! is zero; two words that changed places change the sum by their difference times the difference of two powers.

/// x^11 + x^2 + 1, which is primitive (Peterson and Weldon, Error-Correcting Codes, table of irreducible polynomials; from
/// memory, and the test checks it).
const POLYNOMIAL: u32 = 0b1000_0000_0101;
/// What the sum is, so that words that are all the first on the list are no code.
const SUM: u16 = 0x55A;

/// Whether the numbers go together.
pub(super) fn holds(numbers: &[u16]) -> bool {
    sum(numbers) == SUM
}

/// The number that, behind these, makes them go together.
pub(super) fn seal(numbers: &[u16]) -> u16 {
    let mut all = numbers.to_vec();
    all.push(0);
    // The last place's power is 1, so what is lacking is the number itself.
    sum(&all) ^ SUM
}

/// The sum by Horner's rule: the last number's power is 1, the one before has the generator's, and so on.
fn sum(numbers: &[u16]) -> u16 {
    numbers.iter().fold(0, |sum, number| twice(sum) ^ number)
}

/// Times the generator, x.
fn twice(number: u16) -> u16 {
    let shifted = u32::from(number) << 1;
    let reduced = if shifted & 0b1000_0000_0000 == 0 {
        shifted
    } else {
        shifted ^ POLYNOMIAL
    };
    // Below 2^11 again.
    reduced as u16
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_generator_runs_through_all_numbers_but_zero() {
        let mut number = 1;
        for step in 1..=2047 {
            number = twice(number);
            assert_eq!(number == 1, step == 2047, "{step}");
        }
    }
}
