//! The insert report that `insert --json` prints.

use super::{Catalog, Coil, Confidence, Family, Insert};
use crate::drill::Drill;
use crate::length::Length;
use crate::thread::Thread;
use serde::Serialize;

/// A range of lengths.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LengthRange {
    /// Least.
    pub min: Length,
    /// Largest.
    pub max: Length,
}

/// One insert; lengths in millimeters.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InsertReport {
    /// Family.
    pub family: Family,
    /// Outside thread, in the parent metal.
    pub outside_thread: String,
    /// Drill for the hole.
    pub drill: Drill,
    /// Tap for the hole.
    pub tap: String,
    /// Diameter of the countersink.
    pub countersink_mm: Option<LengthRange>,
    /// Depth of the upper end below the face.
    pub set_below_mm: LengthRange,
    /// Nominal length.
    pub length_mm: Length,
    /// Locking keys; 0 for none.
    pub keys: u8,
    /// Source of the numbers.
    pub source: String,
    /// Confidence in the least certain of the numbers.
    pub confidence: Confidence,
    /// The shop's own file that lists it; `None` for a built-in insert.
    pub shop_file: Option<String>,
    /// Depth of full thread to plan for.
    pub full_thread_needed_mm: Length,
    /// Dimensions of the installed coil of a wire thread insert.
    pub coil: Option<Coil>,
    /// Diameter of the hole before tapping.
    pub hole_mm: LengthRange,
    /// Least depth of full thread.
    pub full_thread_min_mm: Length,
    /// Notes, in sentences.
    pub notes: Vec<String>,
}

impl From<&Insert> for InsertReport {
    fn from(insert: &Insert) -> InsertReport {
        InsertReport {
            family: insert.family,
            outside_thread: insert.outside.designation.clone(),
            drill: insert.drill,
            tap: insert.tap.clone(),
            countersink_mm: insert.countersink.map(|c| LengthRange {
                min: c.min,
                max: c.max,
            }),
            set_below_mm: LengthRange {
                min: insert.set_below_min,
                max: insert.set_below_max,
            },
            length_mm: insert.length,
            keys: insert.keys,
            source: insert.source.clone(),
            confidence: insert.confidence,
            shop_file: insert.shop_file.clone(),
            hole_mm: LengthRange {
                min: insert.hole_min,
                max: insert.hole_max,
            },
            full_thread_min_mm: insert.full_thread_min,
            full_thread_needed_mm: insert.full_thread_needed(),
            coil: insert.coil,
            notes: insert.notes.clone(),
        }
    }
}

/// Reports all inserts for a thread, one entry per family and length.
pub fn report(catalog: &Catalog, thread: &Thread) -> Vec<InsertReport> {
    let inserts = catalog.inserts_for(thread).into_iter();
    inserts.map(|insert| InsertReport::from(&*insert)).collect()
}
