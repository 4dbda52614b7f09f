//! What screens and commands read: small values, each found by index.

mod castings;
mod counts;
mod faces;
mod history;
mod holes;
mod list;

pub use castings::{CastingSummary, CastingView, FaceSummary};
pub use counts::StateCounts;
pub use faces::{FaceView, HoleSummary, MarkView, PhotoView};
pub use history::{JournalLine, Struck};
pub use holes::{HoleMark, HoleView};
pub use list::{CastingListed, FaceListed, HoleListed, List};

use super::error::Fault;
use rusqlite::types::FromSqlError;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// A word from a table as the enum whose JSON it is.
fn from_word<T: DeserializeOwned>(word: String) -> Result<T, Fault> {
    serde_json::from_value(Value::String(word)).map_err(Fault::unreadable)
}

/// The same, inside a row's reading.
fn word_in_row<T: DeserializeOwned>(
    row: &rusqlite::Row<'_>,
    column: usize,
) -> rusqlite::Result<Option<T>> {
    let word: Option<String> = row.get(column)?;
    let value = word
        .map(|word| serde_json::from_value(Value::String(word)))
        .transpose();
    value.map_err(|error| {
        rusqlite::Error::FromSqlConversionFailure(
            column,
            rusqlite::types::Type::Text,
            Box::new(FromSqlError::Other(Box::new(error))),
        )
    })
}

/// A value that the table always has.
fn needed<T>(value: Option<T>, column: usize) -> rusqlite::Result<T> {
    value.ok_or(rusqlite::Error::InvalidColumnType(
        column,
        String::new(),
        rusqlite::types::Type::Null,
    ))
}
