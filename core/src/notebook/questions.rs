//! Questions about an entry that is not recorded yet.

use super::Notebook;
use super::entry_kind::HoleEntry;
use super::error::NotebookError;
use super::id::HoleId;
use crate::hole::plausibility::{self, Known};
use crate::hole::question::Question;

impl Notebook {
    /// Returns what is unusual about an entry that is to be recorded about a hole, for a person to
    /// answer first. [`Notebook::record`] does not ask.
    ///
    /// # Errors
    /// If there is no such hole, or if the notebook cannot be read.
    pub fn questions(
        &self,
        hole: HoleId,
        entry: &HoleEntry,
    ) -> Result<Vec<Question>, NotebookError> {
        let view = self.hole(hole)?;
        let (record, face) = (&view.record, &view.face_record);
        let known = Known::of(record, face);
        let unusual = match entry {
            HoleEntry::Reading(reading) => plausibility::reading(reading, &known),
            HoleEntry::Damage(damage) => plausibility::damage(damage, &known),
            HoleEntry::WantedThread(wanted) => plausibility::wanted(wanted, record, face),
            _ => Vec::new(),
        };
        Ok(unusual.iter().map(Question::from).collect())
    }
}
