//! The active entries about one subject, as typed values.

use super::body::{FaceBody, HoleBody, MarkBody};
use super::error::Fault;
use super::id::{DeviceId, EntryId, PhotoId, Seen};
use crate::hole::record::{FaceRecord, FactEntries, HoleRecord, Recorded};
use crate::hole::stage::HoleStatus;
use chrono::{DateTime, FixedOffset};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// All active entries about a hole.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct HoleFacts {
    /// Its number and its position on the face.
    pub placement: FactEntries<HoleBody>,
    /// Its mark in each photo.
    pub marks: BTreeMap<PhotoId, FactEntries<MarkBody>>,
    /// Readings, plans and work.
    pub record: HoleRecord,
    /// Number of active entries that this version does not understand.
    pub unknown_entries: u32,
}

impl HoleFacts {
    /// Returns whether any fact about the hole is in conflict: the work, its number or position,
    /// or a mark.
    pub(crate) fn has_conflict(&self, status: &HoleStatus) -> bool {
        let marks_differ = self.marks.values().any(FactEntries::differ);
        status.has_conflict() || self.placement.differ() || marks_differ
    }
}

/// All active entries about a face.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct FaceFacts {
    /// Its name and casting.
    pub details: FactEntries<FaceBody>,
    /// What its holes depend on. The metal and the limits are set only if the casting was loaded
    /// too.
    pub record: FaceRecord,
    /// The casting's name; `None` if the casting was not loaded or does not exist.
    pub casting_name: Option<String>,
}

/// Reads a line's body with its id, device, person and time.
pub(crate) fn recorded<T: DeserializeOwned>(line: &str) -> Result<Recorded<T>, Fault> {
    #[derive(Deserialize)]
    struct Fields<T> {
        id: EntryId,
        device: DeviceId,
        seq: u64,
        #[serde(default)]
        seen: Vec<Seen>,
        #[serde(default)]
        corrects: Option<Seen>,
        by: String,
        at: DateTime<FixedOffset>,
        body: T,
    }
    let fields: Fields<T> = serde_json::from_str(line).map_err(Fault::unreadable)?;
    Ok(Recorded {
        entry: fields.id,
        device: fields.device,
        seq: fields.seq,
        seen: fields.seen,
        corrects: fields.corrects,
        by: fields.by,
        at: fields.at,
        body: fields.body,
    })
}
