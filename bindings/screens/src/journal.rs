//! One line of HTML for a journal entry.

use crate::labels::markup;
use holebook_core::labels;
use holebook_core::length::Unit;
use holebook_core::notebook::{HoleEntry, JournalLine};
use maud::Markup;

/// Returns what an entry says: the label of its kind with the details.
pub fn entry_text(line: &JournalLine, unit: Unit) -> Markup {
    markup(&labels::entry_text(line, unit))
}

/// What one tap records of a step done as planned.
pub fn planned_text(entry: &HoleEntry, unit: Unit) -> Markup {
    markup(&labels::planned_text(entry, unit))
}
