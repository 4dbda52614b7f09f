//! Names that people give devices and shop computers.

use crate::LinkError;

/// The most letters of a name.
pub const LONGEST: usize = 60;

/// A name fit to be shown: without control characters, and white space as single spaces.
pub(crate) fn clean(name: &str) -> Result<String, LinkError> {
    let plain: String = name
        .chars()
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .filter(|letter| !turns_text(*letter))
        .collect();
    let name = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let letters = name.chars().count();
    (1..=LONGEST)
        .contains(&letters)
        .then_some(name)
        .ok_or(LinkError::Name)
}

/// Characters that turn the direction of what follows (Unicode, Bidi_Control), so that a name could dress up as others' words.
fn turns_text(letter: char) -> bool {
    matches!(letter, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_name_is_one_plain_line() {
        assert_eq!(clean("  Ada's\tphone\n").unwrap(), "Ada's phone");
        assert_eq!(clean("a\u{202e}b\u{1b}[31m").unwrap(), "ab [31m");
        assert_eq!(
            clean(&"ä".repeat(LONGEST)).unwrap().chars().count(),
            LONGEST
        );
        for bad in ["", " \n", &"x".repeat(LONGEST + 1)] {
            assert!(matches!(clean(bad), Err(LinkError::Name)), "{bad:?}");
        }
    }
}
