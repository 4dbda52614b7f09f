//! Every hole that a thread's bolt may ask for: tapped, for an insert, to pass through, down its stump.

use super::{Catalogue, Insert};
use crate::drill::{
    Fit, FullThread, HoleWanted, Purpose, broken_bolt_core, broken_bolt_pilot, clearance_hole,
    tapped_hole,
};
use crate::length::Length;
use crate::thread::Thread;

impl Insert {
    /// The hole to be tapped for it. The drill that its row names is aimed at, or the end of the limits that lies nearest to it.
    pub fn tapped_hole(&self) -> HoleWanted {
        let outside = &self.outside;
        HoleWanted {
            purpose: Purpose::Insert,
            job: format!("{}, tap {}", self.family, outside.designation),
            aim: self.drill.diameter.max(self.hole_min).min(self.hole_max),
            least: Some(self.hole_min),
            largest: Some(self.hole_max),
            depth: Some(FullThread {
                major: outside.major,
                // What is 100 percent is the outside thread's own affair: a hole of no diameter would leave so many percent.
                full_depth_mm: 100.0 * outside.major.mm() / outside.thread_percent(Length::ZERO),
            }),
            source: self.source.clone(),
        }
    }
}

/// The holes for a thread, first to be tapped for it, last down a broken bolt; `engagement` narrows the first as
/// [`tapped_hole`] says.
pub fn holes_for(
    catalogue: &Catalogue,
    thread: &Thread,
    engagement: Option<Length>,
) -> Vec<HoleWanted> {
    let mut holes = vec![tapped_hole(thread, engagement)];
    // No bolt goes into a pipe thread.
    if thread.is_pipe() {
        return holes;
    }
    for insert in catalogue.inserts_for(thread) {
        let hole = insert.tapped_hole();
        // The lengths of one kind share their hole.
        if !holes.contains(&hole) {
            holes.push(hole);
        }
    }
    let clearance = Fit::ALL
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
    use crate::drill::{Drawer, Kind, choices};
    use crate::insert::Family;

    #[test]
    fn every_job_of_three_eighths_coarse() {
        let holes = holes_for(
            Catalogue::standard(),
            &Thread::parse("3/8-16").unwrap(),
            None,
        );
        let jobs: Vec<&str> = holes.iter().map(|hole| hole.job.as_str()).collect();
        for job in [
            "tap 3/8-16 UNC",
            "wire thread insert, tap 3/8-16 STI",
            "key-locking insert, thin wall, tap 1/2-13 UNC",
            "key-locking insert, heavy duty, tap 9/16-12 UNC",
            "a 3/8-16 UNC bolt passes, loose fit",
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
    fn the_drill_of_the_row_is_the_best_of_its_kind() {
        let thread = Thread::parse("3/8-16").unwrap();
        // No inch drill lies between the limits of 9/16-18, which a bushing takes.
        let inserts = Catalogue::standard().inserts_for(&thread).into_iter();
        for insert in inserts.filter(|insert| insert.family != Family::Bushing) {
            let found = choices(&insert.tapped_hole(), Drawer::INCH);
            assert_eq!(
                found.best().unwrap().drill.diameter,
                insert.drill.diameter,
                "{}",
                insert.family
            );
            let percent = found.exact.unwrap().thread_percent.unwrap();
            assert!((percent - insert.outside.thread_percent(insert.drill.diameter)).abs() < 1e-9);
        }
        let letters = Drawer::of(&[Kind::Letter]);
        let thin = Catalogue::standard()
            .inserts_for(&thread)
            .into_iter()
            .find(|insert| insert.keys == 4)
            .unwrap();
        assert!(choices(&thin.tapped_hole(), letters).best().is_none());
    }
}
