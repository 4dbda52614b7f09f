//! The kit as a file: CSV or plain text.

use super::super::work_scope::WorkOf;
use super::WORD;
use crate::carrier::Response;
use crate::download::{attachment, file_name};
use holebook_core::hole::kit::{csv, text};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError};

/// Marks a file as UTF-8 for spreadsheets that guess.
const BYTE_ORDER_MARK: &str = "\u{feff}";

/// The first line of the text.
pub fn title(name: &str) -> String {
    format!("Kit for {name}")
}

/// The kit as a file; `None` if there is no such form of it.
pub fn download(
    notebook: &Notebook,
    of: WorkOf,
    form: &str,
    unit: Unit,
) -> Result<Option<Response>, NotebookError> {
    let (name, _) = of.name_and_crumbs(notebook)?;
    let kit = notebook.kit(&of.scope())?;
    let (content_type, ending, text) = match form {
        "csv" => {
            let rows =
                csv(&kit, unit).map_err(|error| NotebookError::Invalid(error.to_string()))?;
            let text = format!("{BYTE_ORDER_MARK}{rows}");
            ("text/csv; charset=utf-8", "csv", text)
        }
        "text" => {
            let text = text(&kit, &title(&name), unit);
            ("text/plain; charset=utf-8", "txt", text)
        }
        _ => return Ok(None),
    };
    let name = file_name(&name, WORD, ending);
    Ok(Some(attachment(content_type, &name, text)))
}
