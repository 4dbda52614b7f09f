//! How answers are shown: the parts that several commands share.

use holebook_core::drill::Drill;
use holebook_core::length::{Length, Unit};
use holebook_core::notebook::{Notebook, NotebookError};
use holebook_core::thread::Thread;

/// How an answer is shown.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// One JSON value for scripts.
    pub json: bool,
    /// The unit for people, where they asked for one.
    pub unit: Option<Unit>,
}

impl Look {
    /// The unit for what stands in `notebook`: as asked, else as it is set.
    ///
    /// # Errors
    /// Where the notebook cannot be read.
    pub fn unit_of(self, notebook: &Notebook) -> Result<Unit, NotebookError> {
        self.unit.map_or_else(|| Ok(notebook.settings()?.unit), Ok)
    }

    /// The unit for readings: as asked or set, else inches.
    pub fn unit(self) -> Unit {
        self.unit.unwrap_or(Unit::Inch)
    }

    /// The unit for a thread's figures: as asked, else the one that the thread is made in.
    pub fn unit_for(self, thread: Thread) -> Unit {
        let own = if thread.series().is_metric() {
            Unit::Millimetre
        } else {
            Unit::Inch
        };
        self.unit.unwrap_or(own)
    }
}

/// A drill for people: its name, and its diameter where the name does not say it.
pub fn drill_words(drill: &Drill, unit: Unit) -> String {
    let (name, diameter) = (drill.to_string(), drill.diameter.show(unit));
    if name == diameter {
        diameter
    } else {
        format!("{name} ({diameter})")
    }
}

/// From the least to the most, with the unit once.
pub fn span(least: Length, most: Length, unit: Unit) -> String {
    let (least, most) = (least.show(unit), most.show(unit));
    if least == most {
        return most;
    }
    format!(
        "{} to {most}",
        least.trim_end_matches(unit.symbol()).trim_end()
    )
}

/// Each thing once, in the order they first come.
pub fn distinct<T: PartialEq>(things: impl Iterator<Item = T>) -> Vec<T> {
    let mut kept = Vec::new();
    for thing in things {
        if !kept.contains(&thing) {
            kept.push(thing);
        }
    }
    kept
}
