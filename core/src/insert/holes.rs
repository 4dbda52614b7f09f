//! All holes that a job with a thread may need: tapped, for inserts, clearance, and in a broken
//! bolt.

use super::{Catalog, Insert};
use crate::drill::{
    ClearanceFit, FullThread, HolePurpose, HoleSpec, broken_bolt_core, broken_bolt_pilot,
    clearance_hole, tapped_hole,
};
use crate::length::Length;
use crate::thread::Thread;

impl Insert {
    /// Returns the hole to tap for the insert. The target is its drill, clamped to the limits.
    pub fn tapped_hole(&self) -> HoleSpec {
        let outside = &self.outside;
        HoleSpec {
            purpose: HolePurpose::Insert,
            job: format!("{}, tap {}", self.family, outside.designation),
            aim: self.drill.diameter.max(self.hole_min).min(self.hole_max),
            least: Some(self.hole_min),
            largest: Some(self.hole_max),
            depth: Some(FullThread {
                major: outside.major,
                // The percentage that a hole of zero diameter would leave scales the full depth.
                full_depth_mm: 100.0 * outside.major.mm() / outside.thread_percent(Length::ZERO),
            }),
            source: self.source.clone(),
        }
    }
}

/// Returns all holes for a thread, from the tapped hole to the last drill in a broken bolt.
/// `engagement` sets the limits of the first: see [`tapped_hole`].
pub fn holes_for(catalog: &Catalog, thread: &Thread, engagement: Option<Length>) -> Vec<HoleSpec> {
    // The drill for an STI hole comes with its inserts.
    let sti = thread.is_sti().then(|| catalog.inserts_for(thread));
    if let Some(insert) = sti.as_ref().and_then(|inserts| inserts.first()) {
        return vec![insert.tapped_hole()];
    }
    let mut holes = vec![tapped_hole(thread, engagement)];
    if !thread.takes_bolt() {
        return holes;
    }
    for insert in catalog.inserts_for(thread) {
        let hole = insert.tapped_hole();
        // All lengths of a family share one hole.
        if !holes.contains(&hole) {
            holes.push(hole);
        }
    }
    let clearance = ClearanceFit::ALL
        .into_iter()
        .filter_map(|fit| clearance_hole(thread, fit));
    holes.extend(clearance);
    holes.push(broken_bolt_pilot(thread));
    holes.push(broken_bolt_core(thread));
    holes
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::drill::{DrillKind, DrillKinds, drill_choices};
    use crate::insert::Family;

    #[test]
    fn holes_for_three_eighths_coarse() {
        let holes = holes_for(Catalog::standard(), &Thread::parse("3/8-16").unwrap(), None);
        let jobs: Vec<&str> = holes.iter().map(|hole| hole.job.as_str()).collect();
        for job in [
            "tap 3/8-16 UNC",
            "wire thread insert, tap 3/8-16 STI",
            "key-locking insert, thin wall, tap 1/2-13 UNC",
            "key-locking insert, heavy duty, tap 9/16-12 UNC",
            "clearance hole for 3/8-16 UNC, loose fit",
        ] {
            assert_eq!(
                jobs.iter().filter(|it| **it == job).count(),
                1,
                "{job}: {jobs:?}"
            );
        }
        assert!(jobs.last().unwrap().contains("last drill"));
    }

    /// MS51830E: .452 to .457 before tapping 1/2-13; 29/64 is .4531.
    #[test]
    fn the_drill_of_a_row_is_the_recommended_one() {
        let thread = Thread::parse("3/8-16").unwrap();
        // No inch drill is within the limits of 9/16-18, the thread of the bushing.
        let inserts = Catalog::standard().inserts_for(&thread).into_iter();
        for insert in inserts.filter(|insert| insert.family != Family::Bushing) {
            let found = drill_choices(&insert.tapped_hole(), DrillKinds::INCH);
            assert_eq!(
                found.best().unwrap().drill.diameter,
                insert.drill.diameter,
                "{}",
                insert.family
            );
            let percent = found.exact.unwrap().thread_percent.unwrap();
            assert!((percent - insert.outside.thread_percent(insert.drill.diameter)).abs() < 1e-9);
        }
        let letters = DrillKinds::of(&[DrillKind::Letter]);
        let thin = Catalog::standard()
            .inserts_for(&thread)
            .into_iter()
            .find(|insert| insert.keys == 4)
            .unwrap();
        assert!(drill_choices(&thin.tapped_hole(), letters).best().is_none());
    }
}
