//! A hole's plan: everything that follows from its active entries, computed once for all screens.

use super::inherit::{Inherited, UnmeasuredBasis, inherit, unmeasured_bases};
use super::needs;
use super::next::NextAction;
use super::record::{CutStep, FaceRecord, HoleRecord};
use super::remedies::{Assessment, Verdict, assess_chosen, assessment_of, assessments};
use super::situation::{Situation, SituationUnavailable, situation_of};
use super::stage::{HoleStatus, is_cracked, spec_in_force, status_of};
use super::steps::{
    NotAsPlanned, PlannedEntry, ReachedDepths, Step, StepKey, StepOutline, Work, as_planned,
    clearing_first, steps,
};
use crate::drawer::{Item, OnHand};
use crate::insert::Catalog;
use crate::length::Unit;

/// The plan for one hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The stage, the conflicts and the open problems.
    pub status: HoleStatus,
    /// The input of the remedies, or why there is none.
    pub situation: Result<Situation, SituationUnavailable>,
    /// The assessed remedies, least invasive first; empty without a situation.
    pub assessments: Vec<Assessment>,
    /// The chosen remedy's steps; empty if none is chosen or it is no longer offered. If none is chosen
    /// and a first look saw a broken piece, the step that removes it.
    pub steps: Vec<Step>,
    /// The depths that were reached in the chosen remedy's work.
    pub reached: ReachedDepths,
    /// What to do next.
    pub next: NextAction,
    /// The hole's record with what it inherits from the setup of its face.
    pub record: HoleRecord,
    /// What it inherits.
    pub inherited: Inherited,
    chosen: Option<usize>,
}

impl Plan {
    /// Computes the plan, with the inserts of a catalogue.
    pub fn of(record: &HoleRecord, face: &FaceRecord, catalogue: &Catalog) -> Plan {
        let situation = situation_of(record, face);
        let assessments = situation
            .as_ref()
            .map(|situation| assessments(situation, catalogue))
            .unwrap_or_default();
        Plan::with(record, face, situation, assessments)
    }

    /// Computes the plan with the remedy in force as its only assessment, for lists of many holes.
    /// All else is as [`Plan::of`] gives it.
    pub fn of_chosen(record: &HoleRecord, face: &FaceRecord, catalogue: &Catalog) -> Plan {
        let situation = situation_of(record, face);
        let assessed = situation.as_ref().ok().map(|situation| {
            match spec_in_force(record) {
                Some(spec) => assess_chosen(situation, catalogue, &spec)
                    .into_iter()
                    .collect(),
                // A broken piece that a first look saw has a step before a remedy is chosen.
                None if record.piece_seen().is_some() => assessments(situation, catalogue),
                None => Vec::new(),
            }
        });
        Plan::with(record, face, situation, assessed.unwrap_or_default())
    }

    fn with(
        record: &HoleRecord,
        face: &FaceRecord,
        situation: Result<Situation, SituationUnavailable>,
        assessments: Vec<Assessment>,
    ) -> Plan {
        let whole = inherit(record, face);
        let choice = record.choice.agreed();
        let assessment = choice.and_then(|choice| assessment_of(&assessments, &choice.spec));
        let chosen = assessment.and_then(|chosen| {
            assessments
                .iter()
                .position(|assessment| std::ptr::eq(assessment, chosen))
        });
        let cracked = is_cracked(record);
        let in_force = spec_in_force(record);
        let in_force = in_force.and_then(|spec| assessment_of(&assessments, &spec));
        let status = status_of(record, &whole, face, situation.as_ref().ok(), in_force);
        let work = match (&situation, assessment) {
            (Ok(situation), Some(assessment)) => Some(Work {
                situation,
                assessment,
                record: &whole,
                face,
            }),
            _ => None,
        };
        let reached = work.map(|work| work.reached()).unwrap_or_default();
        let steps = match (work, &situation) {
            _ if cracked => Vec::new(),
            (Some(work), _) => steps(&work),
            (None, Ok(situation)) if record.choice.0.is_empty() => {
                let work = clear_first(&whole, face, situation, &assessments);
                work.map_or(Vec::new(), |work| clearing(steps(&work), |step| step.key))
            }
            (None, _) => Vec::new(),
        };
        let outlines: Vec<StepOutline> = steps.iter().map(StepOutline::from).collect();
        let next = NextAction::of(&status, &whole, &outlines);
        Plan {
            status,
            situation,
            assessments,
            steps,
            reached,
            next,
            inherited: Inherited::of(&whole, face),
            record: whole.into_owned(),
            chosen,
        }
    }

    /// Returns what one tap records of one of the plan's steps that was done as planned; see
    /// [`as_planned`].
    ///
    /// # Errors
    /// As for [`as_planned`], and if it is none of the steps.
    pub fn as_planned(
        &self,
        face: &FaceRecord,
        key: StepKey,
        unit: Unit,
    ) -> Result<Vec<PlannedEntry>, NotAsPlanned> {
        if !self.steps.iter().any(|step| step.key == key) {
            return Err(NotAsPlanned::NotAStep(key));
        }
        match (self.work(face), &self.situation) {
            (Some(work), _) => as_planned(&work, key, unit),
            (None, Ok(situation)) => Ok(clearing_first(situation)),
            (None, Err(_)) => Err(NotAsPlanned::NotAStep(key)),
        }
    }

    /// Returns whether a crack stops all work because the hole is not sent out yet.
    pub fn stopped_by_crack(&self) -> bool {
        self.next == NextAction::Crack
    }

    /// Returns the chosen remedy's work; `None` without a chosen remedy that is offered.
    pub fn work<'a>(&'a self, face: &'a FaceRecord) -> Option<Work<'a>> {
        Some(Work {
            situation: self.situation.as_ref().ok()?,
            assessment: self.chosen()?,
            record: &self.record,
            face,
        })
    }

    /// Returns what a remedy takes from its first step on that is missing from the drawer, each once.
    /// Groups in which nothing was entered are not known, so nothing of them is missing.
    pub fn not_on_hand(
        &self,
        assessment: &Assessment,
        face: &FaceRecord,
        on_hand: &OnHand,
    ) -> Vec<Item> {
        let Ok(situation) = &self.situation else {
            return Vec::new();
        };
        let work = Work {
            situation,
            assessment,
            record: &self.record,
            face,
        };
        needs::missing(&work, on_hand)
    }

    /// Returns the usual values that the required checks of a remedy rest on, if it cuts metal: to be
    /// measured at the hole before it is cut.
    pub fn unmeasured_bases(
        &self,
        assessment: &Assessment,
        catalog: &Catalog,
    ) -> Vec<UnmeasuredBasis> {
        match &self.situation {
            Ok(situation) => unmeasured_bases(&self.inherited, situation, assessment, catalog),
            Err(_) => Vec::new(),
        }
    }

    /// Returns the chosen remedy as it is assessed now.
    pub fn chosen(&self) -> Option<&Assessment> {
        self.chosen.map(|at| &self.assessments[at])
    }

    /// Returns the remedy whose numbers to show: the chosen one, or else the first one unless its
    /// verdict is unknown.
    pub fn leading(&self) -> Option<&Assessment> {
        let first = || {
            self.assessments
                .first()
                .filter(|first| first.verdict != Verdict::Unknown)
        };
        self.chosen().or_else(first)
    }
}

/// Returns the work that removes a broken piece that a first look saw, which counts for whatever
/// remedy is chosen later.
pub(super) fn clear_first<'a>(
    record: &'a HoleRecord,
    face: &'a FaceRecord,
    situation: &'a Situation,
    assessments: &'a [Assessment],
) -> Option<Work<'a>> {
    let blocked = |assessment: &&Assessment| assessment.blocked_by_broken_piece();
    record.piece_seen()?;
    Some(Work {
        situation,
        assessment: assessments.iter().find(blocked)?,
        record,
        face,
    })
}

/// Keeps the step that removes the broken piece.
pub(super) fn clearing<T>(mut steps: Vec<T>, key: impl Fn(&T) -> StepKey) -> Vec<T> {
    steps.retain(|step| key(step) == StepKey::Cut(CutStep::ClearBroken));
    steps
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::super::record::{Choice, FactEntries};
    use super::super::record::{FaceCut, FaceRecord, HoleRecord, Quantity, Remedy};
    use super::super::testing::*;
    use super::*;

    fn face() -> FaceRecord {
        let planned = mm(0.5);
        FaceRecord {
            planned_cut: FactEntries(vec![recorded(FaceCut::typed(planned))]),
            ..FaceRecord::default()
        }
    }

    fn loose() -> HoleRecord {
        HoleRecord {
            wanted: FactEntries(vec![recorded(wanted_thread("3/8-16"))]),
            damage: FactEntries(vec![recorded(damage(vec![station(
                0.0, 20.0, 9.4, 0.0, 0.0,
            )]))]),
            readings: vec![
                reading(Quantity::Depth, 34.0),
                reading(Quantity::Floor, 12.0),
                reading(Quantity::NearestEdge, 30.0),
                reading(Quantity::NearestHole, 60.0),
            ],
            ..HoleRecord::default()
        }
    }

    fn next(record: &HoleRecord) -> NextAction {
        Plan::of(record, &face(), Catalog::standard()).next
    }

    #[test]
    fn the_next_action_follows_the_work() {
        let mut hole = HoleRecord::default();
        assert_eq!(next(&hole), NextAction::SetThread);
        let loose = loose();
        hole.wanted = loose.wanted;
        assert_eq!(next(&hole), NextAction::DescribeDamage);
        hole.damage = loose.damage;
        assert_eq!(next(&hole), NextAction::Measure);
        hole.readings = loose.readings;
        assert_eq!(next(&hole), NextAction::ChooseRemedy);
        let plan = Plan::of(&hole, &face(), Catalog::standard());
        let spec = plan.leading().unwrap().spec();
        assert!(plan.chosen().is_none() && plan.steps.is_empty());
        hole.choice = FactEntries(vec![recorded(Choice {
            spec: spec.clone(),
            reason: None,
            basis: None,
        })]);
        let plan = Plan::of(&hole, &face(), Catalog::standard());
        assert_eq!(plan.chosen().unwrap().spec(), spec);
        assert!(
            matches!(
                plan.next,
                NextAction::Step {
                    step: StepKey::Cut(_),
                    ..
                }
            ),
            "{:?}",
            plan.next
        );
    }

    #[test]
    fn an_insert_installed_early_is_finished_before_the_face_cut() {
        let mut hole = loose();
        hole.choice = choice(thin_wall());
        hole.installs = vec![install(
            &thin_wall(),
            false,
            Some("to hold the drill plate"),
        )];
        let plan = Plan::of(&hole, &face(), Catalog::standard());
        assert!(
            plan.steps
                .iter()
                .any(|step| step.key == StepKey::FaceCut && step.done.is_none())
        );
        assert!(
            !matches!(
                plan.next,
                NextAction::Step {
                    step: StepKey::FaceCut,
                    ..
                }
            ),
            "{:?}",
            plan.next
        );
    }

    #[test]
    fn a_crack_stops_all_work_until_the_hole_is_sent_out() {
        let mut hole = loose();
        hole.choice = choice(thin_wall());
        assert!(matches!(next(&hole), NextAction::Step { .. }));
        hole.damage.0[0].body.crack = true;
        let plan = Plan::of(&hole, &face(), Catalog::standard());
        assert!(
            plan.stopped_by_crack() && plan.steps.is_empty(),
            "{:?}",
            plan.next
        );
        assert_eq!(plan.assessments[0].remedy, Remedy::Specialist);
        // A final check from before the crack was found changes nothing.
        hole.final_checks = vec![final_check(&thin_wall(), true)];
        assert!(
            Plan::of(&hole, &face(), Catalog::standard())
                .steps
                .is_empty()
        );
        hole.choice = choice(plain_spec(Remedy::Specialist));
        hole.final_checks.clear();
        assert_ne!(next(&hole), NextAction::Crack);
    }
}
