//! Remedies: assesses every way to make a hole hold again, least invasive that fits first.
//!
//! Remedies are not scored. Each check has the value found, the limit and the limit's source, and
//! the verdict follows from the checks alone. A check with a missing reading never passes. Readings
//! count at the worst case of their tolerances. A remedy that fits as read but not at the worst
//! case is unknown, and says which reading to measure more closely.

mod assess;
mod bolt_engagement;
mod broken_piece;
mod candidate;
mod candidates;
mod cautions;
mod check;
mod contenders;
mod depth;
mod edge_distance;
mod figures;
mod first_because;
mod joint;
mod json;
mod pins;
mod rank;
mod rationale;
mod sensitivity;
mod special_checks;
mod strength_checks;
mod thread_remaining;

pub use super::verdict::Verdict;
pub use check::{Check, MissingReading, Weight};
pub(in crate::hole) use contenders::contenders;
pub use depth::{POINT_LENGTH_PER_DIAMETER, point_length};
pub use joint::BoltTip;
pub use pins::Pins;
pub use sensitivity::Sensitivity;

use super::caution::Caution;
use super::damage::Span;
use super::depths::Depths;
use super::record::{Remedy, RemedySpec};
use super::situation::Situation;
use crate::drill::Drill;
use crate::insert::{Catalog, Family, SharedInsert, TapChamfer};
use crate::length::Length;
use crate::strength::bolt::BoltLength;
use crate::strength::{Comparison, Grade, Lubrication, Torque, torque};
use crate::thread::Thread;
use serde::Serialize;

/// Fraction of the outside thread left at a depth.
#[derive(holebook_shape::Shape, Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThreadLeft {
    /// Depth below the face as is.
    #[serde(rename = "depth_mm")]
    pub depth: Length,
    /// Fraction of the flank height left, averaged around the circumference, 0 to 1. On the safe
    /// side: shear strength falls later than flank height.
    pub fraction: f64,
}

/// A remedy with its checks and verdict.
///
/// This is the only list of its fields: `holebook remedies --json` serializes it together with its
/// [`reasons`](Assessment::reasons), and both builders start from `Assessment::new`.
#[derive(holebook_shape::Shape, Debug, Clone, PartialEq, Serialize)]
#[serde(remote = "Self")]
pub struct Assessment {
    /// The remedy.
    pub remedy: Remedy,
    /// The insert, if the remedy is one.
    #[serde(flatten, serialize_with = "json::insert")]
    pub insert: Option<SharedInsert>,
    /// Designation of the thread cut into the casting, if any.
    pub outside_thread: Option<String>,
    /// Verdict from the checks and the sensitivities.
    pub verdict: Verdict,
    /// Checks, each with the value found and the limit.
    pub checks: Vec<Check>,
    /// Readings that the checks need and do not have, each once.
    pub missing_readings: Vec<MissingReading>,
    /// Thread left over the engaged depth: the ends and the middle of each range without change,
    /// samples where it changes.
    pub thread_left: Vec<ThreadLeft>,
    /// Depth range in which the thread is engaged, from the face as is.
    pub engaged: Option<Span>,
    /// Length of whole thread equivalent to the thread left; `None` if the damage is unknown.
    #[serde(rename = "effective_engagement_mm")]
    pub effective_engagement: Option<Length>,
    /// Load that strips the thread in the parent metal, newtons.
    pub parent_strength_n: Option<f64>,
    /// What that load could be as low as, newtons: the floor of the metal's shear strength.
    pub parent_strength_floor_n: Option<f64>,
    /// Load that breaks the bolt, newtons; `None` if its grade is unknown.
    pub bolt_strength_n: Option<f64>,
    /// Load that strips a sound hole for the wanted bolt in the same metal, newtons.
    pub sound_strength_n: Option<f64>,
    /// Parent strength over that of the sound hole. From 1.0 on the torque in the machine's manual
    /// holds, below it that torque times this.
    pub sound_ratio: Option<f64>,
    /// Parent strength over bolt strength. Below 1 the parent metal strips before the bolt breaks,
    /// as in most sound holes in old iron.
    pub strength_ratio: Option<f64>,
    /// Thread of the bolt that the finished hole takes.
    #[serde(skip)]
    pub bolt_thread: Thread,
    /// Loads of all parts of the joint and which fails first; `None` for a specialist's remedy.
    pub failure: Option<Comparison>,
    /// Depths below the finished face between which the bolt's tip must end; `None` for a stud, and
    /// while a broken piece is in the way.
    #[serde(rename = "bolt_tip_mm")]
    pub bolt_tip: Option<BoltTip>,
    /// Bolt length that fits; `None` if the grip is unknown, for a stud, and while a broken piece is
    /// in the way.
    pub bolt: Option<BoltLength>,
    /// Metal left between the thread cut into the casting and the nearest edge.
    #[serde(rename = "edge_wall_mm")]
    pub edge_wall: Option<Length>,
    /// Depths to cut to, if anything is cut.
    #[serde(rename = "depths_mm", serialize_with = "json::depths")]
    pub depths: Option<Depths>,
    /// The drill, if anything is drilled.
    pub drill: Option<Drill>,
    /// The tap, if anything is tapped.
    pub tap: Option<String>,
    /// Chamfer of the tap that the depths are calculated for.
    pub tap_chamfer: Option<TapChamfer>,
    /// Pins that lock it, if the remedy is a plug.
    pub pins: Option<Pins>,
    /// What it needs that is not on hand; also empty if the stock on hand is unknown.
    pub not_on_hand: Vec<String>,
    /// Readings whose tolerance decides the verdict: as read it would be better than at the worst
    /// case.
    pub sensitivities: Vec<Sensitivity>,
    /// Why this one is first, in one sentence with lengths in both units; `None` for the others.
    pub first_because: Option<String>,
    /// Reasons that come from no check, such as why a specialist is needed.
    #[serde(skip)]
    pub rationale: Vec<String>,
    /// Cautions for the work.
    pub cautions: Vec<Caution>,
}

impl Assessment {
    /// Returns an assessment without checks or numbers, for `..` in a struct expression.
    fn new(remedy: Remedy, verdict: Verdict, bolt_thread: Thread) -> Assessment {
        Assessment {
            remedy,
            insert: None,
            outside_thread: None,
            verdict,
            checks: Vec::new(),
            missing_readings: Vec::new(),
            thread_left: Vec::new(),
            engaged: None,
            effective_engagement: None,
            parent_strength_n: None,
            parent_strength_floor_n: None,
            bolt_strength_n: None,
            sound_strength_n: None,
            sound_ratio: None,
            strength_ratio: None,
            bolt_thread,
            failure: None,
            bolt_tip: None,
            bolt: None,
            edge_wall: None,
            depths: None,
            drill: None,
            tap: None,
            tap_chamfer: None,
            pins: None,
            not_on_hand: Vec::new(),
            sensitivities: Vec::new(),
            first_because: None,
            rationale: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// Returns the spec that a choice of this remedy and entries about its work carry.
    pub fn spec(&self) -> RemedySpec {
        RemedySpec {
            remedy: self.remedy,
            family: self.insert.as_ref().map(|insert| insert.family),
            length: self.insert.as_ref().map(|insert| insert.length),
            outside_thread: self.outside_thread.clone(),
        }
    }

    /// Returns the insert's family, if the remedy is an insert.
    pub fn family(&self) -> Option<Family> {
        self.insert.as_ref().map(|insert| insert.family)
    }

    /// Returns its name in a sentence, with its length in both units or its thread.
    pub(in crate::hole) fn name(&self) -> String {
        first_because::name(self)
    }

    /// Returns why it does not simply fit: the rationale, the sensitivities and each check that does
    /// not pass, one sentence each, with lengths in both units.
    ///
    /// They are written only when somebody reads them: judging a hole takes half the time without.
    pub fn reasons(&self) -> Vec<String> {
        self.each_reason().collect()
    }

    fn each_reason(&self) -> impl Iterator<Item = String> + '_ {
        let rationale = self.rationale.iter().cloned();
        let sensitivities = self.sensitivities.iter().map(ToString::to_string);
        let checks = self.checks.iter().filter_map(Check::reason);
        rationale.chain(sensitivities).chain(checks)
    }

    /// Returns whether a broken piece is in the way. One that lies below everything that is cut or
    /// screwed in is not.
    pub fn blocked_by_broken_piece(&self) -> bool {
        self.checks.iter().any(broken_piece::blocks)
    }

    /// Returns the torque of the finished joint; `None` if the grade or the parent strength is
    /// unknown.
    ///
    /// The preload aimed for stays below half the load that strips the parent metal and below three
    /// quarters of the bolt's proof load.
    pub fn torque(&self, grade: Option<Grade>, condition: Lubrication) -> Option<Torque> {
        torque(
            &self.bolt_thread,
            &grade?,
            self.parent_strength_n?,
            condition,
        )
        .ok()
    }
}

/// Assesses every remedy for a hole, best first.
///
/// Remedies sort by verdict, then by how much they take from the casting, then by the length of
/// insert that suits best. One that fits as read, but not at the worst case, comes before shop-made
/// parts: a closer reading costs less. Sending it out is last, or first where nothing else
/// can fit, so that the first one is always the one to take.
pub fn assessments(situation: &Situation, catalog: &Catalog) -> Vec<Assessment> {
    let mut all = assess_all(situation, catalog);
    sensitivity::find_sensitivities(situation, catalog, &mut all);
    rank::sort(&mut all);
    let mut all = rank::add_specialist(situation, all);
    let why = first_because::first_because(&all);
    if let Some(first) = all.first_mut() {
        first.first_because = why;
    }
    all
}

/// What is done to a hole: its first remedy with its verdict.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::hole) struct Decision {
    spec: RemedySpec,
    verdict: Verdict,
}

impl Decision {
    /// Returns whether it fits, at least with reservations.
    pub(in crate::hole) fn is_usable(&self) -> bool {
        self.verdict <= Verdict::Marginal
    }
}

/// Returns what is done to a hole at the worst case of its readings, without the specialist; `None`
/// if nothing else fits.
pub(in crate::hole) fn decision(situation: &Situation, catalog: &Catalog) -> Option<Decision> {
    let mut all = assess_all(situation, catalog);
    rank::sort(&mut all);
    let first = all.first()?;
    (first.verdict != Verdict::DoesNotFit).then(|| Decision {
        spec: first.spec(),
        verdict: first.verdict,
    })
}

/// Returns which checks of which remedies pass at the worst case of the readings, in the order in
/// which they are judged.
pub(in crate::hole) fn passed_checks(
    situation: &Situation,
    catalog: &Catalog,
) -> Vec<(Remedy, Vec<Option<bool>>)> {
    let passes = |one: &Assessment| one.checks.iter().map(|check| check.passes).collect();
    let all = assess_all(situation, catalog);
    all.iter().map(|one| (one.remedy, passes(one))).collect()
}

/// Assesses every remedy but the specialist at the worst case of the readings, in no order.
fn assess_all(situation: &Situation, catalog: &Catalog) -> Vec<Assessment> {
    let mut assessor = assess::Assessor::new(situation);
    let candidates = assessor.candidates(catalog, None).into_iter();
    candidates
        .map(|candidate| assessor.assess(candidate))
        .collect()
}

/// Returns the verdict of one remedy; `None` if it is not a candidate.
fn verdict_of(situation: &Situation, catalog: &Catalog, spec: &RemedySpec) -> Option<Verdict> {
    let mut assessor = assess::Assessor::new(situation);
    let candidates = assessor.candidates(catalog, Some(spec.remedy)).into_iter();
    candidates
        .filter(|candidate| candidate.spec() == *spec)
        .map(|candidate| assessor.assess(candidate).verdict)
        .min()
}

/// Assesses one remedy alone, with the same verdict and numbers as among all, without sensitivities,
/// reasons and the specialist's rationale; `None` if it is not offered.
pub fn assess_chosen(
    situation: &Situation,
    catalog: &Catalog,
    spec: &RemedySpec,
) -> Option<Assessment> {
    if spec.remedy == Remedy::Specialist {
        return Some(rank::specialist(situation, Verdict::Marginal, Vec::new()));
    }
    let mut assessor = assess::Assessor::new(situation);
    let candidates = assessor.candidates(catalog, Some(spec.remedy)).into_iter();
    let mut all: Vec<Assessment> = candidates
        .filter(|candidate| spec.counts_for(&candidate.spec()))
        .map(|candidate| assessor.assess(candidate))
        .collect();
    rank::sort(&mut all);
    let mut chosen = all.into_iter().next()?;
    if chosen.verdict == Verdict::DoesNotFit && !situation.reading_tolerances().is_empty() {
        let read = verdict_of(&situation.as_read(), catalog, &chosen.spec());
        chosen.verdict = sensitivity::verdict_at_worst(chosen.verdict, read);
    }
    Some(chosen)
}

/// Returns the assessment that recorded work counts for.
pub fn assessment_of<'a>(all: &'a [Assessment], spec: &RemedySpec) -> Option<&'a Assessment> {
    all.iter()
        .find(|assessment| spec.counts_for(&assessment.spec()))
}

#[cfg(test)]
mod tests;
