//! Views for screens and commands. Each is found by index.

mod bolt_up;
mod castings;
mod counts;
mod faces;
mod history;
mod holes;
mod joint;
mod joint_report;
mod kit;
mod list;
mod next_question;
mod planned_holes;
mod runs;
mod tightening_order;

pub use castings::{CastingSummary, CastingView, FaceSummary};
pub use counts::StageCounts;
pub(super) use faces::holes_of;
pub use faces::{FaceView, HoleSummary, MarkView, PhotoView};
pub use history::{JournalLine, StruckOut};
pub use holes::{HoleMark, HoleView};
pub use joint::{BoltPlan, JointPlan};
pub use joint_report::{BoltReport, FullTorque, JointReport, PassTorque, WeakestPart};
pub use kit::{OrderRun, OrderedStep, WorkOrder};
pub use list::{CastingListed, FaceListed, HoleListed, List};
pub use next_question::{AskedQuestion, LikelyAnswer};
pub use planned_holes::WorkScope;
pub use runs::{ReadyHole, RunHole, ToolRun, ToolRuns, WaitingHole};
pub use tightening_order::{
    OrderedBy, TighteningOrder, marked_at, photo_of_all, places_on_face, tightening_order,
};

use super::error::Fault;
use rusqlite::types::FromSqlError;
use serde::de::DeserializeOwned;
use serde_json::Value;

/// Converts a word from a table to the enum that serializes to it.
fn from_word<T: DeserializeOwned>(word: String) -> Result<T, Fault> {
    serde_json::from_value(Value::String(word)).map_err(Fault::unreadable)
}

/// The same for a column that may be null.
fn word_in_row<T: DeserializeOwned>(
    row: &rusqlite::Row<'_>,
    column: usize,
) -> rusqlite::Result<Option<T>> {
    let word: Option<String> = row.get(column)?;
    let value = word
        .map(|word| serde_json::from_value(Value::String(word)))
        .transpose();
    value.map_err(|error| unreadable(column, error))
}

/// Reads a column of JSON.
fn json_in_row<T: DeserializeOwned>(row: &rusqlite::Row<'_>, column: usize) -> rusqlite::Result<T> {
    let text = row.get_ref(column)?.as_str()?;
    serde_json::from_str(text).map_err(|error| unreadable(column, error))
}

fn unreadable(column: usize, error: serde_json::Error) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(
        column,
        rusqlite::types::Type::Text,
        Box::new(FromSqlError::Other(Box::new(error))),
    )
}

/// Unwraps a value that is never null in the table.
fn needed<T>(value: Option<T>, column: usize) -> rusqlite::Result<T> {
    value.ok_or(rusqlite::Error::InvalidColumnType(
        column,
        String::new(),
        rusqlite::types::Type::Null,
    ))
}
