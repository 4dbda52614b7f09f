//! No panic crosses the border but as an error that names the call.

use crate::error::NotebookError;
use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Runs the call named `call`. A panic in it becomes [`NotebookError::Internal`].
///
/// What the call was changing is safe: the journal is written in one transaction, which is taken back where the call
/// does not come to its end.
pub(crate) fn guard<T>(
    call: &'static str,
    work: impl FnOnce() -> Result<T, NotebookError>,
) -> Result<T, NotebookError> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        Err(NotebookError::Internal {
            call: call.to_owned(),
            reason: format!(
                "the program met a fault of its own in {call} ({}); what was recorded before is safe, try again",
                words(panic.as_ref())
            ),
        })
    })
}

/// What the panic said.
fn words(panic: &(dyn Any + Send)) -> &str {
    if let Some(text) = panic.downcast_ref::<String>() {
        return text;
    }
    panic
        .downcast_ref::<&str>()
        .copied()
        .unwrap_or("without a word")
}
