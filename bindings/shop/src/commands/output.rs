//! How answers are shown, shared by several commands.

use holebook_core::length::Unit;
use holebook_core::notebook::{Notebook, NotebookError};
use holebook_core::thread::Thread;

/// How an answer is shown.
#[derive(Debug, Clone, Copy)]
pub struct OutputOptions {
    /// Whether to print one JSON value.
    pub json: bool,
    /// The unit given on the command line.
    pub unit: Option<Unit>,
}

impl OutputOptions {
    /// The unit for the contents of `notebook`: as given, else its setting.
    ///
    /// # Errors
    /// If the notebook cannot be read.
    pub fn unit_for_notebook(self, notebook: &Notebook) -> Result<Unit, NotebookError> {
        self.unit.map_or_else(|| Ok(notebook.settings()?.unit), Ok)
    }

    /// The unit for readings: as given or set, else inches.
    pub fn unit(self) -> Unit {
        self.unit.unwrap_or(Unit::Inch)
    }

    /// The unit for a thread's sizes: as given, else the unit of its standard.
    pub fn unit_for_thread(self, thread: Thread) -> Unit {
        let standard = if thread.series().is_metric() {
            Unit::Millimeter
        } else {
            Unit::Inch
        };
        self.unit.unwrap_or(standard)
    }
}

/// Drops repeated items, keeping the order.
pub fn distinct<T: PartialEq>(items: impl Iterator<Item = T>) -> Vec<T> {
    let mut result = Vec::new();
    for item in items {
        if !result.contains(&item) {
            result.push(item);
        }
    }
    result
}
