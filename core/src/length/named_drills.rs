//! Diameters of number and letter drills.
//!
//! Source: ANSI B94.11M as transcribed to four places in `drillsizes.py` of the public repository
//! `someonesdad1/plib`. No. 69 is the exception: that file has .0293 in; the .0292 in used here is
//! the ANSI value, from memory.

use crate::length::Length;

/// Diameters of number drills 1 to 80, in ten-thousandths of an inch.
const NUMBER_TEN_THOUSANDTHS: [i64; 80] = [
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, // 1 to 10
    1910, 1890, 1850, 1820, 1800, 1770, 1730, 1695, 1660, 1610, // 11 to 20
    1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, // 21 to 30
    1200, 1160, 1130, 1110, 1100, 1065, 1040, 1015, 995, 980, // 31 to 40
    960, 935, 890, 860, 820, 810, 785, 760, 730, 700, // 41 to 50
    670, 635, 595, 550, 520, 465, 430, 420, 410, 400, // 51 to 60
    390, 380, 370, 360, 350, 330, 320, 310, 292, 280, // 61 to 70
    260, 250, 240, 225, 210, 200, 180, 160, 145, 135, // 71 to 80
];

/// Diameters of letter drills A to Z, in thousandths of an inch.
const LETTER_THOUSANDTHS: [i64; 26] = [
    234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295, // A to M
    302, 316, 323, 332, 339, 348, 358, 368, 377, 386, 397, 404, 413, // N to Z
];

/// Returns the diameter of a number drill, 1 to 80; `None` for any other number.
pub const fn number(number: u8) -> Option<Length> {
    if number == 0 || number > 80 {
        return None;
    }
    Some(Length::from_fraction(
        NUMBER_TEN_THOUSANDTHS[number as usize - 1],
        10_000,
    ))
}

/// Returns the diameter of a letter drill, A to Z in either case; `None` for any other character.
pub const fn letter(letter: char) -> Option<Length> {
    if !letter.is_ascii_alphabetic() {
        return None;
    }
    let index = letter.to_ascii_uppercase() as usize - 'A' as usize;
    Some(Length::from_fraction(LETTER_THOUSANDTHS[index], 1_000))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_in_order_of_size() {
        for n in 1..80 {
            assert!(
                number(n) > number(n + 1),
                "#{n} must be larger than the next"
            );
        }
        for (a, b) in ('A'..='Y').zip('B'..='Z') {
            assert!(letter(a) < letter(b), "{a} must be smaller than {b}");
        }
        assert_eq!(number(0), None);
        assert_eq!(number(81), None);
        assert_eq!(letter('?'), None);
    }
}
