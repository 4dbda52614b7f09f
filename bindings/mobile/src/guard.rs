//! Converts panics to [`NotebookError::Internal`], which names the call.

use crate::error::NotebookError;
use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Runs the call named `call`. A panic in it becomes [`NotebookError::Internal`].
///
/// The notebook stays consistent: each change is one transaction, which is rolled back if the call
/// does not complete.
pub(crate) fn guard<T>(
    call: &'static str,
    work: impl FnOnce() -> Result<T, NotebookError>,
) -> Result<T, NotebookError> {
    catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|panic| {
        Err(NotebookError::Internal {
            call: call.to_owned(),
            reason: format!(
                "internal error in {call} ({}); what was recorded before is safe, try again",
                message(panic.as_ref())
            ),
        })
    })
}

/// The message of a panic.
fn message(panic: &(dyn Any + Send)) -> &str {
    if let Some(text) = panic.downcast_ref::<String>() {
        return text;
    }
    panic
        .downcast_ref::<&str>()
        .copied()
        .unwrap_or("no message")
}
