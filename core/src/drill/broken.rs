//! Drills for the stump of a bolt that broke off in its hole.
//!
//! All of it is judgement: no standard speaks of it. The size marked on an extractor decides over these numbers.

use super::wanted::{HoleWanted, Purpose};
use crate::length::Length;
use crate::thread::Thread;

/// What a drill may run off the bolt's centre and still not touch the thread of the hole (judgement).
const OFF_CENTRE: Length = Length::from_nm(100_000);

/// The pilot down a broken bolt, for an extractor or as the first of several drills: about half the bolt (judgement).
/// A left-hand drill of this size often
/// turns the stump out by itself.
pub fn broken_bolt_pilot(thread: &Thread) -> HoleWanted {
    let size = thread.nominal();
    HoleWanted {
        purpose: Purpose::BrokenBoltPilot,
        job: format!("broken {} bolt, first drill or extractor", thread.designation()),
        aim: size / 2,
        least: Some(size * 2 / 5),
        largest: Some(size * 3 / 5),
        depth: None,
        source: "about half the bolt, 0.4 to 0.6 of it (judgement, no source); the size marked on the extractor decides"
            .to_owned(),
    }
}

/// The last drill down a broken bolt: what is left is a coil in the thread, to be picked out. It stays so far inside the thread of
/// the hole that a drill 0.1 mm off centre does not touch it (judgement).
pub fn broken_bolt_core(thread: &Thread) -> HoleWanted {
    let largest = thread.usual_internal().minor_min - OFF_CENTRE * 2;
    HoleWanted {
        purpose: Purpose::BrokenBoltCore,
        job: format!("broken {} bolt, last drill before its coil is picked out", thread.designation()),
        aim: largest,
        least: None,
        largest: Some(largest),
        depth: None,
        source: "0.2 mm below the least minor diameter of the hole, so that a drill 0.1 mm off centre spares its thread (judgement, no source)"
            .to_owned(),
    }
}
