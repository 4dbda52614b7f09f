//! Writing to standard output.

use crate::failure::Failure;
use serde::Serialize;
use std::io::{self, Write};

/// Prints `text`.
///
/// # Errors
/// If standard output cannot be written, also if its reader is gone ([`Failure::ReaderGone`]).
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    Ok(out.flush()?)
}

/// Prints the one JSON value that `--json` promises.
///
/// # Errors
/// Same as [`print()`].
pub fn print_json<T: Serialize>(value: &T) -> Result<(), Failure> {
    let mut text = serde_json::to_string_pretty(value).map_err(Failure::Json)?;
    text.push('\n');
    print(&text)
}
