//! A hole's plan: everything that follows from what stands recorded of it, worked out once for whoever shows it.

use super::next::Next;
use super::record::{FaceRecord, HoleRecord, Remedy};
use super::remedies::{Assessment, Verdict, assessment_of, remedies};
use super::situation::{Missing, Situation, situation_of};
use super::state::standing;
use super::steps::{Step, steps};
use crate::insert::Catalogue;

/// What follows from the entries of one hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What the remedies are reckoned from, or what stands in the way.
    pub situation: Result<Situation, Missing>,
    /// Every remedy, judged, the least that fits first; none while there is no situation.
    pub ways: Vec<Assessment>,
    /// The chosen remedy's steps; none where none is chosen, or it is not among the ways.
    pub steps: Vec<Step>,
    /// What to do next.
    pub next: Next,
    chosen: Option<usize>,
}

impl Plan {
    /// Works it out, with the inserts that there are.
    pub fn of(record: &HoleRecord, face: &FaceRecord, catalogue: &Catalogue) -> Plan {
        let situation = situation_of(record, face);
        let ways = situation
            .as_ref()
            .map(|situation| remedies(situation, catalogue))
            .unwrap_or_default();
        let choice = record.choice.settled();
        let assessment = choice.and_then(|choice| assessment_of(&ways, &choice.work));
        let chosen =
            assessment.and_then(|chosen| ways.iter().position(|way| std::ptr::eq(way, chosen)));
        let cracked = cracked(record);
        let steps = match (&situation, assessment) {
            (Ok(situation), Some(chosen)) if !cracked => steps(situation, chosen, record),
            _ => Vec::new(),
        };
        let next = match Next::of(&standing(record), record, &steps) {
            first @ (Next::Settle | Next::Want) => first,
            _ if cracked => Next::Crack,
            next => next,
        };
        Plan {
            situation,
            ways,
            steps,
            next,
            chosen,
        }
    }

    /// Whether a crack was seen and the hole is not given to a specialist: then no step of any other remedy is to be taken.
    pub fn stopped_by_crack(&self) -> bool {
        self.next == Next::Crack
    }

    /// The chosen remedy, as it is judged now.
    pub fn chosen(&self) -> Option<&Assessment> {
        self.chosen.map(|at| &self.ways[at])
    }

    /// The remedy to show numbers of: the chosen one; where none is chosen, the first, unless too little is known for it.
    pub fn leading(&self) -> Option<&Assessment> {
        let first = || {
            self.ways
                .first()
                .filter(|way| way.verdict != Verdict::NotKnown)
        };
        self.chosen().or_else(first)
    }
}

fn cracked(record: &HoleRecord) -> bool {
    let seen = record.damage.0.iter().any(|said| said.body.crack);
    let given = record.choice.settled().map(|choice| choice.work.remedy);
    seen && given != Some(Remedy::Specialist)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::record::{Answers, Choice};
    use super::super::record::{FaceCut, FaceRecord, HoleRecord, Quantity};
    use super::super::steps::StepKey;
    use super::super::testing::*;
    use super::*;

    fn face() -> FaceRecord {
        let planned = mm(0.5);
        FaceRecord {
            planned_cut: Answers(vec![said(FaceCut { planned })]),
            ..FaceRecord::default()
        }
    }

    fn loose() -> HoleRecord {
        HoleRecord {
            wanted: Answers(vec![said(wanted("3/8-16"))]),
            damage: Answers(vec![said(damage(vec![station(0.0, 20.0, 9.4, 0.0, 0.0)]))]),
            readings: vec![
                reading(Quantity::Depth, 34.0),
                reading(Quantity::Floor, 12.0),
                reading(Quantity::NearestEdge, 30.0),
                reading(Quantity::NearestHole, 60.0),
            ],
            ..HoleRecord::default()
        }
    }

    fn next(record: &HoleRecord) -> Next {
        Plan::of(record, &face(), Catalogue::standard()).next
    }

    #[test]
    fn the_next_thing_follows_the_work() {
        let mut hole = HoleRecord::default();
        assert_eq!(next(&hole), Next::Read);
        let read = loose();
        hole.readings = read.readings;
        assert_eq!(next(&hole), Next::Damage);
        hole.damage = read.damage;
        assert_eq!(next(&hole), Next::Want);
        hole.wanted = read.wanted;
        assert_eq!(next(&hole), Next::Choose);
        let plan = Plan::of(&hole, &face(), Catalogue::standard());
        let work = plan.leading().unwrap().work();
        assert!(plan.chosen().is_none() && plan.steps.is_empty());
        hole.choice = Answers(vec![said(Choice {
            work: work.clone(),
            reason: None,
        })]);
        let plan = Plan::of(&hole, &face(), Catalogue::standard());
        assert_eq!(plan.chosen().unwrap().work(), work);
        assert!(
            matches!(plan.next, Next::Step(StepKey::Cut(_), _)),
            "{:?}",
            plan.next
        );
    }

    #[test]
    fn what_is_set_early_is_finished_before_the_face_is_cut() {
        let mut hole = loose();
        hole.choice = choice(thin_wall());
        hole.sets = vec![set(&thin_wall(), false, Some("to hold the drill plate"))];
        let plan = Plan::of(&hole, &face(), Catalogue::standard());
        assert!(
            plan.steps
                .iter()
                .any(|step| step.key == StepKey::FaceCut && step.done.is_none())
        );
        assert!(
            !matches!(plan.next, Next::Step(StepKey::FaceCut, _)),
            "{:?}",
            plan.next
        );
    }

    #[test]
    fn a_crack_stops_all_work_until_a_specialist_has_the_hole() {
        let mut hole = loose();
        hole.choice = choice(thin_wall());
        assert!(matches!(next(&hole), Next::Step(..)));
        hole.damage.0[0].body.crack = true;
        let plan = Plan::of(&hole, &face(), Catalogue::standard());
        assert!(
            plan.stopped_by_crack() && plan.steps.is_empty(),
            "{:?}",
            plan.next
        );
        assert_eq!(plan.ways[0].remedy, Remedy::Specialist);
        // A proof from before the crack was seen changes nothing.
        hole.proofs = vec![proof(&thin_wall(), true)];
        assert!(
            Plan::of(&hole, &face(), Catalogue::standard())
                .steps
                .is_empty()
        );
        hole.choice = choice(plain(Remedy::Specialist));
        hole.proofs.clear();
        assert_ne!(next(&hole), Next::Crack);
    }
}
