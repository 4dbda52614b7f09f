//! Remedies: every way to make a hole hold again, each with its checks, the least that truly fits first.
//!
//! No remedy is scored. Each check says what there is, what it takes and where that limit comes from; the verdict follows
//! from the checks alone. A check whose reading is missing is never passed. Readings count at the worst that they may be; where a remedy
//! fits by what they read and not at the worst, it fits with care, and says which reading to take better.

mod answer;
mod assess;
mod broken;
mod candidate;
mod check;
mod depends;
mod depth;
mod holds;
mod joint;
mod left;
mod pins;
mod rank;
mod room;
mod ways;

pub use check::{Check, Lack, Weight};
pub use depends::Dependence;
pub use depth::{POINT_LENGTH_PER_DIAMETER, point_length};
pub use pins::Pins;

use super::budget::Depths;
use super::caution::Caution;
use super::damage::Span;
use super::record::{Remedy, Work};
use super::situation::Situation;
use crate::drill::Drill;
use crate::insert::{Catalogue, Family, Insert, TapChamfer};
use crate::length::Length;
use crate::strength::bolt::Reach;
use crate::strength::{Comparison, Condition, Grade, Torque, torque};
use crate::thread::Thread;
use serde::Serialize;
use std::fmt;
use std::sync::Arc;

/// What the checks of a remedy come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum Verdict {
    /// Every check passes.
    #[serde(rename = "fits")]
    Fits,
    /// All that must pass does, but something is worse than it should be.
    #[serde(rename = "fits with care")]
    FitsWithCare,
    /// A reading is missing, and nothing that is known rules the remedy out.
    #[serde(rename = "not known")]
    NotKnown,
    /// A check that must pass fails.
    #[serde(rename = "does not fit")]
    DoesNotFit,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Verdict::Fits => "fits",
            Verdict::FitsWithCare => "fits with care",
            Verdict::NotKnown => "not known",
            Verdict::DoesNotFit => "does not fit",
        })
    }
}

/// What is left of the outside thread at one depth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThreadLeft {
    /// Depth below today's face.
    #[serde(rename = "depth_mm")]
    pub depth: Length,
    /// Part of the flank height, averaged round the circumference. On the safe side: strength in shear falls later.
    pub fraction: f64,
}

/// One remedy, judged. Serialises as `holebook remedies --json` promises.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The remedy.
    pub remedy: Remedy,
    /// The insert, where the remedy is one.
    pub insert: Option<Arc<Insert>>,
    /// The thread cut into the casting, where one is cut.
    pub outside_thread: Option<String>,
    /// What the checks come to.
    pub verdict: Verdict,
    /// The checks, with both numbers each.
    pub checks: Vec<Check>,
    /// What is left of the thread over the engaged depth, at each end and in the middle of every slice in which nothing changes.
    pub thread_left: Vec<ThreadLeft>,
    /// Where the thread is engaged, from today's face.
    pub engaged: Option<Span>,
    /// Length of whole thread that comes to the same; `None` where nobody looked what is missing.
    pub effective_engagement: Option<Length>,
    /// Load that strips the iron, newtons.
    pub parent_strength_n: Option<f64>,
    /// Load that breaks the bolt, newtons; `None` where its grade is not known.
    pub bolt_strength_n: Option<f64>,
    /// Load that strips a sound hole for the wanted bolt with 1.5 diameters engaged, newtons.
    pub sound_strength_n: Option<f64>,
    /// The first over the second. Below one the iron strips before the bolt breaks, as it does in most sound holes in old iron too.
    pub strength_ratio: Option<f64>,
    /// The thread of the bolt that the finished hole takes.
    pub bolt_thread: Thread,
    /// What fails first, with all loads; none for a specialist's hole.
    pub fails: Option<Comparison>,
    /// Which length of bolt it takes; none where nobody said how thick the part is that it holds.
    pub bolt: Option<Reach>,
    /// How deep to go, where something is cut.
    pub depths: Option<Depths>,
    /// The drill, where something is drilled.
    pub drill: Option<Drill>,
    /// The tap, where something is tapped.
    pub tap: Option<String>,
    /// The chamfer of the tap that the depths are reckoned for.
    pub tap_chamfer: Option<TapChamfer>,
    /// The pins that lock it, where it is a plug.
    pub pins: Option<Pins>,
    /// What is not in the drawer; empty also where nobody said what is.
    pub not_on_hand: Vec<String>,
    /// The readings that the verdict hangs on: with what they read it would be better than at the worst of them.
    pub depends_on: Vec<Dependence>,
    /// Why, in words, where no check says it: for a specialist.
    pub because: Vec<String>,
    /// What to beware of.
    pub cautions: Vec<Caution>,
}

impl Assessment {
    /// What a choice of this remedy, and every entry of work done for it, says.
    pub fn work(&self) -> Work {
        Work {
            remedy: self.remedy,
            family: self.insert.as_ref().map(|insert| insert.family),
            length: self.insert.as_ref().map(|insert| insert.length),
            outside_thread: self.outside_thread.clone(),
        }
    }

    /// The kind of insert, where it is one.
    pub fn family(&self) -> Option<Family> {
        self.insert.as_ref().map(|insert| insert.family)
    }

    /// Why it does not simply fit, a sentence for each check that does not pass.
    pub fn reasons(&self) -> Vec<String> {
        let depends = self.depends_on.iter().map(ToString::to_string);
        let checks = self.checks.iter().filter_map(Check::reason);
        let because = self.because.iter().cloned();
        because.chain(depends).chain(checks).collect()
    }

    /// Whether a piece that broke off is in its way; not where it lies below all that is cut or screwed in.
    pub fn broken_piece_in_the_way(&self) -> bool {
        let mut checks = self.checks.iter();
        checks.any(|check| broken::is_about(check) && check.passes != Some(true))
    }

    /// How tight the finished bolt may go, for a bolt of a grade in a state: the preload stays under half the load that strips the metal and
    /// three quarters of the bolt's proof load. None where either is not known.
    pub fn torque(&self, grade: Option<Grade>, condition: Condition) -> Option<Torque> {
        torque(
            &self.bolt_thread,
            &grade?,
            self.parent_strength_n?,
            condition,
        )
        .ok()
    }

    /// The readings that it waits for, each once.
    pub fn lacks(&self) -> Vec<Lack> {
        let mut lacks: Vec<Lack> = self.checks.iter().filter_map(|check| check.lacks).collect();
        lacks.sort_unstable();
        lacks.dedup();
        lacks
    }
}

/// Every remedy for a hole with the inserts that there are, judged: those that fit first, and among them the least intrusive, with the length that suits best.
///
/// Handing the hole to a specialist always stands last, unless nothing else is left: then it stands first, so that the first
/// is always the one to take.
pub fn remedies(situation: &Situation, catalogue: &Catalogue) -> Vec<Assessment> {
    let mut all = judged(situation, catalogue);
    depends::on_readings(situation, catalogue, &mut all);
    rank::sort(&mut all);
    rank::add_specialist(situation, all)
}

/// Every remedy but the specialist, judged at the worst of the readings, in no order.
fn judged(situation: &Situation, catalogue: &Catalogue) -> Vec<Assessment> {
    let mut judge = assess::Judge::new(situation);
    let mut all: Vec<Assessment> = ways::candidates(situation, catalogue)
        .into_iter()
        .map(|way| judge.assess(way))
        .collect();
    rank::keep_best_start(&mut all);
    all
}

/// What one of the remedies comes to; `None` where it is not among the ways.
fn verdict_of(situation: &Situation, catalogue: &Catalogue, work: &Work) -> Option<Verdict> {
    let mut judge = assess::Judge::new(situation);
    let ways = ways::candidates(situation, catalogue).into_iter();
    ways.filter(|way| way.is(work))
        .map(|way| judge.assess(way).verdict)
        .min()
}

/// The assessment that a recorded piece of work belongs to.
pub fn assessment_of<'a>(all: &'a [Assessment], work: &Work) -> Option<&'a Assessment> {
    all.iter()
        .find(|assessment| work.serves(&assessment.work()))
}

#[cfg(test)]
mod tests;
