//! Inserts as `--json` answers them.

use super::{Catalogue, Coil, Confidence, Family, Insert};
use crate::drill::Drill;
use crate::length::Length;
use crate::thread::Thread;
use serde::Serialize;

/// From the least to the largest.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Span {
    /// Least.
    pub min: Length,
    /// Largest.
    pub max: Length,
}

/// One insert, as scripts and the phone read it; lengths are millimetres.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InsertReport {
    /// Its kind.
    pub family: Family,
    /// The thread it holds by in the parent metal.
    pub outside_thread: String,
    /// The drill for it.
    pub drill: Drill,
    /// The tap for it.
    pub tap: String,
    /// Diameter of the countersink.
    pub countersink_mm: Option<Span>,
    /// How far below the face its upper end stands.
    pub set_below_mm: Span,
    /// Nominal length.
    pub length_mm: Length,
    /// Locking keys, 0 for none.
    pub keys: u8,
    /// Where the numbers come from.
    pub source: String,
    /// How sure the least sure of them is.
    pub confidence: Confidence,
    /// The shop's own file that it stands in.
    pub shop_file: Option<String>,
    /// Depth of full thread to plan for.
    pub full_thread_needed_mm: Length,
    /// What becomes of the coil, for a wire thread insert.
    pub coil: Option<Coil>,
    /// Diameter of the hole before tapping.
    pub hole_mm: Span,
    /// Least depth of full thread.
    pub full_thread_min_mm: Length,
    /// What a person must know beside the numbers.
    pub notes: Vec<String>,
}

impl From<&Insert> for InsertReport {
    fn from(insert: &Insert) -> InsertReport {
        InsertReport {
            family: insert.family,
            outside_thread: insert.outside.designation.clone(),
            drill: insert.drill,
            tap: insert.tap.clone(),
            countersink_mm: insert.countersink.map(|c| Span {
                min: c.min,
                max: c.max,
            }),
            set_below_mm: Span {
                min: insert.set_below_min,
                max: insert.set_below_max,
            },
            length_mm: insert.length,
            keys: insert.keys,
            source: insert.source.clone(),
            confidence: insert.confidence,
            shop_file: insert.shop_file.clone(),
            hole_mm: Span {
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

/// All inserts that give a thread, one entry for each family and length.
pub fn report(catalogue: &Catalogue, thread: &Thread) -> Vec<InsertReport> {
    let inserts = catalogue.inserts_for(thread).into_iter();
    inserts.map(|insert| InsertReport::from(&*insert)).collect()
}
