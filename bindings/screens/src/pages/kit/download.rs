//! The kit as a file: CSV or plain text.

use super::super::work_scope::WorkOf;
use crate::carrier::{Body, Response};
use holebook_core::hole::kit::{csv, text};
use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError};

/// Marks a file as UTF-8 for spreadsheets that guess.
const BYTE_ORDER_MARK: &str = "\u{feff}";

/// The first line of the text.
pub fn title(name: &str) -> String {
    format!("Kit for {name}")
}

/// A file name that every system takes: letters and digits of the casting's and face's names.
pub fn file_name(name: &str, ending: &str) -> String {
    let letters = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    let name: String = name.chars().take(60).map(letters).collect();
    let words: Vec<&str> = name.split('-').filter(|word| !word.is_empty()).collect();
    let name = words.join("-").to_ascii_lowercase();
    match name.is_empty() {
        true => format!("kit.{ending}"),
        false => format!("kit-{name}.{ending}"),
    }
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
    let attachment = format!("attachment; filename=\"{}\"", file_name(&name, ending));
    Ok(Some(Response {
        status: 200,
        headers: vec![
            ("content-type", content_type.to_owned()),
            ("content-disposition", attachment),
            ("cache-control", "no-store".to_owned()),
        ],
        body: Body::Text(text),
    }))
}
