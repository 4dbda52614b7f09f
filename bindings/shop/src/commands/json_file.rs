//! JSON files that describe a question.

use crate::failure::Failure;
use serde::de::DeserializeOwned;
use std::fs;
use std::io::{self, Read as _};
use std::path::Path;

/// A description is a few hundred bytes, ten thousand readings a few hundred thousand; anything
/// larger than this is another kind of file.
const LARGEST: u64 = 1 << 20;

/// Reads a file, or standard input if it is `-`.
pub fn read_text(file: &Path, doing: &'static str) -> Result<String, Failure> {
    let mut text = String::new();
    let found: io::Result<usize> = if file == Path::new("-") {
        io::stdin().lock().take(LARGEST).read_to_string(&mut text)
    } else {
        fs::File::open(file).and_then(|file| file.take(LARGEST).read_to_string(&mut text))
    };
    found.map_err(|error| Failure::file(doing, file, &error))?;
    Ok(text)
}

/// Reads a value from a file.
pub fn read<T: DeserializeOwned>(file: &Path) -> Result<T, Failure> {
    let text = read_text(file, "reading the measurements from")?;
    serde_json::from_str(&text).map_err(|error| unreadable(file, &error))
}

fn unreadable(file: &Path, error: &serde_json::Error) -> Failure {
    let (file, why, line) = (file.display(), error.to_string(), error.line());
    let position = format!(" at line {line} column {}", error.column());
    let why = why.strip_suffix(&position).unwrap_or(&why);
    Failure::Message(if error.is_data() {
        format!("`{file}` cannot be read: line {line}: {why}")
    } else {
        format!("`{file}` is not JSON: line {line}: {why}; fix that line")
    })
}
