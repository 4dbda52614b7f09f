//! Tries what a hole would need if its missing readings had one value or another.

use super::Topic;
use crate::hole::record::Quantity;
use crate::hole::remedies::{Decision, decision};
use crate::hole::situation::Situation;
use crate::insert::Catalog;
use crate::length::Length;
use crate::strength::Grade;

/// Values that a length is tried with, in nominal diameters: the ends first, since they mostly tell.
const TRIED_DIAMETERS: [f64; 9] = [0.05, 12.0, 0.5, 1.0, 1.5, 2.0, 3.0, 0.25, 5.0];
/// A value that is always enough, in nominal diameters.
const PLENTY_DIAMETERS: f64 = 12.0;

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
