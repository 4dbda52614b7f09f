//! What the program says on standard output.

use crate::failure::Failure;
use serde::Serialize;
use std::io::{self, Write};

/// Says `text` to a person.
///
/// # Errors
/// Where standard output cannot be written; a reader that has gone away ([`Failure::ReaderGone`]) included.
pub fn say(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    Ok(out.flush()?)
}

/// Prints the one JSON value that `--json` promises.
///
/// # Errors
/// As [`say`].
pub fn json<T: Serialize>(value: &T) -> Result<(), Failure> {
    let mut text = serde_json::to_string_pretty(value).map_err(Failure::Json)?;
    text.push('\n');
    say(&text)
}
