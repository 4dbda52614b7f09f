//! Drills for a bolt that broke off in its hole.
//!
//! All of it is judgment, as there is no standard. The drill size marked on the extractor overrides
//! these numbers.

use super::hole_spec::{HolePurpose, HoleSpec};
use crate::length::Length;
use crate::thread::Thread;

/// How far off the bolt's center the drill may run without touching the thread of the hole
/// (judgment).
const OFF_CENTER: Length = Length::from_nm(100_000);

/// Returns the pilot hole in a broken bolt, for an extractor or as the first of several drills:
/// about half the bolt (judgment).
///
/// A left-hand drill of this size often backs the stub out by itself.
pub fn broken_bolt_pilot(thread: &Thread) -> HoleSpec {
    let size = thread.nominal();
    HoleSpec {
        purpose: HolePurpose::BrokenBoltPilot,
        job: format!("broken {} bolt, first drill or extractor", thread.designation()),
        aim: size / 2,
        least: Some(size * 2 / 5),
        largest: Some(size * 3 / 5),
        depth: None,
        source: "about half the bolt diameter, 0.4 to 0.6 of it (judgment, no source); the drill size marked on the extractor overrides it"
            .to_owned(),
    }
}

/// Returns the last hole in a broken bolt, which leaves only a coil in the thread to pick out.
///
/// It is small enough that a drill 0.1 mm off center does not touch the thread of the hole
/// (judgment).
pub fn broken_bolt_core(thread: &Thread) -> HoleSpec {
    let largest = thread.usual_internal().minor_min - OFF_CENTER * 2;
    HoleSpec {
        purpose: HolePurpose::BrokenBoltCore,
        job: format!("broken {} bolt, last drill before picking out the coil", thread.designation()),
        aim: largest,
        least: None,
        largest: Some(largest),
        depth: None,
        source: "0.2 mm below the least minor diameter of the hole, so that a drill 0.1 mm off center misses the thread (judgment, no source)"
            .to_owned(),
    }
}
