//! Validation of the names that people give devices and shop computers.

use crate::PairingError;

/// The most characters of a name.
pub const MAX_CHARS: usize = 60;

/// Returns the name without control characters and with single spaces.
///
/// # Errors
/// [`PairingError::InvalidName`] if nothing remains or it is longer than [`MAX_CHARS`].
pub(crate) fn validate(name: &str) -> Result<String, PairingError> {
    let plain: String = name
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .filter(|c| !is_direction_control(*c))
        .collect();
    let name = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let length = name.chars().count();
    (1..=MAX_CHARS)
        .contains(&length)
        .then_some(name)
        .ok_or(PairingError::InvalidName)
}

/// Returns whether the character changes the text direction (Unicode, Bidi_Control), which would
/// let a name disguise the text around it.
fn is_direction_control(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_name_becomes_one_plain_line() {
        assert_eq!(validate("  Ada's\tphone\n").unwrap(), "Ada's phone");
        assert_eq!(validate("a\u{202e}b\u{1b}[31m").unwrap(), "ab [31m");
        assert_eq!(
            validate(&"ä".repeat(MAX_CHARS)).unwrap().chars().count(),
            MAX_CHARS
        );
        for bad in ["", " \n", &"x".repeat(MAX_CHARS + 1)] {
            assert!(
                matches!(validate(bad), Err(PairingError::InvalidName)),
                "{bad:?}"
            );
        }
    }
}
