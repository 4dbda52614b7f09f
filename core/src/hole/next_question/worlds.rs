//! Tries what a hole would need if its missing readings had one value or another.

use super::Topic;
use crate::hole::record::Quantity;
use crate::hole::remedies::{Decision, decision, passed_checks};
use crate::hole::situation::{Situation, TolerancedReading};
use crate::insert::Catalog;
use crate::length::Length;
use crate::strength::Grade;

/// Values that a length is tried with, in nominal diameters: the ends first, since they mostly tell.
const TRIED_DIAMETERS: [f64; 9] = [0.05, 12.0, 0.5, 1.0, 1.5, 2.0, 3.0, 0.25, 5.0];
/// A value that is always enough, in nominal diameters.
const PLENTY_DIAMETERS: f64 = 12.0;

/// The steps that a distance which is enough is searched for in: 1/16 in.
const ENOUGH_STEP: Length = Length::from_nm(1_587_500);
/// Least step of the depths that a tool is tried with: holes are drilled to whole eighths of an inch
/// (common practice, no source).
const EIGHTH: i64 = 3_175_000;
/// How many depths a tool is tried with, from one nominal diameter on.
const TRIED_DEPTHS: i64 = 12;

/// A hole with its missing readings filled in.
pub(super) struct Worlds<'a> {
    catalog: &'a Catalog,
    /// The hole as it is known.
    now: &'a Situation,
    /// The hole with the most favorable values.
    favorable: Situation,
    /// What is done to that hole; worked out when it is first needed.
    best: Option<Option<Decision>>,
}

impl<'a> Worlds<'a> {
    /// Fills in what is missing.
    pub fn new(situation: &'a Situation, catalog: &'a Catalog, topics: &[Topic]) -> Worlds<'a> {
        let mut favorable = situation.clone();
        for topic in topics {
            fill(
                &mut favorable,
                *topic,
                diameters(situation, PLENTY_DIAMETERS),
            );
        }
        if topics.contains(&Topic::FaceCut) {
            favorable.face_cut = Some(Length::ZERO);
        }
        Worlds {
            catalog,
            now: situation,
            favorable,
            best: None,
        }
    }

    /// Returns whether one value or another of a reading changes what is done, while all others are
    /// favorable.
    pub fn decides(&mut self, topic: Topic) -> bool {
        let best = self.best();
        let differs = |other: Situation| decision(&other, self.catalog) != best;
        if topic == Topic::Through {
            let mut through = self.favorable.clone();
            (through.through, through.floor) = (Some(true), None);
            return differs(through);
        }
        TRIED_DIAMETERS.iter().any(|tried| {
            let mut other = self.favorable.clone();
            fill(&mut other, topic, diameters(&self.favorable, *tried));
            differs(other)
        })
    }

    /// Returns the least distance from which on every check of every remedy gives the same result,
    /// rounded up to 1/16 in; `None` for what is no distance to an edge or a hole.
    ///
    /// No remedy's check may wait for more, also one that comes into question only after the damage
    /// is described again: so it holds for all, not for the first alone.
    pub fn enough(&self, topic: Topic) -> Option<Length> {
        let is_distance = matches!(
            topic,
            Topic::Measure(Quantity::NearestEdge | Quantity::NearestHole)
        );
        let plenty = diameters(&self.favorable, PLENTY_DIAMETERS);
        let most = plenty.nm() / ENOUGH_STEP.nm();
        let passed = |steps: i64| {
            let mut other = self.favorable.clone();
            fill(&mut other, topic, ENOUGH_STEP * steps);
            passed_checks(&other, self.catalog)
        };
        let all = is_distance.then(|| passed(most))?;
        let (mut short, mut enough) = (0, most);
        while enough - short > 1 {
            let middle = (short + enough) / 2;
            if passed(middle) == all {
                enough = middle;
            } else {
                short = middle;
            }
        }
        Some(ENOUGH_STEP * enough)
    }

    /// Returns the share of the likely depths at which a depth with this tolerance leads to the same
    /// decision as exact readings, 0 to 1.
    pub fn share_decided_by_depth(&self, tolerance: Length) -> f64 {
        let nominal = self.favorable.thread.nominal().nm();
        // Four diameters, in steps of whole eighths.
        let step = EIGHTH
            * (4 * nominal / TRIED_DEPTHS + EIGHTH - 1)
                .div_euclid(EIGHTH)
                .max(1);
        let first = nominal / EIGHTH * EIGHTH;
        let decided = |count: &i64| {
            let mut exact = self.favorable.clone();
            exact.depth = Some(Length::from_nm(first + step * count));
            let read = exact.with_tolerance(TolerancedReading::Depth, tolerance);
            decision(&exact.as_read(), self.catalog) == decision(&read, self.catalog)
        };
        let count = (1..=TRIED_DEPTHS).filter(decided).count();
        count as f64 / TRIED_DEPTHS as f64
    }

    /// Returns whether a remedy is usable once all readings are there, and not before: a check wants
    /// to know a reading even where no value of it matters.
    pub fn settle(&mut self) -> bool {
        let now = decision(self.now, self.catalog);
        let best = self.best();
        best != now && best.is_some_and(|best| best.is_usable())
    }

    /// Returns whether the bolt's grade changes what is done.
    pub fn grade_decides(&self) -> bool {
        let unknown = decision(&self.favorable, self.catalog);
        Grade::ALL.into_iter().any(|grade| {
            let bolt = Some(grade);
            let known = Situation {
                bolt,
                ..self.favorable.clone()
            };
            decision(&known, self.catalog) != unknown
        })
    }

    fn best(&mut self) -> Option<Decision> {
        let (favorable, catalog) = (&self.favorable, self.catalog);
        let best = self
            .best
            .get_or_insert_with(|| decision(favorable, catalog));
        best.clone()
    }
}

/// Sets a missing reading.
fn fill(situation: &mut Situation, topic: Topic, value: Length) {
    let value = Some(value);
    match topic {
        Topic::FaceCut => situation.face_cut = value,
        Topic::Through => situation.through = Some(false),
        Topic::Measure(Quantity::Depth) => situation.depth = value,
        Topic::Measure(Quantity::Floor) => situation.floor = value,
        Topic::Measure(Quantity::NearestEdge) => situation.nearest_edge = value,
        Topic::Measure(Quantity::NearestHole) => situation.nearest_hole = value,
        Topic::Measure(Quantity::MatingHole) => situation.mating_hole = value,
        Topic::Measure(_) | Topic::Thread | Topic::Damage | Topic::BoltGrade => {}
    }
}

fn diameters(situation: &Situation, count: f64) -> Length {
    Length::from_computed_mm(situation.thread.nominal().mm() * count)
}
