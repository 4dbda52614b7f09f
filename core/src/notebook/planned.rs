//! Recording a step as planned, in one tap.

use super::Notebook;
use super::entry_kind::HoleEntry;
use super::error::{Fault, NotebookError};
use super::hole_entry::record;
use super::id::{EntryId, HoleId};
use super::load;
use crate::hole::plan::Plan;
use crate::hole::steps::{PlannedEntry, StepEntry, StepKey};
use crate::insert::Catalog;
use crate::length::Unit;
use rusqlite::Connection;
use sha2::{Digest, Sha256};

/// How many bytes of the hash are in a key.
const KEY_BYTES: usize = 8;

/// A way in which a step is done as planned, and the entry that records it.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq)]
pub struct PlannedRecord {
    /// Names exactly this entry: recording it with the key of what was shown refuses if the plan
    /// has changed since.
    pub key: String,
    /// What a person says by recording it, for a button.
    pub label: String,
    /// The entry.
    pub entry: HoleEntry,
}

impl From<StepEntry> for HoleEntry {
    fn from(entry: StepEntry) -> HoleEntry {
        match entry {
            StepEntry::Cut(body) => HoleEntry::Cut(body),
            StepEntry::TrialFit(body) => HoleEntry::TrialFit(body),
            StepEntry::Install(body) => HoleEntry::Install(body),
            StepEntry::StakeKeys(body) => HoleEntry::StakeKeys(body),
            StepEntry::Check(body) => HoleEntry::Check(body),
            StepEntry::FinalCheck(body) => HoleEntry::FinalCheck(body),
        }
    }
}

impl From<PlannedEntry> for PlannedRecord {
    fn from(planned: PlannedEntry) -> PlannedRecord {
        let entry = HoleEntry::from(planned.entry);
        PlannedRecord {
            key: key(&entry),
            label: planned.label,
            entry,
        }
    }
}

/// Returns a short hash of an entry. One that is not valid has a key that nothing is recorded by.
fn key(entry: &HoleEntry) -> String {
    let body = entry.to_json().map(|body| body.to_string());
    let text = format!("{} {}", entry.kind(), body.unwrap_or_default());
    hex::encode(&Sha256::digest(text)[..KEY_BYTES])
}

impl Notebook {
    /// Returns what one tap records of a step done as planned: an entry for each way in which it may
    /// have been done, the usual one first, with lengths as they are shown in `unit`.
    ///
    /// # Errors
    /// If there is no such hole, if the step is not one of its open steps, is out of order or needs
    /// a measured value, or if the notebook cannot be read.
    pub fn as_planned(
        &self,
        hole: HoleId,
        step: StepKey,
        unit: Unit,
    ) -> Result<Vec<PlannedRecord>, NotebookError> {
        let catalog = self.catalog()?;
        self.read(|conn| planned(conn, hole, step, unit, &catalog))
    }

    /// Records a step as planned: the entry of [`Notebook::as_planned`] that has this key.
    ///
    /// # Errors
    /// As for [`Notebook::as_planned`], if no entry has the key because the plan has changed since
    /// it was shown, or if the notebook cannot be written. Nothing is recorded then.
    pub fn record_as_planned(
        &self,
        hole: HoleId,
        step: StepKey,
        unit: Unit,
        key: &str,
    ) -> Result<EntryId, NotebookError> {
        let catalog = self.catalog()?;
        self.write(|tx| {
            let planned = planned(tx.conn(), hole, step, unit, &catalog)?;
            let asked = planned.into_iter().find(|planned| planned.key == key);
            let changed = "the plan has changed since this page was opened; look at the step again";
            let planned = asked.ok_or_else(|| Fault::invalid(changed))?;
            record(tx, hole, &planned.entry, [])
        })
    }
}

fn planned(
    conn: &Connection,
    hole: HoleId,
    step: StepKey,
    unit: Unit,
    catalog: &Catalog,
) -> Result<Vec<PlannedRecord>, Fault> {
    let facts = load::hole(conn, hole)?;
    let placed = facts.placement.0.first();
    let face = placed
        .ok_or_else(|| Fault::no_such("hole", hole))?
        .body
        .face;
    let face = load::face_on_casting(conn, face)?.record;
    let plan = Plan::of_chosen(&facts.record, &face, catalog);
    let planned = plan.as_planned(&face, step, unit);
    let planned = planned.map_err(|why| Fault::invalid(why.to_string()))?;
    Ok(planned.into_iter().map(PlannedRecord::from).collect())
}
