//! What may not be recorded, because it cannot be meant.

use super::error::Fault;
use crate::length::Length;

/// The longest name, in characters.
const LONGEST_NAME: usize = 200;
/// The longest note or reason, in characters.
const LONGEST_WORDS: usize = 20_000;

/// A name of something.
pub(crate) fn name(what: &str, text: &str) -> Result<(), Fault> {
    if text.trim().is_empty() {
        return Err(Fault::unfit(format!("{what} is empty; type one")));
    }
    short_text(what, text)
}

/// A short text that may be empty.
pub(crate) fn short_text(what: &str, text: &str) -> Result<(), Fault> {
    if text.chars().count() > LONGEST_NAME {
        return Err(Fault::unfit(format!(
            "{what} is longer than {LONGEST_NAME} characters; shorten it"
        )));
    }
    Ok(())
}

/// Words that may not be empty.
pub(crate) fn words(what: &str, text: &str) -> Result<(), Fault> {
    if text.trim().is_empty() {
        return Err(Fault::unfit(format!("{what} is empty; say in a few words")));
    }
    if text.chars().count() > LONGEST_WORDS {
        return Err(Fault::unfit(format!(
            "{what} is longer than {LONGEST_WORDS} characters; shorten it"
        )));
    }
    Ok(())
}

/// A length that must be more than nothing.
pub(crate) fn positive(what: &str, length: Length) -> Result<(), Fault> {
    if length > Length::ZERO {
        return Ok(());
    }
    Err(Fault::unfit(format!(
        "{what} is {}; it must be more than 0",
        length.exact()
    )))
}

/// A length that may be nothing, but not less.
pub(crate) fn not_negative(what: &str, length: Length) -> Result<(), Fault> {
    if length >= Length::ZERO {
        return Ok(());
    }
    Err(Fault::unfit(format!(
        "{what} is {}; it cannot be less than 0",
        length.exact()
    )))
}
