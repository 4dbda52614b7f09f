//! Input validation.

use super::error::Fault;
use crate::length::Length;

/// The longest name, in characters.
const MAX_NAME: usize = 200;
/// The longest note or reason, in characters.
const MAX_TEXT: usize = 20_000;

/// Refuses a name that is empty or too long.
pub(crate) fn name(what: &str, name: &str) -> Result<(), Fault> {
    if name.trim().is_empty() {
        return Err(Fault::invalid(format!("{what} is empty; type one")));
    }
    short_text(what, name)
}

/// Refuses a short text that is too long. It may be empty.
pub(crate) fn short_text(what: &str, text: &str) -> Result<(), Fault> {
    if text.chars().count() > MAX_NAME {
        return Err(Fault::invalid(format!(
            "{what} is longer than {MAX_NAME} characters; shorten it"
        )));
    }
    Ok(())
}

/// Refuses what is not a name for a person or device: too long, or with characters that cannot be
/// shown. It may be empty. Returns what is wrong with it.
pub(crate) fn one_line(text: &str) -> Result<(), &'static str> {
    if text.chars().count() > MAX_NAME {
        return Err("it is too long; shorten it");
    }
    match text.chars().any(char::is_control) {
        true => Err("it has characters that cannot be shown; type it again"),
        false => Ok(()),
    }
}

/// Refuses a text that is empty or too long.
pub(crate) fn text(what: &str, text: &str) -> Result<(), Fault> {
    if text.trim().is_empty() {
        return Err(Fault::invalid(format!("{what} is empty; type a few words")));
    }
    if text.chars().count() > MAX_TEXT {
        return Err(Fault::invalid(format!(
            "{what} is longer than {MAX_TEXT} characters; shorten it"
        )));
    }
    Ok(())
}

/// Refuses a length of zero or less.
pub(crate) fn positive(what: &str, length: Length) -> Result<(), Fault> {
    if length > Length::ZERO {
        return Ok(());
    }
    Err(Fault::invalid(format!(
        "{what} is {}; it must be more than 0",
        length.exact()
    )))
}

/// Refuses a length less than zero.
pub(crate) fn not_negative(what: &str, length: Length) -> Result<(), Fault> {
    if length >= Length::ZERO {
        return Ok(());
    }
    Err(Fault::invalid(format!(
        "{what} is {}; it cannot be less than 0",
        length.exact()
    )))
}

/// Applies a rule to a value if there is one.
pub(crate) fn optional<T>(
    value: &Option<T>,
    rule: impl FnOnce(&T) -> Result<(), Fault>,
) -> Result<(), Fault> {
    value.as_ref().map_or(Ok(()), rule)
}
